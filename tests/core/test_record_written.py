"""What was judged stays judged: sign-offs, acceptances and concessions under other rules.

A core whose checks are stricter or laxer than those that judged stands for a later, or an older,
version of the program. The rules are this project's own, from its design.
"""

from app.core.record import rules
from app.core.record.fold import carried_forward
from app.core.record.gate import bars_of, sign_of, verdict_lines
from app.core.record.judge import results_of
from app.core.record.standing import opening_state
from app.core.record.state import State
from app.core.record.written import judged_by, judgement_of
from app.core.trade import verdicts
from tests.core.other_rules import Rules, laxer, stricter
from tests.core.sample import PROCEDURES, Site, inches


def received(site, phone="phone-a"):
    site.send(phone, "office-1")
    site.judge()
    site.send("office-1", phone)


def ready_b(site, letter="A", device="phone-a"):
    site.read(device, "reveal", "left", "1/8", inches(1, 8), letter)
    site.read(device, "reveal", "right", "1/8", inches(1, 8), letter)


def half_finished():
    """Step A is signed and judged; of B one panel is measured and not signed."""
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a")
    received(site)
    site.write("phone-a", "part.stated", {"mark": "P-A", "state": "here"})
    ready_b(site)
    return site


def finished():
    site = half_finished()
    ready_b(site, "B")
    state = site.state("phone-a")
    for step in state.steps[1:]:
        site.sign("phone-a", step.key)
    received(site)
    return site


def accepted():
    site = finished()
    state = site.state("office-1")
    lines = [line for step in state.steps for line in verdict_lines(state, step)]
    body = {"result": "accepted", "words": ""}
    body.update(judged_by(state, lines))
    site.write("office-1", "opening.reviewed", body)
    return site


def standing(site, key="A", device=""):
    """Return (true, holds) of a sign-off, the same for three orders of arrival."""
    events = site.book(device) if device else site.all()
    out = []
    for ordered in (events, list(reversed(events)), events[2:] + events[:2]):
        state = State(ordered, PROCEDURES)
        sign = sign_of(state, state.step(key))
        out.append((sign.true, sign.holds))
    assert out[0] == out[1] == out[2]
    return out[0]


def codes(site, key="A", device=""):
    state = site.state(device)
    return [bar.code for bar in bars_of(state, state.step(key))]


def kind_of(site):
    return opening_state(site.state())


def test_an_accepted_door_stays_done_whatever_later_rules_say():
    site = accepted()
    assert kind_of(site) == "done"
    for calc in ("each-within", "alike", ""):
        for verdict in (verdicts.OUT, verdicts.CLOSE, verdicts.WITHIN, verdicts.UNREACHABLE):
            with Rules(99, verdict, calc):
                assert kind_of(site) == "done"
                assert standing(site) == (True, True)


def test_no_check_made_stricter_or_laxer_moves_what_was_judged():
    """Check by check, over a door that is half finished, finished, and accepted."""
    for made in (half_finished, finished, accepted):
        site = made()
        steps = site.state().steps
        signed = [step.key for step in steps if sign_of(site.state(), step) is not None]
        assert signed
        before = [standing(site, key) for key in signed]
        for calc in sorted({c["calc"] for step in steps for c in step.data["checks"]}):
            for verdict in (verdicts.OUT, verdicts.CLOSE, verdicts.WITHIN, verdicts.UNREACHABLE):
                with Rules(99, verdict, calc):
                    assert [standing(site, key) for key in signed] == before, (calc, verdict)


def test_a_stricter_check_bars_no_next_step_and_is_flagged():
    site = half_finished()
    with stricter():
        assert standing(site) == (True, True)
        state = site.state()
        assert [(r.verdict, r.today) for r in results_of(state, state.step("A"))] == [
            ("within", "out")
        ]
        # what was never signed goes by today's rules
        assert codes(site, "B:A") == ["check-out"]
    with Rules(99, verdicts.OUT, "each-within"):
        assert codes(site, "B:A") == []
    state = site.state()
    assert [(r.verdict, r.today) for r in results_of(state, state.step("A"))] == [
        ("within", "within")
    ]


def test_before_the_office_has_judged_a_phone_goes_by_its_own_rules():
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a")
    assert standing(site) == (True, True)
    with stricter():
        assert standing(site) == (False, True)


