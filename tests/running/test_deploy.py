"""What serves it for real: units of systemd, a container file; upgrade and roll-back."""

import lzma
import re
import shlex
import shutil
import sqlite3
import subprocess
import tomllib
from contextlib import closing
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app import cli
from app.core.errors import RefusedError
from app.main import create_app
from app.settings import SETTINGS, Settings
from app.store import backup
from tests.tooling.sources import ROOT

DEPLOY = ROOT / "deploy"
ARCHIVE = ROOT / "tests" / "archive"


@pytest.mark.parametrize("unit", ["sillbook.service", "sillbook-backup.service"])
def test_units_start_commands_that_there_are(unit: str) -> None:
    known = {one.name for one in SETTINGS}
    starts = []
    for line in (DEPLOY / unit).read_text().splitlines():
        name, _, value = line.partition("=")
        if name == "Environment":
            assert value.partition("=")[0] in known
        if name.startswith("ExecStart"):
            starts.append(shlex.split(value)[3:])
    assert starts
    for words in starts:
        assert cli.parser().parse_args(words).verb in cli.VERBS


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="needs systemd's own tool")
def test_units_are_what_systemd_takes(tmp_path: Path) -> None:
    """systemd-analyze verify, with the program's place made to exist."""
    for unit in ("sillbook.service", "sillbook-backup.service", "sillbook-backup.timer"):
        text = (DEPLOY / unit).read_text().replace("/opt/sillbook/.venv/bin/python", "/bin/true")
        (tmp_path / unit).write_text(text)
    done = subprocess.run(
        ["systemd-analyze", "verify", *map(str, sorted(tmp_path.iterdir()))],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    ours = [line for line in done.stderr.splitlines() if "sillbook" in line]
    assert not ours, ours


def test_the_container_has_all_that_the_program_reads() -> None:
    lines = [line.split() for line in (DEPLOY / "Containerfile").read_text().splitlines()]
    copied = {line[1] for line in lines if line[:1] == ["COPY"]}
    from app import settings

    read = {settings.TEMPLATES, settings.STATIC, settings.MIGRATIONS, settings.SEED_DATA}
    assert {path.name for path in read} | {"app", "requirements.lock"} == copied
    command = next(line for line in lines if line[:1] == ["CMD"])
    words = [word.strip('[]",') for word in command[1:]]
    assert cli.parser().parse_args(words).verb == "serve"


def container_lines() -> dict[str, str]:
    """Return what follows each word of the container file; of one that comes twice the last."""
    lines = (DEPLOY / "Containerfile").read_text().splitlines()
    return dict(line.split(" ", 1) for line in lines if line[:1].isupper())


def test_the_container_stands_on_a_version_and_runs_without_rights() -> None:
    """It is built nowhere here: what its lines say is held against the program."""
    lines = container_lines()
    name, _, version = lines["FROM"].partition(":")
    found = re.fullmatch(r"(3\.\d+)(\.\d+)?-slim-(bookworm|trixie)", version)  # Debian 12, 13
    assert found, (name, version)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    least = re.fullmatch(r">=3\.(\d+)", project["requires-python"])
    assert least
    assert int(found[1].partition(".")[2]) >= int(least[1])
    words = [line.split(" ")[0] for line in (DEPLOY / "Containerfile").read_text().splitlines()]
    assert words.index("USER") < words.index("ENTRYPOINT")
    assert lines["USER"] != "root"
    assert f"-o {lines['USER']}" in lines["RUN"]  # who runs it has the folder of the data
    assert f"SILLBOOK_DATA={lines['VOLUME']}" in lines["ENV"]
    assert "--require-hashes" in (DEPLOY / "Containerfile").read_text()
    known = {one.name for one in SETTINGS}
    named = {word.partition("=")[0] for word in lines["ENV"].split()}
    assert {name for name in named if name.startswith("SILLBOOK")} <= known


def test_the_container_asks_its_own_health(tmp_path: Path) -> None:
    """By the address and port that it serves at, whatever the address that people know it by."""
    lines = container_lines()
    asked = re.search(r"http://127\.0\.0\.1:(\d+)(/[a-z]+)", lines["HEALTHCHECK"])
    assert asked
    assert f'"--port", "{asked[1]}"' in lines["CMD"]
    assert lines["EXPOSE"] == asked[1]
    app = create_app(Settings(tmp_path / "data", "https://book.example.org"))
    browser = TestClient(app, base_url=f"http://127.0.0.1:{asked[1]}", follow_redirects=False)
    assert browser.get(asked[2]).text == "ok"
    app.state.server.database.close()


def test_upgrade_and_roll_back(tmp_path: Path) -> None:
    """README, Upgrade: a copy first; then the new version; back by `restore`, and phones offer.

    The database is the archive's, as the version before left it.
    """
    data, copy = tmp_path / "data", tmp_path / "copy"
    data.mkdir()
    shutil.copy(ARCHIVE / "signing-key.pem", data)
    shutil.copytree(ARCHIVE / "before-first-release" / "photos", data / "photos")
    dump = lzma.decompress((ARCHIVE / "before-first-release" / "sqlite.sql.xz").read_bytes())
    with closing(sqlite3.connect(data / "sillbook.db")) as connection:
        connection.executescript(dump.decode())
    before = entries(data)
    assert backup.back_up(data, copy) == []
    app = create_app(Settings(data))
    assert TestClient(app).get("/health").text == "ok"
    app.state.server.database.close()
    assert entries(data)[: len(before)] == before
    with closing(sqlite3.connect(data / "sillbook.db")) as connection:
        connection.execute("UPDATE alembic_version SET version_num = 'of-next-year'")
        connection.commit()
    with pytest.raises(RefusedError) as refused:  # the old program over the new one's tables
        create_app(Settings(data))
    assert refused.value.code == "database-version"
    backup.restore_copy(data, copy)
    assert entries(data) == before
    app = create_app(Settings(data))
    assert TestClient(app).get("/health").text == "ok"
    app.state.server.database.close()


def entries(data: Path) -> list[tuple[str, str]]:
    with closing(sqlite3.connect(data / "sillbook.db")) as plain:
        return plain.execute("SELECT id, hash FROM event ORDER BY seq").fetchall()
