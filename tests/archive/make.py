"""python -m tests.archive.make: makes the archive's files anew, by this version of the program.

Before the first release that may be done at any change; after it only a new folder may be added.
"""

import json
import lzma
import shutil
import sqlite3
import subprocess
import tempfile
from contextlib import closing
from pathlib import Path

from fastapi import FastAPI

from app.core.kinds import Json
from app.core.record.canonical import canonical_bytes
from app.core.record.events import KINDS
from app.core.trade.verdicts import VERDICTS
from app.office.moving import records
from app.settings import Settings
from app.signing.certificate import fingerprint_of, pem_of
from app.signing.key import read_key
from app.signing.pins import Pins
from app.store import log, procedures
from app.store.records import revisions_of
from tests.archive import chance, work
from tests.archive.facts import facts_of_export, facts_of_log, facts_of_pdf
from tests.demo.conftest import enter
from tests.homeowner.conftest import OPENING
from tests.store import postgres

HERE = Path(__file__).parent
FOLDER = HERE / "before-first-release"


def main() -> None:
    """Make the files in the place of those that are there."""
    shutil.rmtree(FOLDER, ignore_errors=True)
    FOLDER.mkdir()
    with tempfile.TemporaryDirectory() as name:
        facts = {"chance": _keep_chance(), **_keep_job(Path(name))}
    (FOLDER / "facts.json").write_text(json.dumps(facts, indent=1, sort_keys=True) + "\n")
    for path in sorted(FOLDER.rglob("*")):
        if path.is_file():
            print(path.stat().st_size, path.relative_to(FOLDER))


def _keep_chance() -> Json:
    """Keep the logs of chance; returns what they add up to."""
    logs, known = chance.logs(), chance.procedures()
    made = {event["kind"] for events in logs for event in events}
    assert made == set(KINDS), sorted(set(KINDS) ^ made)
    _keep("chance.json", canonical_bytes({"procedures": known, "logs": logs}))
    facts = [facts_of_log(events, known) for events in logs]
    found = {verdict for one in facts for step in one["steps"] for _, verdict in step["verdicts"]}
    assert set(VERDICTS) <= found, sorted(found)
    return facts


def _keep(name: str, data: bytes) -> None:
    (FOLDER / (name + ".xz")).write_bytes(lzma.compress(data, preset=9))


def _keep_job(folder: Path) -> Json:
    """Do the job in both databases; keep log, exports, PDFs and dumps; returns their facts."""
    with work.without_chance():
        app = work.whole_job(Settings(folder / "sqlite", "https://book.example.org"))
    key = read_key(work.KEY)
    assert key is not None
    (FOLDER / "company-keys.pem").write_text(pem_of(key.certificate))
    pins = Pins((fingerprint_of(key.certificate),))
    facts = {"log": _keep_log(app), **_keep_issued(app, pins)}
    shutil.copytree(folder / "sqlite" / "photos", FOLDER / "photos")
    app.state.server.database.close()
    _keep("sqlite.sql", _dump_sqlite(folder / "sqlite" / "sillbook.db").encode())
    assert facts["exports"] == _in_postgresql(folder, pins)
    return facts


def _keep_log(app: FastAPI) -> Json:
    """Keep the job's log as the office takes it out; returns what it adds up to."""
    with app.state.server.database.read() as session:
        taken = records.openings_in(session, opening=OPENING)
        text = "".join(records.record_texts(session, taken, work.NOW))
        events = log.events_of(session, [OPENING])[OPENING]
        facts = facts_of_log(events, procedures.all_of(session, {}))
    _keep("records.json", text.encode())
    return facts


def _exports(app: FastAPI) -> dict[str, bytes]:
    with app.state.server.database.read() as session:
        numbers = [row.revision for row in revisions_of(session, OPENING)]
    office = enter(app, "supervisor")
    made = {n: office.get(f"/record/{OPENING}/r/{n}/export.json") for n in numbers}
    assert all(answer.status_code == 200 for answer in made.values())
    return {str(n): answer.content for n, answer in made.items()}


def _keep_issued(app: FastAPI, pins: Pins) -> Json:
    """Keep exports and a PDF of each revision; returns what their checks find."""
    exports = _exports(app)
    office = enter(app, "supervisor")
    facts: Json = {"exports": {}, "pdfs": {}}
    for number, data in exports.items():
        _keep(f"export-{number}.json", data)
        facts["exports"][number] = facts_of_export(data, pins)
        paper, lang, units = [("a4", "es", "mm"), ("letter", "en", "both")][int(number) % 2]
        path = f"/record/{OPENING}/r/{number}/{paper}.pdf?lang={lang}&units={units}"
        pdf = office.get(path)
        assert pdf.status_code == 200
        _keep(f"record-{number}.pdf", pdf.content)
        facts["pdfs"][number] = facts_of_pdf(pdf.content, pins)
    return facts


def _dump_sqlite(path: Path) -> str:
    with closing(sqlite3.connect(path)) as connection:
        return "\n".join(connection.iterdump()) + "\n"


def _in_postgresql(folder: Path, pins: Pins) -> Json:
    """Do the same job there and keep a dump; returns the facts of its exports."""
    programs = postgres.programs()
    assert programs is not None, postgres.HINT
    with postgres.cluster() as server:
        address = postgres.make_database(server, "archive")
        with work.without_chance():
            settings = Settings(folder / "pg", "https://book.example.org", address)
            app = work.whole_job(settings)
        facts = {n: facts_of_export(data, pins) for n, data in _exports(app).items()}
        app.state.server.database.close()
        ask = [programs / "pg_dump", "--inserts", "--no-owner", "--no-privileges", address]
        dump = subprocess.run(ask, check=True, capture_output=True, text=True).stdout
    # lines that begin with a backslash are psql's, not the server's
    text = "".join(line for line in dump.splitlines(True) if not line.startswith("\\"))
    _keep("postgresql.sql", text.encode())
    return facts


if __name__ == "__main__":
    main()