def test_a_sign_off_that_was_disputed_stays_so_but_bars_no_new_one():
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a")
    with stricter():
        received(site)
        assert standing(site) == (False, True)
    assert standing(site) == (False, True)
    assert codes(site) == []  # today's rules open the gate: it is signed anew
    site.sign("phone-a")
    received(site)
    assert standing(site) == (True, True)


def test_what_changes_breaks_it_as_before():
    site = accepted()
    site.read("phone-a", "gap", "left", "3/16", inches(3, 16))
    with stricter():
        assert standing(site) == (True, False)
        assert kind_of(site) == "broken"
    assert standing(site) == (True, False)


def test_two_phones_of_two_versions():
    """Phone b has stricter rules: once it has the office's judgement, both see the same."""
    site = Site()
    site.ready_a("phone-a")
    site.sign("phone-a")
    site.send("phone-a", "phone-b")
    with stricter():
        assert standing(site, device="phone-b") == (False, True)
    received(site)
    site.send("office-1", "phone-b")
    with stricter():
        assert standing(site, device="phone-b") == (True, True)
        site.write("phone-b", "part.stated", {"mark": "P-A", "state": "here"})
        assert codes(site, "B:A", "phone-b") == ["not-measured"]
    assert standing(site, device="phone-b") == (True, True)


def test_what_an_older_phone_signs_is_judged_by_the_offices_rules():
    """By other rules its verdicts are its own; the office's count, and are written."""
    site = Site()
    site.ready_a("phone-a")
    with stricter():
        office = rules.RULES
        signed = site.sign("phone-a")  # its gate was shut by its own rules, and it signed
    assert signed["body"]["rules"] == office
    received(site)
    assert standing(site) == (True, True)


def test_old_rules_that_are_named_to_get_something_through_are_noticed():
    site = Site()
    site.ready_a("phone-a")
    site.read("phone-a", "gap", "left", "5/16", inches(5, 16))
    with Rules(7, verdicts.WITHIN):
        signed = site.sign("phone-a")
    assert [v["verdict"] for v in signed["body"]["verdicts"]] == ["within"]
    received(site)
    assert standing(site) == (False, True)
    given = judgement_of(site.state().ledger, signed["id"])
    assert [line["verdict"] for line in given["body"]["verdicts"]] == ["out"]


def test_by_the_same_rules_another_verdict_is_disputed():
    site = Site()
    site.ready_a("phone-a")
    signed = site.sign("phone-a")
    signed["body"]["verdicts"][0]["verdict"] = "unreachable"
    received(site)
    assert standing(site) == (False, True)


def test_it_is_judged_once_all_of_its_past_is_here():
    site = Site()
    site.read("phone-b", "gap", "left", "1/8", inches(1, 8))
    site.send("phone-b", "phone-a")
    site.ready_a("phone-a")
    signed = site.sign("phone-a")
    late = site.book("phone-b")[-1]
    site.book("office-1").extend([e for e in site.book("phone-a")[1:] if e is not late])
    site.judge()
    assert judgement_of(site.state("office-1").ledger, signed["id"]) is None
    site.book("office-1").append(late)
    site.judge()
    assert judgement_of(site.state("office-1").ledger, signed["id"])["body"]["result"] == "true"


def test_only_the_first_judgement_counts_until_one_gives_a_reason():
    site = Site()
    site.ready_a("phone-a")
    signed = site.sign("phone-a")
    received(site)
    first = judgement_of(site.state().ledger, signed["id"])
    again = dict(first["body"])
    again["result"] = "disputed"
    site.write("office-1", "judgement.given", again)
    assert standing(site) == (True, True)
    site.write("phone-a", "judgement.given", again)  # only the office may say it
    assert standing(site) == (True, True)
    with stricter():
        site.judge("The tape was a foot short.")
        assert standing(site) == (False, True)
        assert codes(site) == ["check-out"]
    assert standing(site) == (False, True)


def conceded_by_voice():
    from app.core.record.judge import number_of

    site = Site()
    site.ready_a("phone-a")
    site.read("phone-a", "gap", "left", "5/16", inches(5, 16))
    state = site.state("phone-a")
    result = results_of(state, state.step("A"))[0]
    body = {
        "check": "gap-most", "panel": "", "readings": result.readings,
        "number": number_of(state, result), "code": "12345678", "day": "2026-03-02",
    }  # fmt: skip
    site.write("phone-a", "concession.spoken", body)
    return site


