"""Instruments in the log: a failed check throws doubt on what was measured since the last good one.

That rule is common practice on site (a level that fails is put aside, and its work is measured
again); how "since" is told without clocks is this project's own.
"""

from app.core.quantity.speaker import Speaker
from app.core.record import gate, tools
from app.core.record.events import check_body
from app.core.record.state import State
from app.core.trade import toolcheck
from app.core.trade.instruments import METRE, instrument_of, named_instrument, reading_uncertainty
from app.core.trade.verdicts import OUT, WITHIN
from tests.core.expect import refused
from tests.core.golden import checks
from tests.core.sample import LASER, PROCEDURES, Site, changed, inches

P = "phone-1"


def doubted(site: Site, reading) -> bool:
    """Return whether a reading is in doubt, the same for three orders of arrival."""
    events = site.all()
    back = list(reversed(events))
    found = [
        State(order, PROCEDURES).doubted_by(reading) is not None
        for order in (events, back, events[1:] + events[:1])
    ]
    assert found[0] == found[1] == found[2]
    return found[0]


def test_the_two_peg_check():
    # geometry: ground that rises 350 reads 1500 and 1850 with a line that is 50 out at the far peg
    # and, from the middle, 1500 and 1850 without it
    assert toolcheck.peg_error((1000, 1400), (1500, 1850)) == 50
    assert toolcheck.peg_error((1000, 1350), (1500, 1850)) == 0
    assert toolcheck.peg_error((1000, 1300), (1500, 1850)) == 50
    ours = toolcheck.peg_error((1_000_000, 4_000_000), (0, 0))
    checks("two-peg", "3 mm over the pegs", 3000000, ours, "geometry", "computed", 0, "nm")
    laser = instrument_of("laser")  # 0.3 mm/m over 10 m: 3 mm (computed)
    assert toolcheck.judge_pegs([0, 0, 0, 3000000], 10 * METRE, laser).verdict == WITHIN
    assert toolcheck.judge_pegs([0, 0, 0, 3000001], 10 * METRE, laser).verdict == OUT
    refused("length-needed", toolcheck.judge_pegs, [0, 0, 0, 0], 0, laser)
    refused("tool-not-level", toolcheck.judge_pegs, [0, 0, 0, 0], METRE, instrument_of("rule"))


def test_a_known_size_is_read_to_one_step():
    gauge = instrument_of("gauge")  # steps of 0.1 mm
    assert toolcheck.judge_known(10000000, 9900000, gauge).verdict == WITHIN
    assert toolcheck.judge_known(10000000, 9899999, gauge).verdict == OUT


def test_named_instrument_is_judged_by_its_own_class_and_step():
    # half the step halves the uncertainty of a gauge: U = step / sqrt 3 (rectangular, k = 2)
    own = reading_uncertainty(named_instrument("gauge", "G2", 50000), 0)
    checks("uncertainty", "gauge, 0.05 mm steps", 28868, own, "0.05 / sqrt 3", "computed", 1, "nm")
    fine, coarse = (
        named_instrument("tape", "T1", 1000000, "I"),
        named_instrument("tape", "T2", 1000000, "III"),
    )
    assert reading_uncertainty(fine, 3 * METRE) < reading_uncertainty(coarse, 3 * METRE)
    assert Speaker().say(fine.title) == "T1"
    refused("tape-class", named_instrument, "tape", "T1", 1, "IV")
    refused("tape-class", named_instrument, "tape", "T1", 1, "")
    refused("instrument-unknown", named_instrument, "crowbar", "C", 1)


def test_finding_of_a_check_is_worked_out_again():
    body = changed(LASER, {"way": "two-peg", "values": ["0", "0", "0", "0"], "length": "1",
                           "other": "", "occasion": "c", "texts": [], "units": "mm"})  # fmt: skip
    check_body("instrument.checked", body)
    assert tools.check_finding(body).verdict == WITHIN
    assert tools.check_finding(changed(body, {"values": ["0"]})).verdict == OUT
    assert tools.check_finding(changed(body, {"way": "turned"})).verdict == OUT
    assert tools.check_finding(changed(body, {"sort": "crowbar"})).verdict == OUT
    assert tools.check_finding(changed(body, {"length": "0"})).verdict == OUT
    for field, value in (("values", ["x"]), ("values", "1"), ("length", ""), ("slope", "1.5")):
        refused("event-unfit", check_body, "instrument.checked", changed(body, {field: value}))


