"""All tables as they were when the twelve migrations before it became one.

A database that came through those has the same tables: app/store/migrate.py gives it this name.
"""

import sqlalchemy as sa
from alembic import op

from app.store.triggers import append_only, make_trigger

revision = "first"
down_revision = None
branch_labels = None
depends_on = None

# Nothing of these is ever changed or taken away, whoever asks; table -> what marks a row.
APPEND_ONLY = {
    "event": "id = NEW.id OR (opening = NEW.opening AND device = NEW.device AND n = NEW.n)",
    "procedure": "id = NEW.id AND version = NEW.version",
    "issued": "opening = NEW.opening AND revision = NEW.revision",
    "company_key": "n = NEW.n OR fingerprint = NEW.fingerprint",
}
# Events in order of commit and openings handed to people share one row of numbers, so that
# "what is new for me" has one order: see app/store/news.py.
NEXT = (
    "(SELECT 1 + coalesce(max(given), 0) FROM (SELECT max(seq) AS given FROM event"
    " UNION ALL SELECT max(since) FROM assigned"
    " UNION ALL SELECT max(since) FROM device_person) AS every)"
)
# A summary counts by its state, and by each flag that it has.
FLAGS = ("outs", "queries", "parts", "not_ready", "waiting")
COUNT = (
    "INSERT INTO tally (name, count) VALUES ({name}, {by}) "
    "ON CONFLICT (name) DO UPDATE SET count = tally.count + {by};"
)


def upgrade() -> None:
    make_tables()
    for table, same in APPEND_ONLY.items():
        append_only(table, same)
    number_assignments()
    keep_tallies()


def text(name: str) -> sa.Column:
    return sa.Column(name, sa.String(), nullable=False)


def texts(*names: str) -> list[sa.Column]:
    return [text(name) for name in names]


def number(name: str) -> sa.Column:
    return sa.Column(name, sa.Integer(), nullable=False)


def numbers(*names: str) -> list[sa.Column]:
    return [number(name) for name in names]


def make_tables() -> None:
    make_company()
    make_company_key()
    make_instrument()
    make_instrument_check()
    make_job()
    make_person()
    make_photo()
    make_procedure()
    make_setting()
    make_tally()
    make_device()
    make_invitation()
    make_opening()
    make_pairing()
    make_session()
    make_aside()
    make_assigned()
    make_device_person()
    make_event()
    make_instrument_use()
    make_issued()
    make_link()
    make_open_item()
    make_search_word()
    make_summary()
    make_voice()
    make_withdrawn()
    make_instrument_check_entry()
    make_photo_of()


def make_company() -> None:
    op.create_table(
        "company", number("id"), text("name"), text("telephone"), sa.PrimaryKeyConstraint("id")
    )


def make_company_key() -> None:
    op.create_table(
        "company_key",
        sa.Column("n", sa.Integer(), autoincrement=False, nullable=False),
        *texts("fingerprint", "certificate"),
        sa.PrimaryKeyConstraint("n"),
        sa.UniqueConstraint("fingerprint"),
    )


def make_instrument() -> None:
    op.create_table(
        "instrument",
        *texts("id", "name", "sort", "resolution", "grade", "slope"),
        sa.Column("retired", sa.Boolean(), nullable=False),
        text("last"),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("name"),
    )


