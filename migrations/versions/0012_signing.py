"""The company's signing keys, and the signature beside each issued record."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import append_only

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "company_key",
        sa.Column("n", sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("fingerprint", sa.String(), nullable=False, unique=True),
        sa.Column("certificate", sa.String(), nullable=False),
    )
    append_only("company_key", "n = NEW.n OR fingerprint = NEW.fingerprint")
    for name in ("signature", "key"):
        op.add_column(
            "issued", sa.Column(name, sa.String(), nullable=False, server_default=sa.text("''"))
        )
