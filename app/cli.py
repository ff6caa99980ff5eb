"""The command line: sillbook serve, migrate, demo, administrator, rebuild, backup and so on."""

import argparse
import errno
import gc
import os
import socket
import sys
import time
from collections.abc import Callable
from contextlib import ExitStack
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from urllib.parse import urlsplit

import uvicorn
from fastapi import FastAPI
from sqlalchemy.exc import DBAPIError
from uvicorn.supervisors import Multiprocess

from app import patience
from app.access import command as people
from app.access.only_here import is_here
from app.calculations import command
from app.core.errors import AppError, RefusedError
from app.core.quantity.messages import Msg, Plural
from app.core.quantity.speaker import Speaker
from app.demo import company as demo
from app.demo import week, year
from app.homeowner import command as records
from app.homeowner import issuing
from app.main import create_app
from app.running import command as running
from app.running import condition, sealed_copy
from app.running.logs import start_logs
from app.running.metrics import ServerFigures
from app.settings import Settings, from_environment
from app.signing import command as signing
from app.signing import copying
from app.store import backup, learning, photo_places
from app.store import copying as tables
from app.store.database import Database, warning_of_version
from app.store.migrate import migrate_database
from app.store.push_keys import fresh_push_key, push_key_of

FIRST_PERSON = (
    "Nobody is here yet. Stop Sillbook, make the first administrator with "
    "`sillbook administrator NAME`, and start it again (README, People)."
)
MOST_WORKERS = 64
HANG_SECONDS = 60  # a process that says nothing for so long, also while it starts, is replaced
STOP_SECONDS = 5  # boards keep an answer open to hear of changes: they are not waited for


class PortError(AppError):
    """The address cannot be listened at."""


def listen(host: str, port: int) -> socket.socket:
    """Return a listening socket; raises PortError with what to do instead."""
    try:
        family, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        # named, so that asyncio sends without waiting for more (TCP_NODELAY)
        made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind(address)
        made.listen()
    except (OSError, OverflowError) as error:
        raise PortError("port", _why_not(host, port, error)) from error
    return made


def _why_not(host: str, port: int, error: Exception) -> Msg:
    if isinstance(error, OSError) and error.errno == errno.EADDRINUSE:
        words = "Port {port} is taken. Choose another: make run PORT={next}"
        return Msg(words, port=port, next=port + 1)
    return Msg("Cannot serve at {host}, port {port}: {why}", host=host, port=port, why=str(error))


def serve(settings: Settings, options: argparse.Namespace) -> None:
    """Serve until stopped; with --demo-when-new a new database gets the demo company, if only
    this machine can ask for it. Errors: PortError, RefusedError 'workers-need-postgresql', and
    those of create_app and _begin_company."""
    if options.workers > 1 and not settings.postgres:
        words = Msg(
            "SQLite is for one process. Leave --workers out, or set SILLBOOK_DATABASE to a "
            "PostgreSQL database."
        )
        raise RefusedError("workers-need-postgresql", words)
    push_key_of(settings.push_key)  # one that is none is said now, not at the first message
    door = listen(options.host, options.port)
    app = create_app(settings)
    database: Database = app.state.server.database
    try:
        _begin_company(database, settings, options)
    except AppError:
        database.close()
        raise
    host, port = door.getsockname()[:2]
    print(f"Sillbook is at {_address(host, port)}   (stop it with Ctrl-C)")
    for line in demo.how_to_sign_in(database):
        print(line)
    version = None if settings.postgres else warning_of_version()
    for warning in filter(None, (version, warning_of_address(options.host, settings.address))):
        print("Note:", warning)
    sys.stdout.flush()
    if options.workers > 1:
        database.close()  # tables and keys are ready; each process opens it for itself
        config = _serving_config("app.cli:worker_app", workers=options.workers, factory=True)
        Multiprocess(config, [door]).run()
    else:
        _make_ready(app, settings)
        uvicorn.Server(_serving_config(app)).run(sockets=[door])


def _serving_config(app: FastAPI | str, **more: Any) -> uvicorn.Config:
    return uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        http=patience.PatientProtocol,
        timeout_graceful_shutdown=STOP_SECONDS,
        timeout_worker_healthcheck=HANG_SECONDS,
        **more,
    )


