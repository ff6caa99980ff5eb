"""The review page: every step can be gone to, and what waits for readings is folded away.

An id names one element (HTML Living Standard, 3.2.6 "The id attribute").
"""

import re

from starlette.testclient import TestClient


def steps_of(html: str) -> dict[str, str]:
    """Return what the page has of each step, by the id of its element."""
    parts = re.split(r'<details class="review-step" id="([^"]+)"', html)[1:]
    return dict(zip(parts[::2], parts[1::2], strict=True))


def test_every_step_stands_there_once(office: TestClient) -> None:
    html = office.get("/office/o/marrow-lane-b").text
    ids = re.findall(r'\bid="([^"]+)"', html)
    assert len(steps_of(html)) == 13  # A to J, B in two, E for each of three panels
    assert sorted(ids) == sorted(set(ids))


def test_what_waits_for_readings_is_folded_away(office: TestClient) -> None:
    sections = steps_of(office.get("/office/o/marrow-lane-b").text)
    assert 'class="check ' in sections["step-A"]
    assert "Checks that wait for readings" not in sections["step-A"]
    before, _, folded = sections["step-D"].partition("Checks that wait for readings")
    assert 'class="check ' not in before
    assert 'class="check check-missing"' in folded


def test_of_many_steps_that_are_not_signed_the_first_is_named(office: TestClient) -> None:
    """Four of thirteen are signed at the demo's door."""
    html = office.get("/office/o/marrow-lane-b").text
    assert "9 steps are not signed for good. The first: D Frame squaring." in html
    assert html.count("not signed for good") == 1
