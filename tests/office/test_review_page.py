"""The review page: every step can be gone to, and what waits for readings is folded away.

An id names one element (HTML Living Standard, 3.2.6 "The id attribute").
"""

import re

from starlette.testclient import TestClient


def test_every_step_can_be_gone_to(office: TestClient) -> None:
    html = office.get("/office/o/marrow-lane-b").text
    gone_to = re.findall(r'<li><a href="#(step-[^"]+)">', html)
    ids = re.findall(r'\bid="([^"]+)"', html)
    assert gone_to == re.findall(r'class="review-step" id="([^"]+)"', html)
    assert len(gone_to) == len(set(gone_to)) == 13  # A to J, B in two, E for each of three panels
    assert sorted(ids) == sorted(set(ids))


def test_what_waits_for_readings_is_folded_away(office: TestClient) -> None:
    html = office.get("/office/o/marrow-lane-b").text
    sections = dict(
        re.findall(r'<section class="review-step" id="(.*?)"(.*?)</section>', html, re.DOTALL)
    )
    assert 'class="check ' in sections["step-A"]
    assert "Checks that wait for readings" not in sections["step-A"]
    before, _, folded = sections["step-D"].partition("Checks that wait for readings")
    assert 'class="check ' not in before
    assert 'class="check check-missing"' in folded