def worker_app() -> FastAPI:
    """Return the application of one of several processes. Errors: as create_app."""
    settings = from_environment()
    start_logs(settings.log)
    app = create_app(settings)
    _make_ready(app, settings, processes=MOST_WORKERS)
    return app


def _make_ready(app: FastAPI, settings: Settings, processes: int = 1) -> None:
    """Do what a process does before it serves."""
    database = app.state.server.database
    app.state.server.demo = demo.how_to_sign_in(database)
    if settings.metrics:
        app.state.figures = ServerFigures(database)
        app.state.figures.serve(settings.metrics, processes)
    settle()
    patience.make_room()
    patience.write_few_lines()


def _begin_company(database: Database, settings: Settings, options: argparse.Namespace) -> None:
    """Load the demo where it is asked for and harmless, or say how a company begins.

    The demo's passwords are published. Errors: RefusedError 'demo-elsewhere' where others than
    this machine could sign in with them.
    """
    for_others = bool(settings.address) or not is_here(options.host)
    if for_others and demo.is_there(database):
        words = Msg(
            "The data in {path} are the demo's, and its passwords are published. For a company "
            "name another, empty folder with SILLBOOK_DATA, or serve the demo on 127.0.0.1 "
            "without SILLBOOK_ADDRESS.",
            path=str(settings.data),
        )
        raise RefusedError("demo-elsewhere", words)
    if options.demo_when_new and demo.is_new(database):
        if for_others:
            print(FIRST_PERSON)
        else:
            demo.load_company(database)
            week.load_week(database, datetime.now().astimezone())


def settle() -> None:
    """Take what is there now, and stays, out of the rounds of Python's garbage collector.

    A full round goes through some 200,000 objects of routes, models and templates: 130 ms and
    more, in the middle of whatever page is being made; without them it takes a few.
    """
    gc.collect()
    gc.freeze()


def warning_of_address(host: str, address: str) -> str | None:
    """Return what to say where phones would come over plain HTTP, or None.

    address: where the server is reached, as the settings name it; "": at the host itself.
    Example: warning_of_address("127.0.0.1", "") -> None
    """
    reached = urlsplit(address)
    if reached.scheme == "https" or is_here(reached.hostname or host):
        return None
    return (
        "over plain HTTP no phone can be paired or work without a network, and records name no "
        "address at which they are checked. Put a proxy with HTTPS "
        "in front and set SILLBOOK_ADDRESS=https://… (README, Serving it for real)."
    )


def _address(host: str, port: int) -> str:
    return f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}"


def migrate_only(settings: Settings, _: argparse.Namespace) -> None:
    """Bring the database to this version's tables."""
    database = Database(settings.database, settings.postgres)
    migrate_database(database)
    database.close()
    print(f"{settings.database} is up to date.")


def rebuild(settings: Settings, _: argparse.Namespace) -> None:
    """Make the board's summaries again from events alone; have what was learned counted anew."""
    database = Database(settings.database, settings.postgres)
    try:
        migrate_database(database)
        with database.write() as session:
            count = database.summaries.rebuild(session)
            learning.forget_all(session)
    finally:
        database.close()
    print(f"{count} summaries were made again.")


def load_demo(settings: Settings, options: argparse.Namespace) -> None:
    """Load the demo company, where it is not there yet. Errors: RefusedError 'demo-elsewhere'."""
    if settings.address:
        words = "The demo has published passwords: it is not loaded where SILLBOOK_ADDRESS is set."
        raise RefusedError("demo-elsewhere", Msg(words))
    app = create_app(settings)
    database: Database = app.state.server.database
    demo.load_company(database)
    week.load_week(database, datetime.now().astimezone())
    if options.year:
        for opening in year.load_year(database, lambda s, events: issuing.on_kept(s, events, {})):
            print(f"{opening} is there: a door of the invented year.")
        while learning.learn_some(database, {}):
            pass
    for line in demo.how_to_sign_in(database):
        print(line)
    database.close()


