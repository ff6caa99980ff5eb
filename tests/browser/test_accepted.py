"""The pages of an accepted door, each as test_accessible.py looks at the others.

The door has an owner's complaint with a photo, and three visits: signed, measured, just begun.
"""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, Page, expect

from app.core.record import visits
from app.store.ids import uuid7
from tests.browser.accepted_states import ACCEPTED
from tests.browser.fixtures import PHONE
from tests.browser.models import SEEN
from tests.browser.server import Sillbook, serving
from tests.browser.states import all_folds_open
from tests.browser.test_accessible import keeps_nobody_out, pages_of
from tests.demo.conftest import OURS, enter
from tests.homeowner.conftest import make_link, served
from tests.homeowner.test_handing_on import office_secret
from tests.homeowner.test_service import begin, measure, photo, state_of, visit


@pytest.fixture(scope="module")
def visited(
    accepted: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, dict[str, str]]:
    """A folder of data with that door, and what stands for the braces of the paths."""
    data = tmp_path_factory.mktemp("visited") / "data"
    shutil.copytree(accepted, data)
    app = served(data)
    with TestClient(app) as stranger:
        office = enter(app, "supervisor")
        link, _, _ = make_link(office)
        fields = {"id": uuid7(), "words": "It rattles in the wind"}
        file = {"photo": ("a.jpg", photo())}
        stranger.post(link + "/complaint", data=fields, files=file, headers=OURS)
        known = {"signed": visit(app)}
        known["measured"] = begin(app)
        measure(app, known["measured"])
        known["begun"] = begin(app)
        left = visits.places_left(visits.visited_state(state_of(app), known["begun"]))
        known["step"] = left[0][0].key
        known["token"] = link.rpartition("/")[2]
        known["hand_on"] = office_secret(office, "hand-on").rpartition("/")[2]
        known["renew"] = office_secret(office, "renew").rpartition("/")[2]
    return data, known


@pytest.fixture(scope="module")
def door(visited: tuple[Path, dict[str, str]]) -> Iterator[Sillbook]:
    with serving(visited[0]) as running:
        yield running


@pytest.fixture(scope="module")
def people(chromium: Browser, door: Sillbook) -> Iterator[dict[str, Page]]:
    yield from pages_of(chromium, door.address, [person for _, person, _ in ACCEPTED])


LATER = ("a visit, measured", "the record by its link", "a service sheet by the link")


@pytest.mark.parametrize(
    ("name", "person", "path"),
    [
        pytest.param(*page, id=page[0], marks=[pytest.mark.long] * (page[0] in LATER))
        for page in ACCEPTED
    ],
)
def test_a_page_of_an_accepted_door_keeps_nobody_out(
    people: dict[str, Page],
    visited: tuple[Path, dict[str, str]],
    name: str,
    person: str,
    path: str,
) -> None:
    page = people[person]
    page.set_viewport_size(PHONE)
    all_folds_open(path.format(**visited[1]))(page)
    heading = page.get_by_role("heading", level=1)
    expect(heading).not_to_have_text(re.compile("no such|not known"), timeout=SEEN)
    keeps_nobody_out(page)
