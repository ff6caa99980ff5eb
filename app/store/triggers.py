"""Triggers for the migrations, alike in SQLite and PostgreSQL."""

from alembic import op


def make_trigger(name: str, moment: str, table: str, statements: str, when: str = "") -> None:
    """Make a trigger for each row: moment as "AFTER INSERT"; statements end with semicolons."""
    if op.get_bind().dialect.name == "sqlite":
        op.execute(f"CREATE TRIGGER {name} {moment} ON {table} {when} BEGIN {statements} END")
        return
    op.execute(
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN {statements} RETURN NULL; END $$"
    )
    op.execute(
        f"CREATE TRIGGER {name} {moment} ON {table} FOR EACH ROW {when} EXECUTE FUNCTION {name}()"
    )


def append_only(table: str, same: str = "") -> None:
    """Refuse every change of a table's rows; same: what marks a row, as "id = NEW.id".

    SQLite's INSERT OR REPLACE takes the old row away without asking the trigger on DELETE.
    """
    refuse_verb(table, "UPDATE")
    refuse_verb(table, "DELETE")
    if op.get_bind().dialect.name != "sqlite":
        refuse_verb(table, "TRUNCATE")
    elif same:
        refuse_verb(table, "INSERT", f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {same})")  # noqa: S608


def refuse_verb(table: str, verb: str, when: str = "") -> None:
    """Refuse a verb on a table."""
    name, words = f"{table}_no_{verb.lower()}", f"'{table} is append-only'"
    if op.get_bind().dialect.name == "sqlite":
        abort = f"BEGIN SELECT RAISE(ABORT, {words}); END"
        op.execute(f"CREATE TRIGGER {name} BEFORE {verb} ON {table} {when} {abort}")
        return
    op.execute(
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"RAISE EXCEPTION USING MESSAGE = {words}, ERRCODE = 'integrity_constraint_violation'; "
        "END $$"
    )
    op.execute(
        f"CREATE TRIGGER {name} BEFORE {verb} ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION {name}()"
    )


def drop_trigger(name: str, table: str) -> None:
    """Take a trigger away."""
    if op.get_bind().dialect.name == "sqlite":
        op.execute(f"DROP TRIGGER {name}")
        return
    op.execute(f"DROP TRIGGER {name} ON {table}")
    op.execute(f"DROP FUNCTION {name}()")
