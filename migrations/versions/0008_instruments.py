"""The register of instruments, its checks, its use; a contact; the procedure in summaries."""

import json

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def text(name: str, *constraints: sa.schema.SchemaItem, primary_key: bool = False) -> sa.Column:
    return sa.Column(name, sa.String(), *constraints, primary_key=primary_key, nullable=False)


def number(name: str) -> sa.Column:
    return sa.Column(name, sa.Integer(), nullable=False)


def upgrade() -> None:
    op.create_table(
        "instrument",
        text("id", primary_key=True),
        text("name"),
        text("sort"),
        text("resolution"),
        text("grade"),
        text("slope"),
        sa.Column("retired", sa.Boolean(), nullable=False),
        text("last"),
        sa.UniqueConstraint("name"),
    )
    op.create_table(
        "instrument_check",
        text("occasion", primary_key=True),
        text("instrument"),
        text("at"),
        text("sorted_at"),
        text("person"),
        number("seq"),
        text("text"),
        sa.Column("struck", sa.Boolean(), nullable=False),
    )
    op.create_index(
        "ix_instrument_check_order", "instrument_check", ["instrument", "sorted_at", "occasion"]
    )
    op.create_table(
        "instrument_check_entry",
        text("event", sa.ForeignKey("event.id"), primary_key=True),
        text("occasion"),
        text("opening", sa.ForeignKey("opening.id")),
    )
    op.create_index("ix_instrument_check_entry_occasion", "instrument_check_entry", ["occasion"])
    use = op.create_table(
        "instrument_use",
        text("instrument", primary_key=True),
        text("opening", sa.ForeignKey("opening.id"), primary_key=True),
        number("seq"),
    )
    _note_uses(use)
    op.add_column("job", sa.Column("contact", sa.String(), nullable=False, server_default=""))
    # the start after this makes all summaries anew
    op.add_column("summary", sa.Column("procedure", sa.String(), nullable=False, server_default=""))
    op.create_index("ix_summary_procedure", "summary", ["procedure", "opening"])


def _note_uses(use: sa.Table) -> None:
    """Note the instruments that readings already name."""
    said = sa.text("SELECT opening, seq, body FROM event WHERE kind = 'reading.taken' ORDER BY seq")
    found: dict[tuple[str, str], int] = {}
    for opening, seq, body in op.get_bind().execute(said):
        named = json.loads(body)["body"].get("instrument", "")
        if named:
            found[named, opening] = seq
    rows = [{"instrument": one, "opening": at, "seq": seq} for (one, at), seq in found.items()]
    if rows:
        op.bulk_insert(use, rows)