def test_failed_check_doubts_what_came_since_the_last_good_one():
    site = Site()
    site.name(P)
    first = site.read_with(P, "left", inches(1, 8))
    site.check(P, 1)
    second = site.read_with(P, "right", inches(1, 8))
    assert not doubted(site, first)
    assert not doubted(site, second)
    site.check(P, 4)
    assert not doubted(site, first)
    assert doubted(site, second)


def test_repaired_and_checked_it_is_good_for_what_comes_after():
    site = Site()
    before = site.read_with(P, "left", inches(1, 8))
    site.check(P, 4)
    during = site.read_with(P, "right", inches(1, 8))
    site.check(P, 0)
    after = site.read_with(P, "left", inches(1, 8))
    assert doubted(site, before)
    assert doubted(site, during)
    assert not doubted(site, after)


def test_reading_without_an_instrument_or_with_another_is_left_alone():
    site = Site()
    plain = site.read(P, "gap", "left", "1/8", inches(1, 8))
    site.check(P, 4)
    assert not doubted(site, plain)


def test_struck_check_counts_no_more():
    site = Site()
    reading = site.read_with(P, "left", inches(1, 8))
    failed = site.check(P, 4)
    assert doubted(site, reading)
    site.write(P, "entry.struck", {"target": failed["id"], "why": "misread"})
    assert not doubted(site, reading)


def test_clock_orders_nothing():
    site = Site()
    site.check(P, 0, at="2026-03-09T08:00:00+00:00")  # a clock a week ahead
    reading = site.read_with(P, "left", inches(1, 8))
    site.check(P, 4, at="2026-03-02T09:00:00+00:00")
    assert doubted(site, reading)


def test_two_phones_that_did_not_see_each_other():
    site = Site()
    reading = site.read_with("phone-1", "left", inches(1, 8))
    site.send("phone-1", "phone-2")
    site.check("phone-1", 4)
    assert doubted(site, reading)
    site.check("phone-2", 0)  # had seen the reading: the instrument was good after it
    assert not doubted(site, reading)
    own = site.read_with("phone-3", "right", inches(1, 8))  # has seen neither check
    assert doubted(site, own)


def test_relayed_check_never_clears_what_came_before():
    site = Site()
    reading = site.read_with(P, "left", inches(1, 8))
    site.send(P, "office-1")
    site.check("office-1", 0, relayed=True)
    site.check("office-1", 4, relayed=True)
    assert doubted(site, reading)
    site.check("office-1", 0, relayed=True)
    site.send("office-1", P)
    again = site.read_with(P, "left", inches(1, 8))
    assert not doubted(site, again)


def test_reading_from_paper_goes_by_when_it_was_measured():
    site = Site()
    site.check(P, 4, at="2026-03-02T08:00:00+00:00")
    site.check(P, 0, at="2026-03-02T12:00:00+00:00")
    early = site.read_with(P, "left", inches(1, 8), "2026-03-02T10:15")
    late = site.read_with(P, "right", inches(1, 8), "2026-03-02T12:15")
    assert doubted(site, early)
    assert not doubted(site, late)


def test_doubt_bars_the_gate_and_breaks_the_sign_off_and_measuring_again_heals():
    site = Site()
    site.ready_a(P)
    site.name(P)
    site.read_with(P, "left", inches(1, 8))
    site.sign(P)
    failed = site.check(P, 4)
    state = site.state()
    assert [bar.code for bar in gate.bars_of(state, state.step("A"))] == ["not-measured"]
    sign = gate.sign_of(state, state.step("A"))
    assert sign.true
    said = [Speaker().say(words) for words in sign.why]
    assert "Laser L2 failed its check: what it measured counts no more." in said
    site.write(P, "entry.struck", {"target": failed["id"], "why": "misread"})
    assert gate.sign_of(site.state(), site.state().step("A")).holds


def test_state_tells_the_instruments_with_their_last_check():
    site = Site()
    site.name(P)
    assert [(t.id, t.name, t.last, t.good) for t in site.state().instruments] == [
        ("L2", "Laser L2", None, False)
    ]
    check = site.check(P, 1)
    (tool,) = site.state().instruments
    assert tool.last["id"] == check["id"]
    assert tool.good
    site.check(P, 4)
    assert not site.state().instruments[0].good