def _must_be_sqlite(settings: Settings) -> None:
    if settings.postgres:
        words = (
            "The tables are in PostgreSQL: copy them with pg_dump and put them back with "
            "pg_restore, and copy {path} as well: photos (without SILLBOOK_PHOTOS) and the signing "
            "key are there, and in no dump. Phones then offer again what came after."
        )
        raise RefusedError("backup-elsewhere", Msg(words, path=str(settings.data)))


def make_backup(settings: Settings, options: argparse.Namespace) -> None:
    """Copy the data into a new folder, while Sillbook runs or not, and read the copy back."""
    _must_be_sqlite(settings)
    recipient = sealed_copy.read_recipient(options.encrypt_to) if options.encrypt_to else None
    target = options.folder
    if options.keep:
        target = backup.named_copy(options.folder, time.time())
    lacking = backup.back_up(settings.data, target, photo_places.photo_place(settings))
    key = Speaker().say(copying.backup_key(settings.data, target))
    if recipient:
        target = sealed_copy.seal_copy(target, recipient)
    if options.keep:
        backup.keep_newest(options.folder, options.keep)
    condition.note_backup(settings.data, target, time.time())
    print(f"{target} holds a copy of the database and the photos. It was read back.")
    print(key)
    if lacking:
        print(f"{len(lacking)} photos were damaged or missing before: sillbook doctor --full")


def put_back(settings: Settings, options: argparse.Namespace) -> None:
    """Put a copy in the place of the database; phones will offer again what came after it."""
    _must_be_sqlite(settings)
    with ExitStack() as stack:
        folder = options.folder
        if options.identity:
            settings.data.mkdir(mode=0o700, parents=True, exist_ok=True)
            place = stack.enter_context(TemporaryDirectory(dir=settings.data))
            folder = sealed_copy.open_copy(folder, options.identity, Path(place))
        photos = photo_places.photo_place(settings)
        backup.restore_copy(settings.data, folder, options.without_photos, settings.photos, photos)
        print(f"{settings.database} is now the copy; the one before is kept beside it.")
        print(Speaker().say(copying.restore_key(settings.data, folder)))


def copy_elsewhere(settings: Settings, options: argparse.Namespace) -> None:
    """Copy the tables from SQLite into PostgreSQL, or the photos to another place."""
    if options.to.startswith("postgres"):
        copy_to_postgres(settings, options)
    else:
        copy_photos(settings, options.to)


def copy_photos(settings: Settings, to: str) -> None:
    """Copy the photos to another place, each read back; a second time only what is new.

    Errors: RefusedError 'photos-lacking', those of photo_place and mark_as_ours; PhotosAwayError.
    """
    source, target = photo_places.photo_place(settings), photo_places.place_of(to)
    database = Database(settings.database, settings.postgres)
    try:
        migrate_database(database)
        with database.write() as session:
            photo_places.must_be_ours(session, settings.photos, source)
            photo_places.mark_as_ours(session, source, target)
            names = {*photo_places.known_names(session), *source.photo_names()}
    finally:
        database.close()
    lacking = [name for name in names if not photo_places.copy_photo(name, source, target)]
    print(f"Photos were copied to {target.name} and read back there: {len(names) - len(lacking)}")
    if lacking:
        words = Plural(
            "Damaged or missing before already: {count} photo. Look: sillbook doctor --full",
            "Damaged or missing before already: {count} photos. Look: sillbook doctor --full",
        ).of(len(lacking))
        raise RefusedError("photos-lacking", words)
    print("To serve from there, start Sillbook with SILLBOOK_PHOTOS set to that place.")


def copy_to_postgres(settings: Settings, options: argparse.Namespace) -> None:
    """Copy the tables from SQLite into an empty PostgreSQL database, and say what shows it."""
    _must_be_sqlite(settings)
    for table, (count, digest) in tables.copy_tables(settings.database, options.to).items():
        print(f"{count:8} rows  {digest}  {table}")
    print("Both databases come to these digests. From now on start Sillbook with the same folder")
    print("of data and SILLBOOK_DATABASE set to that address; SQLite's file stays as it was.")


