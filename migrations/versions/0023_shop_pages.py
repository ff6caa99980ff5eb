"""The maker's shop drawing of an opening, a picture a page."""

import sqlalchemy as sa
from alembic import op

revision = "shop_pages"
down_revision = "push"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "shop_page",
        *(sa.Column(name, sa.String(), nullable=False) for name in ("opening", "sha256", "person")),
        *(
            sa.Column(name, sa.Integer(), nullable=False)
            for name in ("n", "width", "height", "made")
        ),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("opening", "n"),
    )
    op.create_index("ix_shop_page_sha256", "shop_page", ["sha256"])
