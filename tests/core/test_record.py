"""The log of an opening: what counts, what bars a sign-off, what a sign-off is worth.

The rules are this project's own; the scenarios are those that its design names. What is
published: RFC 8785 (canonical JSON), FIPS 180-4 (SHA-256), checked at the end.
"""

from app.core.record.canonical import canonical_bytes, digest
from app.core.record.events import VERSION, check_body, is_time, new_event
from app.core.record.gate import bars_of, sign_of
from app.core.record.judge import results_of
from tests.core.expect import refused
from tests.core.sample import PROCEDURES, Site, changed, inches


def codes(state, key="A"):
    return [bar.code for bar in bars_of(state, state.step(key))]


def orders(events):
    """Return the events as they came, backwards, and turned by a third."""
    back = list(reversed(events))
    third = len(events) // 3
    return [events, back, events[third:] + events[:third]]


def worth(events, key="A"):
    """Return (true, holds) of a sign-off, the same for every order of arrival."""
    found = []
    for ordered in orders(events):
        from app.core.record.state import State

        state = State(ordered, PROCEDURES)
        sign = sign_of(state, state.step(key))
        found.append((sign.true, sign.holds))
    assert found[0] == found[1] == found[2]
    return found[0]


def test_gate_names_all_that_bars():
    site = Site()
    assert codes(site.state("phone-a")) == ["task-open", "decision-open", "not-measured"]
    site.ready_a("phone-a")
    assert codes(site.state("phone-a")) == []


def test_decision_against_bars():
    site = Site()
    site.ready_a("phone-a")
    no = {"step": "A", "decision": "go", "choice": "no", "name": "Builder"}
    site.write("phone-a", "decision.made", no)
    assert codes(site.state("phone-a")) == ["decision-bars"]


def test_out_bars_and_measured_again_opens():
    site = Site()
    site.ready_a("phone-a")
    site.read("phone-a", "gap", "left", "5/16", inches(5, 16))
    assert codes(site.state("phone-a")) == ["check-out"]
    site.read("phone-a", "gap", "left", "1/4", inches(1, 4))
    assert codes(site.state("phone-a")) == []


def test_hold_bars_later_steps_until_signed():
    site = Site()
    site.ready_a("phone-a")
    assert "hold-before" in codes(site.state("phone-a"), "B:A")
    site.sign("phone-a")
    assert "hold-before" not in codes(site.state("phone-a"), "B:A")
    assert "hold-before" in codes(site.state("phone-a"), "B:B")


def test_part_that_is_not_here_bars_its_step():
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a")
    assert "part-bars" in codes(site.state("phone-a"), "B:A")
    site.write("phone-a", "part.stated", {"mark": "P-A", "state": "damaged", "words": "edge"})
    assert "part-bars" in codes(site.state("phone-a"), "B:A")
    site.write("phone-a", "part.stated", {"mark": "P-A", "state": "here"})
    assert "part-bars" not in codes(site.state("phone-a"), "B:A")


def test_query_bars_named_steps_until_answered():
    site = Site()
    site.ready_a("phone-a")
    query = site.write("phone-a", "query.raised", {"words": "lock side?", "bars": ["A"]})
    assert codes(site.state("phone-a")) == ["query-open"]
    site.send("phone-a", "office-1")
    answer = {"query": query["id"], "answer": "build", "words": "as drawn"}
    site.write("office-1", "query.answered", answer)
    assert codes(site.state()) == []


def test_phone_cannot_say_what_only_the_office_may():
    site = Site()
    site.ready_a("phone-a")
    query = site.write("phone-a", "query.raised", {"words": "lock side?", "bars": ["A"]})
    answer = {"query": query["id"], "answer": "build", "words": "I say so"}
    site.write("phone-a", "query.answered", answer)
    assert codes(site.state("phone-a")) == ["query-open"]


def test_unreachable_is_an_answer_and_never_within():
    site = Site()
    site.ready_a("phone-a")
    body = {"point": "gap", "panel": "", "place": "right", "why": "behind the post"}
    site.write("phone-a", "reading.unreachable", body)
    state = site.state("phone-a")
    assert codes(state) == []
    assert results_of(state, state.step("A"))[0].verdict == "unreachable"


def test_reading_for_information_replaces_nothing():
    site = Site()
    site.ready_a("phone-a")
    body = {
        "point": "gap", "panel": "", "place": "left", "quantity": "length", "text": "1",
        "value": inches(1), "how": "plain", "units": "in", "info": True,
    }  # fmt: skip
    site.write("phone-a", "reading.taken", body)
    assert codes(site.state("phone-a")) == []