def parser() -> argparse.ArgumentParser:
    """Return what the command line takes."""
    made = argparse.ArgumentParser(prog="sillbook", description="A field book for glass doors.")
    verbs = made.add_subparsers(dest="verb", required=True)
    serving = verbs.add_parser("serve", help="serve the pages")
    serving.add_argument("--host", default="127.0.0.1")
    serving.add_argument("--port", type=_port, default=8000)
    serving.add_argument(
        "--workers",
        type=int,
        choices=range(1, MOST_WORKERS + 1),
        default=1,
        metavar="N",
        help=f"so many processes, with PostgreSQL: 1 to {MOST_WORKERS}",
    )
    serving.add_argument(
        "--demo-when-new", action="store_true", help="load the demo company into a new database"
    )
    verbs.add_parser("migrate", help="bring the database to this version")
    loading = verbs.add_parser("demo", help="load the demo company")
    loading.add_argument(
        "--year", action="store_true", help="with an invented year of accepted doors (a minute)"
    )
    verbs.add_parser("rebuild", help="make the board's summaries again, from events alone")
    _add_copying(verbs)
    moving = verbs.add_parser("copy", help="copy tables into PostgreSQL, or photos elsewhere")
    moving.add_argument(
        "to",
        help="postgresql://name@host/database, with nothing in it; or where photos shall lie: "
        "a folder, or https://HOST/BUCKET",
    )
    looking = verbs.add_parser("doctor", help="look how the data are, and say what to mend")
    looking.add_argument(
        "--full", action="store_true", help="read every page, entry, signature and photo"
    )
    verbs.add_parser("settings", help="print what can be set, and to what it is set")
    verbs.add_parser("push-key", help="print a new key for messages to browsers")
    command.add_to(verbs)
    people.add_to(verbs)
    records.add_to(verbs)
    signing.add_to(verbs)
    return made


def _add_copying(verbs: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    copying = verbs.add_parser("backup", help="copy the data into a new folder, and read it back")
    copying.add_argument("folder", type=Path)
    copying.add_argument(
        "--keep",
        type=_count,
        metavar="N",
        help="make the copy inside FOLDER, named by the time, and keep the newest N there",
    )
    copying.add_argument(
        "--encrypt-to", metavar="age1…", help="make one file that only this key of age opens"
    )
    putting = verbs.add_parser("restore", help="put a copy back (Sillbook must be stopped)")
    putting.add_argument("folder", type=Path)
    putting.add_argument(
        "--identity", type=Path, metavar="FILE", help="the secret key of age, for an encrypted copy"
    )
    putting.add_argument(
        "--without-photos", action="store_true", help="give up photos that the copy lacks"
    )


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 0 < int(text[:6]) < 10_000):
        raise argparse.ArgumentTypeError(f"{text} is no number from 1 to 9999")
    return int(text)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and int(text[:6]) <= 65535):
        raise argparse.ArgumentTypeError(f"{text} is no port: a number from 0 to 65535")
    return int(text)


VERBS: dict[str, Callable[[Settings, argparse.Namespace], None]] = {
    "serve": serve,
    "migrate": migrate_only,
    "demo": load_demo,
    "rebuild": rebuild,
    "backup": make_backup,
    "restore": put_back,
    "copy": copy_elsewhere,
    "doctor": running.doctor,
    "settings": running.show_settings,
    "push-key": lambda _settings, _options: print(fresh_push_key()),
    "erase": records.erase,
    "company": records.company,
    "administrator": people.make_administrator,
    "key": signing.key,
}


def main(words: list[str] | None = None) -> int:
    """Run the command line; what is refused is said in one line, and the status is 1."""
    options = parser().parse_args(words)
    if options.verb == "calc":
        return command.run(options)
    if options.verb == "verify":
        return records.verify(options)
    os.umask(0o077)  # whatever is written is its owner's alone
    start_logs(from_environment().log)
    try:
        VERBS[options.verb](from_environment(), options)
    except AppError as error:
        print(Speaker().say(error.message), file=sys.stderr)
        return 1
    except (OSError, DBAPIError) as error:  # a folder or file that cannot be written or read
        where = from_environment().database
        print(f"Cannot use {where}: {getattr(error, 'orig', error)}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 0
    return 0


if __name__ == "__main__":
    sys.exit(main())