def make_instrument_check() -> None:
    op.create_table(
        "instrument_check",
        *texts("occasion", "instrument", "at", "sorted_at", "person"),
        number("seq"),
        text("text"),
        sa.Column("struck", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("occasion"),
    )
    op.create_index(
        "ix_instrument_check_order", "instrument_check", ["instrument", "sorted_at", "occasion"]
    )


def make_job() -> None:
    op.create_table(
        "job",
        *texts("id", "title", "address", "homeowner"),
        sa.Column("contact", sa.String(), server_default=sa.text("''"), nullable=False),
        sa.PrimaryKeyConstraint("id"),
    )


def make_person() -> None:
    op.create_table(
        "person",
        *texts("id", "name", "role", "login", "password", "units", "lang"),
        sa.Column("disabled", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("login"),
    )


def make_photo() -> None:
    op.create_table(
        "photo",
        text("sha256"),
        *numbers("size", "width", "height"),
        text("received_at"),
        sa.PrimaryKeyConstraint("sha256"),
    )


def make_procedure() -> None:
    op.create_table(
        "procedure",
        text("id"),
        number("version"),
        *texts("digest", "text"),
        sa.PrimaryKeyConstraint("id", "version"),
    )


def make_setting() -> None:
    op.create_table("setting", text("name"), text("value"), sa.PrimaryKeyConstraint("name"))


def make_tally() -> None:
    op.create_table("tally", text("name"), number("count"), sa.PrimaryKeyConstraint("name"))


def make_device() -> None:
    op.create_table(
        "device",
        *texts("id", "name", "person", "key", "key_hash", "token_hash"),
        number("made"),
        sa.Column("revoked", sa.Integer(), nullable=True),
        sa.Column("last_seen", sa.Integer(), nullable=True),
        number("unsent"),
        text("bundle"),
        sa.Column("secret", sa.String(), server_default=sa.text("''"), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("key_hash"),
        sa.UniqueConstraint("token_hash"),
    )


def make_invitation() -> None:
    op.create_table(
        "invitation",
        *texts("code_hash", "person"),
        *numbers("made", "expires"),
        sa.Column("used", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("code_hash"),
    )
    op.create_index(op.f("ix_invitation_person"), "invitation", ["person"])


def make_opening() -> None:
    op.create_table(
        "opening",
        *texts("id", "job", "letter", "room"),
        sa.ForeignKeyConstraint(["job"], ["job.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index(op.f("ix_opening_job"), "opening", ["job"])


def make_pairing() -> None:
    op.create_table(
        "pairing",
        *texts("code_hash", "person"),
        number("expires"),
        sa.Column("used", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("code_hash"),
    )


def make_session() -> None:
    op.create_table(
        "session",
        *texts("token_hash", "person"),
        *numbers("began", "used"),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("token_hash"),
    )
    op.create_index(op.f("ix_session_person"), "session", ["person"])


def make_aside() -> None:
    op.create_table(
        "aside",
        *texts("key", "id", "device", "opening"),
        *numbers("n", "turn"),
        *texts("hash", "text", "signature", "state", "why"),
        sa.Column("placed", sa.Boolean(), nullable=False),
        text("received_at"),
        sa.Column("taken", sa.String(), server_default=sa.text("''"), nullable=False),
        sa.ForeignKeyConstraint(["device"], ["device.id"]),
        sa.PrimaryKeyConstraint("key"),
    )
    op.create_index("ix_aside_chain", "aside", ["opening", "device", "n"])
    op.create_index(op.f("ix_aside_id"), "aside", ["id"])


def make_assigned() -> None:
    op.create_table(
        "assigned",
        *texts("opening", "person"),
        sa.Column("since", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("opening", "person"),
    )
    op.create_index(op.f("ix_assigned_person"), "assigned", ["person"])
    op.create_index(op.f("ix_assigned_since"), "assigned", ["since"])


def make_device_person() -> None:
    op.create_table(
        "device_person",
        *texts("device", "person"),
        number("since"),
        sa.ForeignKeyConstraint(["device"], ["device.id"]),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("device", "person"),
    )
    op.create_index(op.f("ix_device_person_since"), "device_person", ["since"])


def make_event() -> None:
    op.create_table(
        "event",
        *texts("id", "opening", "device"),
        number("n"),
        *texts("prev", "hash"),
        number("turn"),
        *texts("kind", "body", "received_at"),
        sa.Column("seq", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("signature", sa.String(), server_default=sa.text("''"), nullable=False),
        sa.Column("flag", sa.String(), server_default=sa.text("''"), nullable=False),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("opening", "device", "n"),
    )
    op.create_index(
        "ix_event_late",
        "event",
        ["seq"],
        sqlite_where=sa.text("flag <> ''"),
        postgresql_where=sa.text("flag <> ''"),
    )
    op.create_index("ix_event_opening_seq", "event", ["opening", "seq"])
    op.create_index("ix_event_seq", "event", ["seq"], unique=True)


def make_instrument_use() -> None:
    op.create_table(
        "instrument_use",
        *texts("instrument", "opening"),
        number("seq"),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("instrument", "opening"),
    )


def make_issued() -> None:
    op.create_table(
        "issued",
        text("opening"),
        number("revision"),
        *texts("at", "digest", "code", "text"),
        sa.Column("signature", sa.String(), server_default=sa.text("''"), nullable=False),
        sa.Column("key", sa.String(), server_default=sa.text("''"), nullable=False),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("opening", "revision"),
    )
    op.create_index(op.f("ix_issued_code"), "issued", ["code"])


def make_link() -> None:
    op.create_table(
        "link",
        *texts("token_hash", "opening", "person"),
        *numbers("made", "expires"),
        sa.Column("withdrawn", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("token_hash"),
    )
    op.create_index(op.f("ix_link_opening"), "link", ["opening"])


def make_open_item() -> None:
    op.create_table(
        "open_item",
        *texts(
            "id", "opening", "kind", "ref", "step", "what", "said", "choice", "name", "person", "at"
        ),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_open_item_kind", "open_item", ["kind", "at", "id"])
    op.create_index(op.f("ix_open_item_opening"), "open_item", ["opening"])


def make_search_word() -> None:
    op.create_table(
        "search_word",
        *texts("word", "opening"),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("word", "opening"),
        sqlite_with_rowid=False,
    )


def make_summary() -> None:
    op.create_table(
        "summary",
        *texts("opening", "job", "title", "address", "letter", "room", "words", "state"),
        number("place"),
        *texts("step", "step_title"),
        *numbers("signed", "steps", "outs", "queries", "parts", "not_ready", "waiting"),
        text("heard"),
        number("seq"),
        sa.Column("procedure", sa.String(), server_default=sa.text("''"), nullable=False),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("opening"),
    )
    op.create_index("ix_summary_heard", "summary", ["heard", "opening", "words"])
    op.create_index("ix_summary_job", "summary", ["job", "letter", "opening"])
    op.create_index(
        "ix_summary_not_ready",
        "summary",
        ["place", "heard", "opening"],
        sqlite_where=sa.text("not_ready > 0"),
        postgresql_where=sa.text("not_ready > 0"),
    )
    op.create_index(
        "ix_summary_outs",
        "summary",
        ["place", "heard", "opening"],
        sqlite_where=sa.text("outs > 0"),
        postgresql_where=sa.text("outs > 0"),
    )
    op.create_index(
        "ix_summary_parts",
        "summary",
        ["place", "heard", "opening"],
        sqlite_where=sa.text("parts > 0"),
        postgresql_where=sa.text("parts > 0"),
    )
    op.create_index("ix_summary_procedure", "summary", ["procedure", "opening"])
    op.create_index(
        "ix_summary_queries",
        "summary",
        ["place", "heard", "opening"],
        sqlite_where=sa.text("queries > 0"),
        postgresql_where=sa.text("queries > 0"),
    )
    op.create_index("ix_summary_title", "summary", ["title", "letter", "opening", "words"])
    op.create_index("ix_summary_urgent", "summary", ["place", "heard", "opening", "words"])
    op.create_index(
        "ix_summary_waiting",
        "summary",
        ["place", "heard", "opening"],
        sqlite_where=sa.text("waiting > 0"),
        postgresql_where=sa.text("waiting > 0"),
    )


def make_voice() -> None:
    op.create_table(
        "voice",
        *texts(
            "id",
            "opening",
            "check_id",
            "panel",
            "number",
            "device",
            "day",
            "person",
            "at",
            "reason",
            "until",
            "answer",
        ),
        sa.ForeignKeyConstraint(["device"], ["device.id"]),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index(op.f("ix_voice_opening"), "voice", ["opening"])


def make_withdrawn() -> None:
    op.create_table(
        "withdrawn",
        *texts("opening", "person"),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.ForeignKeyConstraint(["person"], ["person.id"]),
        sa.PrimaryKeyConstraint("opening", "person"),
    )


def make_instrument_check_entry() -> None:
    op.create_table(
        "instrument_check_entry",
        *texts("event", "occasion", "opening"),
        sa.ForeignKeyConstraint(["event"], ["event.id"]),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("event"),
    )
    op.create_index(
        op.f("ix_instrument_check_entry_occasion"), "instrument_check_entry", ["occasion"]
    )


def make_photo_of() -> None:
    op.create_table(
        "photo_of",
        *texts("event", "sha256", "opening"),
        sa.ForeignKeyConstraint(["event"], ["event.id"]),
        sa.ForeignKeyConstraint(["opening"], ["opening.id"]),
        sa.PrimaryKeyConstraint("event"),
    )
    op.create_index(op.f("ix_photo_of_sha256"), "photo_of", ["sha256"])


def number_assignments() -> None:
    """Whoever assigns or takes away, by whatever means: the moment is numbered and kept."""
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


def keep_tallies() -> None:
    """Tallies follow the summaries, by whatever means those change."""
    for verb, counts in {
        "INSERT": count_row("NEW", 1),
        "DELETE": count_row("OLD", -1),
        "UPDATE": count_row("OLD", -1) + count_row("NEW", 1),
    }.items():
        make_trigger(f"summary_counted_{verb.lower()}", f"AFTER {verb}", "summary", counts)


def count_row(row: str, by: int) -> str:
    """Return the statements that count a row in, or out."""
    counts = [COUNT.format(name=f"'state:' || {row}.state", by=by)]
    counts += [
        COUNT.format(name=f"'{flag}'", by=f"CASE WHEN {row}.{flag} > 0 THEN {by} ELSE 0 END")
        for flag in FLAGS
    ]
    return " ".join(counts)