def test_adjustment_and_correction_ask_for_new_readings():
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a")
    move = {"step": "A", "adjustment": "moved", "panel": "", "words": "turned"}
    site.write("phone-a", "adjustment.made", move)
    assert codes(site.state("phone-a")) == ["not-measured"]
    assert worth(site.all()) == (True, False)
    site.read("phone-a", "gap", "left", "1/8", inches(1, 8))
    site.read("phone-a", "gap", "right", "1/8", inches(1, 8))
    assert codes(site.state("phone-a")) == []
    fix = {"step": "A", "check": "gap-most", "panel": "", "words": "shimmed"}
    site.write("phone-a", "correction.made", fix)
    assert codes(site.state("phone-a")) == ["not-measured"]


def test_concession_covers_just_the_readings_it_was_given_for():
    site = Site()
    site.ready_a("phone-a")
    out = site.read("phone-a", "gap", "left", "5/16", inches(5, 16))
    right = next(e for e in site.book("phone-a") if e["body"].get("place") == "right")
    site.send("phone-a", "office-1")
    body = {
        "check": "gap-most",
        "panel": "",
        "readings": [out["id"], right["id"]],
        "reason": "hidden",
    }
    site.write("office-1", "concession.given", body)
    site.send("office-1", "phone-a")
    assert codes(site.state("phone-a")) == []
    site.read("phone-a", "gap", "left", "3/8", inches(3, 8))
    assert codes(site.state("phone-a")) == ["check-out"]


def test_what_can_never_be_conceded():
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a")
    site.write("phone-a", "part.stated", {"mark": "P-A", "state": "here"})
    one = site.read("phone-a", "reveal", "left", "1", inches(1), "A")
    two = site.read("phone-a", "reveal", "right", "2", inches(2), "A")
    site.send("phone-a", "office-1")
    body = {
        "check": "reveal-alike",
        "panel": "A",
        "readings": [one["id"], two["id"]],
        "reason": "x",
    }
    site.write("office-1", "concession.given", body)
    assert codes(site.state(), "B:A") == ["check-out"]


def test_scenario_1_arrival_order():
    """Phone A reads within and signs; phone B, offline, reads out: true and broken, always."""
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a")
    site.read("phone-b", "gap", "left", "1", inches(1))
    assert worth(site.all()) == (True, False)
    assert codes(site.state()) == ["check-conflict"]


def test_scenario_2_wrong_clock():
    """A's clock is a day ahead; B pulls, measures again, out: replaced, and the sign-off broken."""
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a", at="2026-03-03T08:00:00+00:00")
    site.send("phone-a", "phone-b")
    site.read("phone-b", "gap", "left", "1", inches(1))
    assert worth(site.all()) == (True, False)
    assert codes(site.state()) == ["check-out"]


def test_scenario_3_strike_in_between():
    """A reading is taken, then struck; whoever saw the time between or not: the sign-off holds."""
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a")
    site.send("phone-a", "phone-b")
    wrong = site.read("phone-b", "gap", "left", "1", inches(1))
    site.send("phone-b", "phone-a")
    assert worth(site.book("phone-a")) == (True, False)
    site.write("phone-b", "entry.struck", {"target": wrong["id"], "why": "other door"})
    assert worth(site.all()) == (True, True)
    site.send("phone-b", "phone-a")
    assert worth(site.book("phone-a")) == (True, True)


def test_two_readings_of_one_verdict_are_no_conflict():
    site = Site()
    site.ready_a("phone-a")
    site.read("phone-b", "gap", "left", "3/16", inches(3, 16))
    assert codes(site.state()) == []


def test_signed_with_a_shut_gate_is_disputed():
    site = Site()
    site.sign("phone-a")
    assert worth(site.all()) == (False, True)
    assert "hold-before" in codes(site.state(), "B:A")


def test_truth_worked_out_before_the_past_arrived_does_not_stick():
    site = Site()
    site.ready_a("phone-a")
    site.send("phone-a", "phone-b")
    sign = site.sign("phone-b")
    truths = {}
    from app.core.record.state import State

    early = State([site.issue, sign], PROCEDURES, truths)
    assert not sign_of(early, early.step("A")).true
    assert truths == {}
    late = State(site.all(), PROCEDURES, truths)
    assert sign_of(late, late.step("A")).true
    assert truths == {sign["id"]: True}


def test_returned_by_the_office_breaks_until_signed_again():
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a")
    site.send("phone-a", "office-1")
    body = {"result": "returned", "step": "A", "words": "measure the left again"}
    site.write("office-1", "opening.reviewed", body)
    assert worth(site.all()) == (True, False)
    site.send("office-1", "phone-a")
    site.sign("phone-a")
    assert worth(site.all()) == (True, True)


