"""Who built the opening, and what accepted doors teach."""

import sqlalchemy as sa
from alembic import op

revision = "learn"
down_revision = "letterhead"
branch_labels = None
depends_on = None


def upgrade() -> None:
    builder = sa.Column("builder", sa.String(), nullable=False, server_default=sa.text("''"))
    op.add_column("job", builder)
    op.create_table(
        "learned_door",
        sa.Column("opening", sa.String(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("month", sa.String(), nullable=False),
        sa.Column("crew", sa.String(), nullable=False),
        sa.Column("job", sa.String(), nullable=False),
        sa.Column("floor", sa.BigInteger(), nullable=True),
        sa.Column("floor_out", sa.Boolean(), nullable=False),
        sa.Column("facts", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.ForeignKeyConstraint(["job"], ["job.id"]),
        sa.PrimaryKeyConstraint("opening"),
    )
    columns = ["month", "crew", "job", "floor", "floor_out"]
    op.create_index("ix_learned_door_floor", "learned_door", columns)
    keys = ("crew", "month", "kind", "step", "name", "way")
    op.create_table(
        "learned_month",
        *(sa.Column(name, sa.String(), nullable=False) for name in keys),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("good", sa.Integer(), nullable=False),
        sa.Column("sizes", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint(*keys),
    )
    op.create_index("ix_learned_month_kind", "learned_month", ["kind", "crew", "month"])
