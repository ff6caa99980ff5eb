"""Phones that keep a book of their own: pairing, order of arrival, what was set aside, photos."""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import drop_trigger, make_trigger, refuse_verb

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

# Events in order of commit and openings handed to people share one row of numbers, so that
# "what is new for me" has one order: see app/store/news.py.
NEXT = (
    "(SELECT 1 + coalesce(max(given), 0) FROM (SELECT max(seq) AS given FROM event"
    " UNION ALL SELECT max(since) FROM assigned"
    " UNION ALL SELECT max(since) FROM device_person) AS every)"
)


def text(name: str, *constraints: sa.schema.SchemaItem, primary_key: bool = False) -> sa.Column:
    return sa.Column(name, sa.String(), *constraints, primary_key=primary_key, nullable=False)


def number(name: str, nullable: bool = False) -> sa.Column:
    return sa.Column(name, sa.Integer(), nullable=nullable)


def upgrade() -> None:
    number_events()
    make_phones()
    make_aside()
    make_photos()
    number_assignments()


def number_events() -> None:
    """Number what is there by its order in the table; the log stays append-only afterwards."""
    drop_trigger("event_no_update", "event")
    for column, kind in (
        ("seq", "INTEGER NOT NULL DEFAULT 0"),
        ("signature", TEXT),
        ("flag", TEXT),
    ):
        op.execute(f"ALTER TABLE event ADD COLUMN {column} {kind}")
    if op.get_bind().dialect.name == "sqlite":  # another database begins empty
        op.execute("UPDATE event SET seq = rowid")
    op.create_index("ix_event_seq", "event", ["seq"], unique=True)
    op.create_index("ix_event_opening_seq", "event", ["opening", "seq"])
    refuse_verb("event", "UPDATE")


TEXT = "VARCHAR NOT NULL DEFAULT ''"


def make_phones() -> None:
    op.create_table(
        "device",
        text("id", primary_key=True),
        text("name"),
        text("person", sa.ForeignKey("person.id")),
        text("key"),
        text("key_hash"),
        text("token_hash"),
        number("made"),
        number("revoked", nullable=True),
        number("last_seen", nullable=True),
        number("unsent"),
        text("bundle"),
        sa.UniqueConstraint("key_hash"),
        sa.UniqueConstraint("token_hash"),
    )
    op.create_table(
        "device_person",
        text("device", sa.ForeignKey("device.id"), primary_key=True),
        text("person", sa.ForeignKey("person.id"), primary_key=True),
        number("since"),
    )
    op.create_table(
        "pairing",
        text("code_hash", primary_key=True),
        text("person", sa.ForeignKey("person.id")),
        number("expires"),
        number("used", nullable=True),
    )


def make_aside() -> None:
    op.create_table(
        "aside",
        text("key", primary_key=True),
        text("id"),
        text("device", sa.ForeignKey("device.id")),
        text("opening"),
        number("n"),
        number("turn"),
        text("hash"),
        text("text"),
        text("signature"),
        text("state"),
        text("why"),
        sa.Column("placed", sa.Boolean(), nullable=False),
        text("received_at"),
    )
    op.create_index("ix_aside_id", "aside", ["id"])
    op.create_index("ix_aside_chain", "aside", ["opening", "device", "n"])


def make_photos() -> None:
    op.create_table(
        "photo_of",
        text("event", sa.ForeignKey("event.id"), primary_key=True),
        text("sha256"),
        text("opening", sa.ForeignKey("opening.id")),
    )
    op.create_index("ix_photo_of_sha256", "photo_of", ["sha256"])
    op.create_table(
        "photo",
        text("sha256", primary_key=True),
        number("size"),
        number("width"),
        number("height"),
        text("received_at"),
    )


def number_assignments() -> None:
    """Whoever assigns or takes away, by whatever means: the moment is numbered and kept."""
    op.execute("ALTER TABLE assigned ADD COLUMN since INTEGER NOT NULL DEFAULT 0")
    op.create_index("ix_assigned_since", "assigned", ["since"])
    op.create_index("ix_device_person_since", "device_person", ["since"])
    op.create_table(
        "withdrawn",
        text("opening", sa.ForeignKey("opening.id"), primary_key=True),
        text("person", sa.ForeignKey("person.id"), primary_key=True),
    )
    make_trigger(
        "assigned_numbered",
        "AFTER INSERT",
        "assigned",
        f"UPDATE assigned SET since = {NEXT} "
        "WHERE opening = NEW.opening AND person = NEW.person; "
        "DELETE FROM withdrawn WHERE opening = NEW.opening AND person = NEW.person;",
    )
    make_trigger(
        "assigned_withdrawn",
        "AFTER DELETE",
        "assigned",
        "INSERT INTO withdrawn (opening, person) VALUES (OLD.opening, OLD.person) "
        "ON CONFLICT DO NOTHING;",
    )
