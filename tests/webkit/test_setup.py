"""What is said, and done, where WebKit is not there: no browser is started here."""

import os
from pathlib import Path

import pytest

from tests.browser import debian
from tests.browser import setup as browser_setup
from tests.webkit import setup

CALLED = "called.txt"
STRICT = "SILLBOOK_LEAVE_NOTHING_OUT"


@pytest.fixture
def bare(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A machine with apt-get (that notes how it is called) and no WebKit."""
    apt = tmp_path / "apt-get"
    apt.write_text(f'#!/bin/sh\necho "$@" >> {tmp_path / CALLED}\n')
    apt.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(setup, "SYSTEM_PYTHON", str(tmp_path / "none"))
    monkeypatch.delenv(STRICT, raising=False)
    return tmp_path


def user(monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    """Be somebody (0: root)."""
    monkeypatch.setattr(os, "geteuid", lambda: number)


def test_who_is_not_root_is_told_what_to_run(
    bare: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    user(monkeypatch, 1000)
    assert browser_setup.webkit_is_there() == 0
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert said.startswith("Tests in WebKit are left out: no WebKitWebDriver, no Xvfb, no WebKit2")
    assert said.endswith(
        "as root: apt install webkit2gtk-driver gir1.2-webkit2-4.1 python3-gi xvfb\n"
    )
    assert not (bare / CALLED).exists()


def test_root_installs_by_the_names_of_the_packages_alone(
    bare: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    user(monkeypatch, 0)
    assert "left out" in setup.find_or_install()  # this apt-get only notes
    update, install = (bare / CALLED).read_text().splitlines()
    assert update.split()[0] == "update"
    assert install.split()[-len(setup.PACKAGES) :] == list(setup.PACKAGES)
    assert "://" not in install


def test_without_apt_nothing_is_tried(bare: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    user(monkeypatch, 0)
    (bare / "apt-get").unlink()
    assert not debian.can_install()
    assert "left out" in setup.find_or_install()


def test_where_nothing_may_be_left_out_set_up_fails(
    bare: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    user(monkeypatch, 1000)
    monkeypatch.setenv(STRICT, "yes")
    assert browser_setup.webkit_is_there() == 1


def test_what_is_there_is_not_installed_again(bare: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    user(monkeypatch, 0)
    for name in (*setup.PROGRAMS, "none"):
        (bare / name).write_text("#!/bin/sh\n")
        (bare / name).chmod(0o755)
    assert setup.find_or_install() == ""
    assert not (bare / CALLED).exists()
