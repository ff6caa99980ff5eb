"""What can be known of a Sillbook's condition, running or not, and what mends it.

Nothing is changed by looking, and the lock of the database is left alone.
"""

import json
import shutil
import sqlite3
import stat
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import text
from sqlalchemy.exc import DBAPIError
from sqlmodel import Session

from app.core.errors import AppError
from app.settings import Settings
from app.store import postgres
from app.store.database import has_wal_fault, make_engine
from app.store.photo_places import photo_place
from app.sync import check

GOOD, LOOK, BAD = "good", "look", "bad"
DAY = 24 * 3600
LEAST_FREE, LITTLE_FREE = 200 * 10**6, 2 * 10**9  # bytes of the disk
OLDEST_COPY = 2 * DAY
LAST_BACKUP = "last-backup.json"  # in the folder of the data
EARLIEST = 1_767_225_600  # 2026-01-01: no clock that is right shows less


@dataclass(frozen=True)
class Condition:
    """One thing that was looked at. state: GOOD, LOOK or BAD; mend: what to do, "" if GOOD."""

    name: str
    state: str
    says: str
    mend: str = ""


def look_at(settings: Settings, now: float, thorough: bool = False) -> list[Condition]:
    """Return what is found of the data; thorough: every page, entry, signature and photo is read,
    and what follows from the entries is compared."""
    looks: list[Callable[[], Condition]] = [
        lambda: disk_space(settings.data),
        lambda: last_backup(settings, now),
        lambda: clock(now),
        lambda: private_files(settings.data),
        lambda: address(settings),
    ]
    if settings.postgres:
        looks.insert(0, lambda: postgres_answers(settings.postgres))
        looks.append(lambda: postgres_log(settings.postgres))
    else:
        looks.insert(0, lambda: sqlite_file(settings.database, thorough))
        looks.append(sqlite_version)
    if settings.photos:
        looks.append(lambda: photos_answer(settings))
    found = [look() for look in looks]
    if thorough and found[0].state == GOOD:
        found.extend(all_is_whole(settings))
    return found


def sqlite_file(database: Path, thorough: bool) -> Condition:
    """Look whether the file of the database can be read; thorough: whether all of it is whole."""
    name = "database"
    if not database.is_file():
        return Condition(name, LOOK, f"there is no {database}", "start Sillbook once, or `restore`")
    try:
        with closing(sqlite3.connect(f"file:{quote(str(database))}?mode=ro", uri=True)) as opened:
            count = opened.execute("SELECT count(*) FROM event").fetchone()[0]
            whole = not thorough or opened.execute("PRAGMA quick_check(1)").fetchone() == ("ok",)
    except sqlite3.Error as error:
        return Condition(name, BAD, f"it cannot be read: {error}", RESTORE)
    if not whole:
        return Condition(name, BAD, "its pages do not fit together", RESTORE)
    return Condition(name, GOOD, f"{count} entries, {database.stat().st_size} bytes")


RESTORE = "stop Sillbook and put a copy back: sillbook restore FOLDER"
PUT_BACK = "put its file back from a copy; a phone that still has it sends it again once it is gone"
REBUILD = "stop Sillbook and make the summaries again: sillbook rebuild"


def all_is_whole(settings: Settings) -> list[Condition]:
    """Look at everything that is kept, while Sillbook runs or not; takes no lock."""
    engine = (
        postgres.make_engine(settings.postgres)
        if settings.postgres
        else make_engine(settings.database)
    )
    found: list[Condition] = []
    try:
        with Session(engine) as session:
            looks = (
                ("log", check.log_faults(session), RESTORE),
                ("photos", check.photo_faults(session, photo_place(settings)), PUT_BACK),
                ("summaries", check.summary_faults(session), REBUILD),
            )
            for name, faults, mend in looks:
                for says in faults:  # one by one: what was found stays where a later look fails
                    found.append(Condition(name, BAD, says, mend))  # noqa: PERF401
    except DBAPIError as error:
        found.append(Condition("log", BAD, f"it cannot be read: {error.orig}", RESTORE))
    except AppError as error:
        found.append(Condition("photos", BAD, error.code, "look at SILLBOOK_PHOTOS"))
    finally:
        engine.dispose()
    return found or [Condition("whole", GOOD, "entries, signatures, photos, summaries")]


def photos_answer(settings: Settings) -> Condition:
    """Look whether the place of the photos answers and is marked as ours."""
    try:
        place = photo_place(settings)
        if place.read_mark():
            return Condition("photos", GOOD, place.name)
        says = f"{place.name} has no mark: nothing was ever kept there, or it is not mounted"
    except AppError as error:
        says = f"they cannot be reached ({error.code})"
    return Condition("photos", BAD, says, "look at SILLBOOK_PHOTOS, the store and its keys")


_LOG_SETTINGS = text("SELECT name, setting FROM pg_settings WHERE name LIKE 'log\\_%'")


