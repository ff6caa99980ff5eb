"""What is said, and done, where Firefox is not there: no browser is started here."""

import os
from pathlib import Path

import pytest

from tests.firefox import setup

CALLED = "called.txt"


@pytest.fixture
def bare(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A machine with apt-get (that notes how it is called) and no Firefox."""
    apt = tmp_path / "apt-get"
    apt.write_text(f'#!/bin/sh\necho "$@" >> {tmp_path / CALLED}\n')
    apt.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    for name in ("SILLBOOK_LEAVE_NOTHING_OUT", "SILLBOOK_FIREFOX"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


@pytest.mark.parametrize("user", [0, 1000])
def test_one_line_says_what_is_left_out_and_only_root_installs(
    bare: Path, user: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: user)
    assert setup.main() == 0
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert said.startswith("Tests in Firefox are left out: there is none.")
    asked = (bare / CALLED).read_text() if user == 0 else ""
    assert asked.endswith("firefox-esr\n" if user == 0 else "")
    assert (bare / CALLED).exists() == (user == 0)


def test_where_nothing_may_be_left_out_set_up_fails(
    bare: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    monkeypatch.setenv("SILLBOOK_LEAVE_NOTHING_OUT", "yes")
    assert setup.main() == 1


def test_one_that_is_there_is_used(bare: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    found = bare / "my-firefox"
    found.write_text("#!/bin/sh\n")
    found.chmod(0o755)
    monkeypatch.setenv("SILLBOOK_FIREFOX", str(found))
    assert (setup.find(), setup.main()) == (str(found), 0)
