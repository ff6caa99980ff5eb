"""A name that somebody typed can be erased from an issued record; nothing else of it changes."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import drop_trigger

revision = "erasure"
down_revision = "api"
branch_labels = None
depends_on = None

STAYS = ("opening", "revision", "at", "digest", "code", "signature", "key")
ERASED = "EXISTS (SELECT 1 FROM erasure WHERE opening = OLD.opening)"
WORDS = "'issued is append-only'"


def upgrade() -> None:
    op.create_table(
        "erasure",
        sa.Column("opening", sa.String(), nullable=False),
        sa.Column("at", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("opening"),
    )
    drop_trigger("issued_no_update", "issued")
    old, new = (", ".join(f"{row}.{name}" for name in STAYS) for row in ("OLD", "NEW"))
    if op.get_bind().dialect.name == "sqlite":
        op.execute(
            "CREATE TRIGGER issued_no_update BEFORE UPDATE ON issued "
            f"WHEN ({old}) IS NOT ({new}) OR NOT {ERASED} "
            f"BEGIN SELECT RAISE(ABORT, {WORDS}); END"
        )
        return
    op.execute(
        "CREATE FUNCTION issued_no_update() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF ROW({old}) IS DISTINCT FROM ROW({new}) OR NOT {ERASED} THEN "
        f"RAISE EXCEPTION USING MESSAGE = {WORDS}, ERRCODE = 'integrity_constraint_violation'; "
        "END IF; RETURN NEW; END $$"
    )
    op.execute(
        "CREATE TRIGGER issued_no_update BEFORE UPDATE ON issued "
        "FOR EACH ROW EXECUTE FUNCTION issued_no_update()"
    )
