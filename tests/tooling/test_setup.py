"""Set-up says in one line what only the owner of the machine can do."""

import subprocess
import sys
from pathlib import Path

import pytest

from app import setup
from tests.browser import setup as browser_setup
from tests.tooling.sources import ROOT


def program(path: Path, text: str) -> Path:
    path.write_text("#!/bin/sh\n" + text)
    path.chmod(0o755)
    return path


def test_running_python_is_found() -> None:
    assert setup.is_new_enough(sys.executable)
    assert setup.version_of(sys.executable) == sys.version_info[:2]


@pytest.mark.parametrize("text", ["exit 1", "echo 3 10", "echo nonsense", "echo 2 7"])
def test_broken_and_old_pythons_are_passed_over(tmp_path: Path, text: str) -> None:
    assert not setup.is_new_enough(str(program(tmp_path / "python3", text)))


def test_no_python_at_all_is_passed_over(tmp_path: Path) -> None:
    assert not setup.is_new_enough(str(tmp_path / "none"))


def test_newer_python_beside_an_old_one_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = program(tmp_path / "python3", "echo 3 9")
    new = program(tmp_path / "python3.13", "echo 3 13")
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(sys, "executable", str(old))
    assert setup.find_python() == str(new)
    new.unlink()
    with pytest.raises(setup.SetupError, match=r"needs Python 3\.11 or newer"):
        setup.find_python()


def test_missing_venv_is_told_with_the_command(tmp_path: Path) -> None:
    python = program(tmp_path / "python3", "exit 1")
    with pytest.raises(setup.SetupError, match="apt install python3-venv") as told:
        setup.make_venv(str(python))
    assert "\n" not in str(told.value)


def test_stamp_is_of_the_very_lock(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(setup, "ROOT", tmp_path)
    monkeypatch.setattr(setup, "VENV", tmp_path)
    (tmp_path / setup.RUN_LOCK).write_text("a==1\n")
    assert not setup.is_installed(setup.RUN_LOCK)
    setup.stamp_path(setup.RUN_LOCK).write_text(setup.digest(setup.RUN_LOCK))
    assert setup.is_installed(setup.RUN_LOCK)
    (tmp_path / setup.RUN_LOCK).write_text("a==2\n")
    assert not setup.is_installed(setup.RUN_LOCK)


def test_set_up_needs_nothing_but_the_standard_library() -> None:
    """It runs before anything is installed: isolated, without site-packages."""
    command = [sys.executable, "-I", "-S", str(ROOT / "app" / "setup.py"), "--help"]
    subprocess.run(command, check=True, capture_output=True)


def test_wished_browser_that_does_not_start_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("SILLBOOK_CHROMIUM", str(tmp_path / "none"))
    assert browser_setup.main() == 1
    assert str(tmp_path / "none") in capsys.readouterr().err


def test_make_help_tells_every_target() -> None:
    done = subprocess.run(["make", "help"], cwd=ROOT, check=True, capture_output=True, text=True)
    for target in ("run", "test", "lint", "types", "clean", "vendor", "vendor-check"):
        assert f"make {target} " in done.stdout
