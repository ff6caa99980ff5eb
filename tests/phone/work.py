"""A little work at the demo's doors, and the one thing that must be true after every fault."""

import json
import sqlite3
from collections.abc import Iterable
from pathlib import Path

from playwright.sync_api import Page

from app.core.kinds import Json
from app.core.record import gate
from app.core.record.canonical import canonical_bytes
from app.core.record.state import State
from tests.browser.models import SEEN
from tests.browser.seen import expect
from tests.phone.device import Device
from tests.phone.fixtures import Site
from tests.phone.office import Office, chains_hold

OPENING = "marrow-lane-a"
STEP = f"/field/o/{OPENING}/step/A?show=all"  # everything of the step
POINT = f"/field/o/{OPENING}/point/glass-ratio"


def tick(page: Page, number: int, path: str = STEP) -> str:
    """Tick (or take back) a task of a step; returns once the page says so."""
    if page.url.rpartition("/field")[2] != path.rpartition("/field")[2]:
        page.goto(path)
    button = (
        page.get_by_role("region", name="Tasks")
        .get_by_role("listitem")
        .nth(number)
        .get_by_role("button")
        .first
    )
    was = button.get_attribute("aria-pressed")
    text = button.inner_text().splitlines()[0]
    button.click()
    expect(button).to_have_attribute(
        "aria-pressed", "false" if was == "true" else "true", timeout=SEEN
    )
    return text


def ids_of(events: Iterable[Json]) -> list[str]:
    """Return the ids, sorted."""
    return sorted(event["id"] for event in events)


def all_is_well(site: Site, told: list[Json], phones: Iterable[Device] | None = None) -> None:
    """The one invariant, after reconnecting.

    Every event that a person was told is saved is at the office, once, unaltered (to the byte),
    every chain holds, and phone and office fold to the same state.
    """
    devices = [site.phone] if phones is None else list(phones)
    _arrive(site.office, told, devices)
    at_office = site.office.events()
    found = {event["id"]: event for event in at_office}
    assert len(found) == len(at_office)
    for event in told:
        assert canonical_bytes(found[event["id"]]) == canonical_bytes(event)
    chains_hold(at_office)
    for device in devices:
        agrees(site.office, device)


def _arrive(office: Office, told: list[Json], devices: list[Device]) -> None:
    """Wait until nothing is left to send and what was told is there.

    A phone learns only from its next answer that the office went back: it has nothing to send
    until then.
    """
    for _ in range(80):
        for device in devices:
            assert device.is_sent(), device.book()["news"]
        missing = {event["id"] for event in told} - set(ids_of(office.events()))
        if not missing:
            break
        for device in devices:
            device.sync()
            device.page.wait_for_timeout(250)
    assert not missing


def agrees(office: Office, device: Device) -> None:
    """The phone's pages are made of what the office has, and it folds alike.

    What others sent since comes with its next look at the office: it is given some.
    """
    for _ in range(40):
        differing = [
            o["id"] for o in device.book()["openings"] if not _same(office, device, o["id"])
        ]
        if not differing:
            break
        device.sync()
        device.page.wait_for_timeout(250)
    assert differing == []
    for opening in device.book()["openings"]:
        here, there = device.live(opening["id"]), office.events(opening["id"])
        assert folded(here, office.data) == folded(there, office.data)


def _same(office: Office, device: Device, opening: str) -> bool:
    return ids_of(device.live(opening)) == ids_of(office.events(opening))


def folded(events: list[Json], data: Path) -> list[tuple[str, str, str]]:
    """Return of each step what a sign-off would cover now, and where its sign-off stands."""
    state = State(events, known_procedures(data))
    out = []
    for step in state.steps:
        sign = gate.sign_of(state, step)
        stands = "" if sign is None else f"{sign.event['id']} {sign.true} {sign.holds}"
        out.append((step.key, gate.cover_of(state, step)["digest"], stands))
    return out


_PROCEDURES: dict[Path, Json] = {}


def known_procedures(data: Path) -> Json:
    """Return the procedures of the office's database."""
    if data not in _PROCEDURES:
        database = sqlite3.connect(f"file:{data / 'sillbook.db'}?mode=ro", uri=True)
        rows = database.execute("SELECT id, version, text FROM procedure").fetchall()
        database.close()
        _PROCEDURES[data] = {f"{id_}@{version}": json.loads(text) for id_, version, text in rows}
    return _PROCEDURES[data]
