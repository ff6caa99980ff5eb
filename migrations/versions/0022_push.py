"""Browsers and phones that are told at once, by a push service."""

import sqlalchemy as sa
from alembic import op

revision = "push"
down_revision = "door_templates"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "push_subscription",
        *(
            sa.Column(name, sa.String(), nullable=False)
            for name in ("id", "endpoint", "p256dh", "auth", "browser")
        ),
        *(sa.Column(name, sa.String(), nullable=True) for name in ("person", "device")),
        sa.Column("made", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.ForeignKeyConstraint(["device"], ["device.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    for name in ("person", "device"):
        op.create_index(f"ix_push_subscription_{name}", "push_subscription", [name])
