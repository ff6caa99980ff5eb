"""The office: put back from a copy, killed. Numbers are those of the list of faults."""

import shutil
import signal

import pytest

from tests.browser.models import SignIn
from tests.phone.fixtures import Site
from tests.phone.work import all_is_well, tick


def test_16_an_office_restored_from_a_backup(site: Site) -> None:
    """What came after the copy is gone there; the phone sees the new epoch and offers all again."""
    page = site.phone.page
    tick(page, 0)
    assert site.phone.is_sent()
    site.office.backup(site.folder / "backup.db")
    epoch, count = site.office.epoch(), len(site.office.events())
    for number in (1, 2):
        tick(page, number)
    assert site.phone.is_sent()
    told = site.phone.own()
    assert len(site.office.events()) == count + 2
    site.office.stop()
    site.office.restore(site.folder / "backup.db")
    site.office.start()
    assert site.office.epoch() != epoch
    assert len(site.office.events()) == count
    site.phone.sync()
    all_is_well(site, told)


@pytest.mark.long
def test_16_a_whole_machine_put_back_and_another_writes_first(site: Site) -> None:
    """The office went back, stamp and all, and by now its numbers are past the phone's cursor.

    No new epoch then; the phone still sees by count and digest that its own entry is gone there.
    """
    site.office.stop()
    shutil.copytree(site.office.data, site.folder / "image")
    site.office.start()
    tick(site.phone.page, 0)
    assert site.phone.is_sent()
    told = site.phone.own()
    epoch = site.office.epoch()
    site.phone.close()  # it must not ask before the other has written: that would be a new epoch
    site.office.stop()
    shutil.rmtree(site.office.data)
    shutil.copytree(site.folder / "image", site.office.data)
    site.office.start()
    other = site.another("plain")
    try:
        SignIn(other.open(service_workers="block")).as_("tobin")
        tick(other.page, 1)
    finally:
        other.close()
    assert site.office.epoch() == epoch
    site.phone.open().goto("/field")
    site.phone.sync()
    all_is_well(site, told)


def test_15_an_office_killed_under_upload(site: Site) -> None:
    """SIGKILL again and again while the phone sends: a batch is all or nothing, and goes on."""
    page = site.phone.page
    for number in range(3):
        tick(page, number)
        site.phone.sync()
        site.office.stop(signal.SIGKILL)
        site.office.start()
    told = site.phone.own()
    assert site.office.rows("PRAGMA integrity_check") == [("ok",)]
    all_is_well(site, told)
