"""What leaves the office: the outbox, who wants to be told of what, webhooks; an owner's e-mail."""

import sqlalchemy as sa
from alembic import op

revision = "outbox"
down_revision = "learn"
branch_labels = None
depends_on = None


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.String(), nullable=False)


def _number(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=nullable)


def upgrade() -> None:
    op.create_table(
        "outbox",
        *(_text(name) for name in ("id", "channel", "receiver", "kind", "text")),
        *(_number(name) for name in ("made", "due", "lease", "tries")),
        *(_text(name) for name in ("state", "why", "batch")),
        _number("ended", nullable=True),
        sa.PrimaryKeyConstraint("id"),
    )
    waiting = sa.text("state = 'waiting'")
    op.create_index(
        "ix_outbox_due", "outbox", ["due", "id"], sqlite_where=waiting, postgresql_where=waiting
    )
    op.create_index("ix_outbox_receiver", "outbox", ["channel", "receiver", "made"])
    op.create_index("ix_outbox_state", "outbox", ["state", "ended"])
    op.create_table(
        "notice_choice",
        *(_text(name) for name in ("person", "mail", "how", "kinds")),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("person"),
    )
    op.create_table(
        "webhook",
        *(_text(name) for name in ("id", "url", "secret", "kinds", "person")),
        _number("made"),
        _number("ended", nullable=True),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    is_open = sa.text("closed = ''")
    op.create_index(
        "ix_callback_open",
        "callback",
        ["at", "id"],
        sqlite_where=is_open,
        postgresql_where=is_open,
    )
    empty = sa.text("''")
    for table, name in (("job", "mail"), ("summary", "hold_outs")):
        op.add_column(table, sa.Column(name, sa.String(), nullable=False, server_default=empty))
