"""A spoken concession in the log: opens provisionally, is confirmed or refused by the office.

The rules are this project's own, from its design: alike for every order of arrival.
"""

from app.core.record.gate import bars_of, sign_of
from app.core.record.judge import number_of, results_of
from app.core.record.state import State
from tests.core.sample import PROCEDURES, Site, inches


def result_of(state):
    return results_of(state, state.step("A"))[0]


def out_site():
    """A step that is complete, but for a gap that is out; phone a and the office know it."""
    site = Site()
    site.ready_a("phone-a")
    site.read("phone-a", "gap", "left", "5/16", inches(5, 16))
    return site


def say(site, device="phone-a"):
    """Type the code that the office read out."""
    result = result_of(site.state(device))
    body = {
        "check": "gap-most", "panel": "", "readings": result.readings,
        "number": number_of(site.state(device), result), "code": "12345678", "day": "2026-03-02",
    }  # fmt: skip
    return site.write(device, "concession.spoken", body)


def office_says(site, kind):
    site.send("phone-a", "office-1")
    body = {"check": "gap-most", "panel": "", "reason": "Seen on photos."}
    if kind == "concession.given":
        body["readings"] = result_of(site.state("office-1")).readings
    return site.write("office-1", kind, body)


def everywhere(site):
    """Return (settled, provisional, conceded, sign holds) alike for three orders of arrival."""
    events = site.all()
    found = []
    for ordered in (events, list(reversed(events)), events[2:] + events[:2]):
        state = State(ordered, PROCEDURES)
        result = result_of(state)
        sign = sign_of(state, state.step("A"))
        held = (sign.true, sign.holds) if sign else None
        found.append(
            (result.settled, result.provisional is not None, result.conceded is not None, held)
        )
    assert found[0] == found[1] == found[2]
    return found[0]


def test_it_opens_the_gate_provisionally():
    site = out_site()
    assert [
        bar.code for bar in bars_of(site.state("phone-a"), site.state("phone-a").step("A"))
    ] == ["check-out"]
    say(site)
    state = site.state("phone-a")
    assert bars_of(state, state.step("A")) == []
    assert everywhere(site) == (True, True, False, None)


def test_the_offices_own_word_confirms_and_the_sign_off_holds():
    site = out_site()
    say(site)
    site.sign("phone-a", "A")
    assert everywhere(site) == (True, True, False, (True, True))
    office_says(site, "concession.given")
    assert everywhere(site) == (True, False, True, (True, True))


def test_conceded_in_writing_before_the_voice_was_heard_of():
    site = out_site()
    office_says(site, "concession.given")
    say(site)
    site.sign("phone-a", "A")
    assert everywhere(site) == (True, False, True, (True, True))


def test_refused_the_gate_is_shut_and_the_sign_off_broken():
    site = out_site()
    say(site)
    site.sign("phone-a", "A")
    office_says(site, "concession.withdrawn")
    assert everywhere(site) == (False, False, False, (True, False))
    say(site)  # the same code typed once more opens nothing
    assert everywhere(site)[:3] == (False, False, False)


def test_refused_and_then_conceded_in_writing():
    site = out_site()
    say(site)
    office_says(site, "concession.withdrawn")
    office_says(site, "concession.given")
    assert everywhere(site)[:3] == (True, False, True)


def test_it_is_for_just_these_readings():
    site = out_site()
    say(site)
    site.read("phone-a", "gap", "left", "3/8", inches(3, 8))
    assert everywhere(site)[:2] == (False, False)


def test_a_number_of_other_readings_opens_nothing():
    site = out_site()
    result = result_of(site.state("phone-a"))
    body = {
        "check": "gap-most", "panel": "", "readings": result.readings, "number": "482109375",
        "code": "12345678", "day": "2026-03-02",
    }  # fmt: skip
    site.write("phone-a", "concession.spoken", body)
    assert everywhere(site)[:2] == (False, False)


def test_what_cannot_be_conceded_stays_shut():
    site = out_site()
    site.sign("phone-a", "A")
    say(site)
    for step in PROCEDURES["small@1"]["steps"]:
        for check in step["checks"]:
            assert check["id"] != "gap-most" or check["rank"] == "supervisor"
    try:
        PROCEDURES["small@1"]["steps"][0]["checks"][0]["rank"] = "never"
        assert everywhere(site)[:2] == (False, False)
    finally:
        PROCEDURES["small@1"]["steps"][0]["checks"][0]["rank"] = "supervisor"


def test_set_aside_by_the_office_it_is_as_if_never_said():
    site = out_site()
    said = say(site)
    site.send("phone-a", "office-1")
    aside = {"target": said["id"], "why": "spoken-code-wrong"}
    site.write("office-1", "entry.set-aside", aside)
    assert everywhere(site)[:2] == (False, False)