def test_newer_entries_are_never_judged():
    site = Site()
    site.ready_a("phone-a")
    newer = dict(site.book("phone-a")[-1])
    newer["id"] = "newer"
    newer["v"] = VERSION + 1
    newer["n"] = newer["n"] + 1
    site.book("phone-a").append(newer)
    assert codes(site.state()) == ["newer-entries"]


def test_chain_and_turn():
    site = Site()
    first = site.read("phone-a", "gap", "left", "1", inches(1))
    second = site.read("phone-a", "gap", "left", "2", inches(2))
    assert (first["n"], first["prev"], first["turn"]) == (1, "", 2)
    assert (second["n"], second["prev"], second["turn"]) == (2, digest(first), 3)
    draft = {
        "id": "x", "device": "phone-a", "opening": "o1", "seen": {"phone-z": 4},
        "at": "2026-03-02T08:00",
        "person": "p", "kind": "reading.unreachable",
        "body": {"point": "", "panel": "", "place": "", "why": ""},
    }  # fmt: skip
    refused("seen-unknown", new_event, [first], draft)


def test_body_that_does_not_fit_is_refused():
    site = Site()
    refused("event-unfit", site.write, "phone-a", "no.such", {})
    refused("event-unfit", site.write, "phone-a", "entry.struck", {"target": "x"})
    refused("event-unfit", site.write, "phone-a", "entry.struck", {"target": "x", "why": 3})
    extra = {"target": "x", "why": "y", "z": ""}
    refused("event-unfit", site.write, "phone-a", "entry.struck", extra)


def test_canonical_bytes_of_rfc_8785():
    # RFC 8785 section 3.2.3: order of properties (its ASCII ones), 3.2.2.2: strings
    # (the example string of section 3.2.2, read from the RFC, from memory).
    assert (
        canonical_bytes({"b": 1, "a": [True, None, "x"], "1": {}})
        == b'{"1":{},"a":[true,null,"x"],"b":1}'
    )
    text = '€$\x0f\nA\'B"\\\\"/'
    assert canonical_bytes(text) == b'"\xe2\x82\xac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"'
    # FIPS 180-4; the digest of the two characters "" computed independently with sha256sum
    assert digest("") == "12ae32cb1ec02d01eda3581b127c1fee3b0dc53572ed6baf239721a03d82e126"
    refused("not-canonical", canonical_bytes, 2**53)
    refused("not-canonical", canonical_bytes, 1.5)
    refused("not-canonical", canonical_bytes, {"é": 1})
    refused("not-canonical", canonical_bytes, b"x")


def test_words_and_ranges_of_an_entry_belong_to_its_version():
    """The ends of what a device's clock and measure.py's ranges allow; words as events.py has them.

    No published source: the vocabulary is our own.
    """
    good = [
        ("part.stated", {"mark": "P1", "state": "here"}, "state", "lost"),
        ("how.chosen", {"point": "gap", "panel": "", "how": "up"}, "how", "sideways"),
        ("task.ticked", {"step": "A", "task": "t", "done": True, "done_at": "2026-03-02T10:15"},
         "done_at", "9999-12-31T23:59"),
        ("setup.tied", {"point": "g", "panel": "", "place": "l", "text": "1", "shift": "-5"},
         "shift", "-05"),
        ("photo.taken", {"step": "A", "task": "t", "sha256": "ab" * 32, "size": 9, "width": 4096,
                         "height": 1}, "width", 4097),
        ("query.raised", {"words": "x", "bars": ["A"]}, "bars", ["A"] * 2001),
    ]  # fmt: skip
    reading = {
        "point": "g", "panel": "", "place": "l", "quantity": "length", "text": "1",
        "value": str(10**12), "how": "plain", "units": "mm",
    }  # fmt: skip
    good.append(("reading.taken", reading, "value", str(10**12 + 1)))
    good.append(("reading.taken", changed(reading, {"value": "1"}), "quantity", "colour"))
    for kind, body, field, odd in good:
        check_body(kind, body)
        refused("event-unfit", check_body, kind, changed(body, {field: odd}))
    for at in ("1970-01-01", "2199-12-31T23:59:59-12:00", "2026-03-02T08:00", "2026-03-02T08:00Z"):
        assert is_time(at), at
    for at in ("", "x", "1969-12-31", "2200-01-01T00:00", "2026-02-30", "2026-03-02T24:00", 5):
        assert not is_time(at), at