def postgres_log(where: str) -> Condition:
    """Look whether PostgreSQL writes what is bound to statements into its own log.

    Source: its manual, 20.8 (log_statement, log_min_duration_*, log_parameter_max_length).
    """
    name = "postgres-log"
    try:
        engine = postgres.make_engine(where)
        with engine.connect() as connection:
            said = {row.name: row.setting for row in connection.execute(_LOG_SETTINGS)}
        engine.dispose()
    except (DBAPIError, AppError):
        return Condition(name, GOOD, "not asked: the database does not answer")
    logs = said["log_statement"] != "none" or said["log_transaction_sample_rate"] != "0"
    logs = logs or said["log_min_duration_statement"] != "-1"
    logs = logs or said["log_min_duration_sample"] != "-1"
    if (logs and said["log_parameter_max_length"] != "0") or (
        said["log_parameter_max_length_on_error"] != "0"
    ):
        says = "PostgreSQL writes what is bound to statements into its log: phones' secrets too"
        mend = "set log_parameter_max_length and log_parameter_max_length_on_error to 0 there"
        return Condition(name, LOOK, says, mend)
    return Condition(name, GOOD, "no secret of ours comes into PostgreSQL's log")


def postgres_answers(where: str) -> Condition:
    """Ask the database how many entries it has."""
    name = "database"
    try:
        engine = postgres.make_engine(where)
        with engine.connect() as connection:
            count = connection.execute(text("SELECT count(*) FROM event")).scalar_one()
        engine.dispose()
    except (DBAPIError, AppError) as error:
        says = f"it does not answer: {getattr(error, 'orig', error)}".splitlines()[0]
        return Condition(name, BAD, says, "start PostgreSQL, and look at SILLBOOK_DATABASE")
    return Condition(name, GOOD, f"{count} entries")


def disk_space(data: Path) -> Condition:
    """Look how much room is left where the data are."""
    there = data if data.exists() else data.parent
    try:
        free = shutil.disk_usage(there).free
    except OSError as error:
        return Condition("disk", BAD, str(error), "look at SILLBOOK_DATA")
    says = f"{free // 10**6} MB are free"
    if free < LEAST_FREE:
        return Condition("disk", BAD, says, "make room now: soon nothing can be saved")
    if free < LITTLE_FREE:
        return Condition("disk", LOOK, says, "make room: copies of the data, old logs")
    return Condition("disk", GOOD, says)


def backup_time(data: Path) -> float | None:
    """Return when the last copy was made and read back, in seconds since 1970, or None."""
    try:
        return float(json.loads((data / LAST_BACKUP).read_text("utf-8"))["at"])
    except (OSError, ValueError, KeyError, TypeError):
        return None


def note_backup(data: Path, where: Path, now: float) -> None:
    """Note that a copy was made."""
    note = data / LAST_BACKUP
    note.write_text(json.dumps({"at": now, "where": str(where)}), "utf-8")
    note.chmod(0o600)


def last_backup(settings: Settings, now: float) -> Condition:
    """Look when the last copy was made by `sillbook backup`."""
    if settings.postgres:
        return Condition("backup", GOOD, "PostgreSQL's own tools make the copies (README, Backup)")
    made = backup_time(settings.data)
    mend = "sillbook backup FOLDER --keep 14, each night (README, Backup)"
    if made is None:
        return Condition("backup", LOOK, "no copy was ever made", mend)
    hours = round((now - made) / 3600)
    says = f"the last copy is {hours} h old"
    if now - made > OLDEST_COPY:
        return Condition("backup", LOOK, says, mend)
    return Condition("backup", GOOD, says)


def clock(now: float) -> Condition:
    """Look whether the clock can be right at all."""
    says = time.strftime("%Y-%m-%d %H:%M UTC", time.gmtime(now))
    if EARLIEST < now < EARLIEST + 50 * 365 * DAY:
        return Condition("clock", GOOD, says)
    return Condition("clock", BAD, f"it shows {says}", "set the clock: timedatectl set-ntp true")


def private_files(data: Path) -> Condition:
    """Look whether others on this machine can read the data."""
    open_ones = [path for path in _main_files(data) if path.stat().st_mode & 0o077]
    if open_ones:
        says = f"others can read {open_ones[0]}"
        return Condition("files", LOOK, says, f"chmod -R go= {data}")
    return Condition("files", GOOD, "they are their owner's alone")


def _main_files(data: Path) -> Iterator[Path]:
    for path in (data, *data.glob("sillbook.db*"), data / "signing-key.pem"):
        if path.exists() and not stat.S_ISLNK(path.lstat().st_mode):
            yield path


def address(settings: Settings) -> Condition:
    """Look whether phones can work without a network where this is served."""
    if settings.address.startswith("https://"):
        return Condition("address", GOOD, settings.address)
    says = settings.address or "none is set"
    mend = "set SILLBOOK_ADDRESS=https://… and put a proxy in front (README, Serving it for real)"
    return Condition("address", LOOK, says, mend)


def sqlite_version() -> Condition:
    """Look whether SQLite has the fault of WAL mode that 3.51.3 mended."""
    says = sqlite3.sqlite_version
    if has_wal_fault(sqlite3.sqlite_version_info):
        return Condition("sqlite", LOOK, says, "let no other program write the database")
    return Condition("sqlite", GOOD, says)