def test_a_concession_by_voice_waits_for_the_office_whatever_later_rules_say():
    site = conceded_by_voice()
    assert codes(site) == []
    site.sign("phone-a")
    received(site)
    for later in (laxer(), stricter(), Rules(99, verdicts.CLOSE)):
        with later:
            assert standing(site) == (True, True)
            state = site.state()
            result = results_of(state, state.step("A"))[0]
            assert (result.verdict, result.provisional is not None) == ("out", True)


def test_a_concession_by_voice_of_other_rules_does_not_break_what_was_signed_over_it():
    site = Site()
    site.ready_a("phone-a")
    with stricter():
        stricter_site = site
        from app.core.record.judge import number_of

        state = stricter_site.state("phone-a")
        result = results_of(state, state.step("A"))[0]
        body = {
            "check": "gap-most", "panel": "", "readings": result.readings,
            "number": number_of(state, result), "code": "12345678", "day": "2026-03-02",
        }  # fmt: skip
        site.write("phone-a", "concession.spoken", body)
        site.sign("phone-a")
    received(site)
    assert standing(site) == (True, True)


def test_a_written_concession_stands_under_other_rules():
    site = Site()
    site.ready_a("phone-a")
    site.read("phone-a", "gap", "left", "5/16", inches(5, 16))
    site.send("phone-a", "office-1")
    state = site.state("office-1")
    readings = results_of(state, state.step("A"))[0].readings
    body = {"check": "gap-most", "panel": "", "readings": readings, "reason": "hidden"}
    site.write("office-1", "concession.given", body)
    site.send("office-1", "phone-a")
    site.sign("phone-a")
    received(site)
    for later in (laxer(), stricter(), Rules(99, verdicts.CLOSE)):
        with later:
            assert standing(site) == (True, True)
            state = site.state()
            assert results_of(state, state.step("A"))[0].verdict == "out"


def test_judged_anew_an_acceptance_does_not_keep_the_old_verdict():
    """The office found that what it had accepted was measured with a bad tape."""
    site = accepted()
    with stricter():
        site.judge("The tape was a foot short.")
        assert standing(site) == (False, True)
        assert codes(site) == ["check-out"]
        site.send("office-1", "phone-a")
        site.sign("phone-a")
        received(site)
        assert standing(site) == (False, True)


def test_what_was_accepted_stays_so_where_a_part_of_its_past_comes_late_to_stricter_rules():
    site = Site()
    site.write("phone-b", "query.raised", {"words": "Which way?", "bars": []})
    site.send("phone-b", "phone-a")
    late = site.book("phone-b")[-1]
    site.ready_a("phone-a")
    signed = site.sign("phone-a")
    site.book("office-1").extend([e for e in site.book("phone-a")[1:] if e is not late])
    site.judge()
    assert judgement_of(site.state("office-1").ledger, signed["id"]) is None
    body = {"result": "accepted", "words": ""}
    state = site.state("office-1")
    body.update(judged_by(state, verdict_lines(state, state.step("A"))))
    site.write("office-1", "opening.reviewed", body)
    site.book("office-1").append(late)
    with Rules(99, verdicts.CLOSE):
        site.judge()
        assert standing(site) == (True, True)
        site.judge("The tape was a foot short.")
    assert standing(site) == (False, True)


def test_a_judgement_without_verdicts_is_not_missed_by_a_state_that_is_carried():
    """A concession by voice that its check never had: the office's word on it names no check."""
    site = conceded_by_voice()
    site.send("phone-a", "office-1")
    state = site.state("office-1")
    assert bars_of(state, state.step("A")) == []
    spoken = site.book("office-1")[-1]
    body = {"target": spoken["id"], "result": "disputed", "seal": "0" * 64}
    body.update(judged_by(state, []))
    site.write("office-1", "judgement.given", body)
    events = site.book("office-1")
    state = carried_forward(state, events, PROCEDURES, {})
    assert [bar.code for bar in bars_of(state, state.step("A"))] == ["check-out"]
    assert codes(site, device="office-1") == ["check-out"]


def test_a_closer_look_with_an_unknown_verdict_counts_for_nothing():
    site = Site()
    site.ready_a("phone-a")
    with Rules(1, verdicts.CLOSE):
        state = site.state("phone-a")
        result = results_of(state, state.step("A"))[0]
        body = {
            "step": "A", "check": "gap-most", "panel": "", "readings": result.readings,
            "by": "gauge", "texts": ["in"], "verdict": "within",
        }  # fmt: skip
        entry = site.write("phone-a", "close.settled", body)
        entry["body"]["verdict"] = "splendid"  # no door takes it; it came past one
        assert codes(site, device="phone-a") == ["check-close"]
