"""Templates of door systems: what new openings can begin with."""

import sqlalchemy as sa
from alembic import op

revision = "door_templates"
down_revision = "practice"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "door_template",
        *(
            sa.Column(name, sa.String(), nullable=False)
            for name in ("id", "name", "why", "procedure", "depth", "text", "person")
        ),
        sa.Column("made", sa.Integer(), nullable=False),
        sa.Column("ended", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
