"""Turns of any size, what a phone has set aside found by its name, signed heads kept."""

import sqlalchemy as sa
from alembic import op

revision = "guard"
down_revision = "clocks"
branch_labels = None
depends_on = None


def upgrade() -> None:
    if op.get_bind().dialect.name == "postgresql":
        for table in ("event", "aside"):
            op.alter_column(table, "turn", type_=sa.BigInteger())
    op.create_index("ix_aside_device", "aside", ["device", "placed"])
    op.create_index("ix_aside_held", "aside", ["opening", "state", "device"])
    op.create_table(
        "head",
        sa.Column("opening", sa.String(), nullable=False),
        sa.Column("device", sa.String(), nullable=False),
        sa.Column("n", sa.Integer(), nullable=False),
        sa.Column("hash", sa.String(), nullable=False),
        sa.Column("signature", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.ForeignKeyConstraint(["device"], ["device.id"]),
        sa.PrimaryKeyConstraint("opening", "device"),
    )
