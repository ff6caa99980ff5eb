"""The locked packages: every one with hashes, none with a place to get it from."""

import re
import tomllib
from pathlib import Path

import pytest

from tests.tooling.sources import ROOT

LOCKS = ("requirements.lock", "requirements-dev.lock")


def pins(lock: str) -> dict[str, list[str]]:
    """Return name -> versions of a lock; every entry must have a hash."""
    text = (ROOT / lock).read_text().replace("\\\n", " ")
    found: dict[str, list[str]] = {}
    for line in filter(None, text.splitlines()):
        fits = re.match(
            r"([a-z0-9-]+)==([^ ]+)( ; [^#]+?)? +(--hash=sha256:[0-9a-f]{64} *)+$", line
        )
        assert fits, line
        found.setdefault(fits[1], []).append(fits[2])
    return found


@pytest.mark.parametrize("lock", LOCKS)
def test_every_package_is_pinned_with_hashes(lock: str) -> None:
    assert len(pins(lock)) > 20


@pytest.mark.parametrize("lock", LOCKS)
def test_lock_names_no_place(lock: str) -> None:
    text = (ROOT / lock).read_text()
    for place in ("://", "--index", "--extra-index", "--find-links", "--trusted-host", " @ "):
        assert place not in text


def test_tests_run_with_what_is_served() -> None:
    run, dev = pins(LOCKS[0]), pins(LOCKS[1])
    assert {name: dev.get(name) for name in run} == run


def test_locks_hold_what_the_project_asks_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    name = re.compile(r"[a-z0-9-]+")
    run = {name.match(wish)[0] for wish in project["dependencies"]}  # type: ignore[index]
    dev = {name.match(w)[0] for w in project["optional-dependencies"]["dev"]}  # type: ignore[index]
    assert run <= set(pins(LOCKS[0]))
    assert dev <= set(pins(LOCKS[1]))


def test_no_file_names_a_registry() -> None:
    """Packages are asked for by name alone, wherever the machine gets them from."""
    hosts = ["py" + "pi.org", "python" + "hosted.org", "npm" + "js.org", "npm" + "js.com",
             "deb.deb" + "ian.org"]  # fmt: skip
    for path in files():
        text = path.read_text(encoding="utf-8", errors="replace")
        assert not [host for host in hosts if host in text], path


def files() -> list[Path]:
    """Return the project's own files: not what set-up, running and tests made, nor others' work."""
    made = {".git", ".venv", "data", "__pycache__", "vendor", ".mypy_cache", ".ruff_cache"}
    made |= {".pytest_cache", ".hypothesis", "build", "dist"}
    return [p for p in ROOT.rglob("*") if p.is_file() and not made & set(p.parts)]
