"""Clocks: started by an act, ended by another, judged by the times that their entries claim.

Expected times are subtractions done by hand. Fifteen minutes of flood: common practice, no source.
"""

from app.core.quantity.messages import Msg
from app.core.quantity.moments import moment_of, moment_text
from app.core.quantity.speaker import Speaker
from app.core.record import clocks, gate, judge
from app.core.record.fold import carried_forward
from app.core.record.state import State
from tests.core.asked import ask, place, said
from tests.core.sample import PROCEDURE, Site, changed, inches, version

MINUTE = 60000
ZERO = {"value": "0"}


def clock(id, start, end, rank="supervisor", **limit):
    return {
        "id": id, "title": id, "calc": "time-between", "limits": limit, "settings": {},
        "points": {
            input: act["point"] for input, act in (("start", start), ("end", end)) if "point" in act
        },
        "basis": {"kind": "practice", "text": ""}, "reason": "", "rank": rank,
        "clock": {"start": start, "end": end},
    }  # fmt: skip


def ticked(task):
    return {"task": task, "step": "A"}


def read(at):
    return {"point": "gap", "place": at, "step": "A"}


def tasks(*ids):
    return [{"id": id, "text": id, "kind": "tick"} for id in ids]


FLOOD = clock("flood", read("left"), read("right"), least={"value": str(15 * MINUTE)})
SKIN = clock("skin", ticked("bead"), ticked("set"), "author", most={"value": str(20 * MINUTE)})
CURE = clock("cure", {"adjustment": "filled", "step": "A"}, ticked("pan"),
             least={"value": str(24 * 60 * MINUTE)})  # fmt: skip
MOVES = [
    {"id": "moved", "text": "It was moved", "stale": ["gap"]},
    {"id": "filled", "text": "It was filled", "stale": []},
    {"id": "lifted", "text": "It was lifted", "stale": ["skin"]},
]
STEP = {
    "tasks": tasks("bead", "set", "pan"), "decisions": [], "checks": [FLOOD, SKIN, CURE],
    "adjustments": MOVES,
}  # fmt: skip
CLOCKED = version(1, "A", **STEP)
PROCEDURES = {"small@1": CLOCKED}


class Timed(Site):
    """A site whose procedure has clocks; entries say when they are made, on the 2nd of March."""

    def at(self, clock, offset="+00:00"):
        return "2026-03-02T" + clock + ":00" + offset

    def tick(self, device, task, clock, done=True, **more):
        body = changed({"step": "A", "task": task, "done": done}, more)
        return self.write(device, "task.ticked", body, self.at(clock))

    def gap(self, device, where, clock, **more):
        body = {
            "point": "gap", "panel": "", "place": where, "quantity": "length", "text": "1/8",
            "value": inches(1, 8), "how": "plain", "units": "in",
        }  # fmt: skip
        return self.write(device, "reading.taken", changed(body, more), self.at(clock))

    def move(self, device, what, clock):
        body = {"step": "A", "adjustment": what, "panel": "", "words": what}
        return self.write(device, "adjustment.made", body, self.at(clock))

    def put_right(self, device, check, clock):
        body = {"step": "A", "check": check, "panel": "", "words": "done"}
        return self.write(device, "correction.made", body, self.at(clock))

    def state(self, device=""):
        return State(self.book(device) if device else self.all(), PROCEDURES)

    def result(self, id, device=""):
        state = self.state(device)
        found = [r for r in judge.results_of(state, state.step("A")) if r.check["id"] == id]
        return found[0] if found else None

    def bars(self, device=""):
        state = self.state(device)
        return [Speaker().say(bar.message) for bar in gate.bars_of(state, state.step("A"))]


def test_moments():
    """Source: POSIX.1, 86,400 s a day since 1970-01-01T00:00:00Z; the second numbers are known."""
    for text, seconds in (
        ("1970-01-01T00:00:00+00:00", 0),
        ("2000-03-01T00:00:00+00:00", 951868800),
        ("2001-09-09T01:46:40+00:00", 1000000000),
        ("2026-03-02T14:05-05:00", 1772478300),
        ("2024-02-29T23:59:59Z", 1709251199),
    ):
        assert moment_of(text) == seconds * 1000, text
    assert moment_text(1772478300000, "2026-07-01T08:00:00+02:00") == "2026-03-02T21:05:00+02:00"
    for text in ("", "x", "2026-03-02", "2026-02-30T10:00:00+00:00", "2026-03-02T24:00:00+00:00",
                 "2026-03-02T10:00:00", "2026-03-02T10:00:00+5"):  # fmt: skip
        assert moment_of(text) is None, text


def test_on_the_limit_is_within_and_a_thousandth_of_a_second_past_it_is_not():
    """By definition: simple acceptance."""
    from app.core.checks.clock import time_between

    def judged(start, end, error=0, **limit):
        question = ask({"start": [(place("a"), start)], "end": [(place("b"), end)]}, limit)
        question.errors = {"end": error}
        return time_between(question)

    flood = 15 * MINUTE
    assert judged(5, 5 + flood, least=flood).verdict == "within"
    short = judged(5, 4 + flood, least=flood)
    assert (short.verdict, short.over) == ("out", 1)
    assert judged(5, 5 + flood, most=flood).verdict == "within"
    assert judged(5, 6 + flood, most=flood).verdict == "out"
    early, late = judged(0, 10 * MINUTE, least=flood), judged(0, 25 * MINUTE, most=flood)
    assert said(early.says) == "10 min: 5 min too short, at least 15 min."
    assert said(late.says) == "25 min: 10 min too long, at most 15 min."
    # a clock that was set back is never within a skin time; an end before its start is no time
    assert judged(0, 10 * MINUTE, 5 * MINUTE, most=flood).verdict == "close"
    assert judged(0, 25 * MINUTE, 5 * MINUTE, most=flood).verdict == "out"
    assert judged(0, 25 * MINUTE, 5 * MINUTE, least=flood).verdict == "within"
    assert judged(0, 16 * MINUTE, 5 * MINUTE, least=flood).verdict == "close"
    assert judged(9, 0, least=flood).verdict == "close"
    assert judged(9, 0, most=flood).verdict == "close"


def test_a_flood_that_has_not_run_its_time_bars_the_gate_until_it_has():
    site = Timed()
    for task in ("bead", "set", "pan"):
        site.tick("p1", task, "08:00")
    assert site.result("flood").verdict == "missing"
    site.gap("p1", "left", "10:00")
    running = site.result("flood")
    assert (running.verdict, running.clock.until) == ("missing", "2026-03-02T10:15:00+00:00")
    assert "flood: Waiting until 2 Mar 2026, 10:15." in site.bars()
    site.gap("p1", "right", "10:10")
    early = site.result("flood")
    assert (early.verdict, early.outcome.over) == ("out", 5 * MINUTE)
    assert site.bars() == ["flood: out of tolerance."]
    site.gap("p1", "right", "10:15")
    assert site.result("flood").verdict == "within"
    assert site.bars() == []
    site.sign("p1")
    state = site.state()
    assert gate.sign_of(state, state.step("A")).good


def test_a_clock_whose_end_is_out_of_reach_holds_nothing_up_and_is_never_within():
    site = Timed()
    for task in ("bead", "set", "pan"):
        site.tick("p1", task, "08:00")
    site.gap("p1", "left", "10:00")
    body = {"point": "gap", "panel": "", "place": "right", "why": "drained too soon"}
    gone = site.write("p1", "reading.unreachable", body, site.at("10:05"))
    flood = site.result("flood")
    assert (flood.verdict, flood.readings[-1]) == ("unreachable", gone["id"])
    assert (site.bars(), flood.clock.runs) == ([], False)
    site.write(
        "p1", "entry.struck", {"target": gone["id"], "why": "filled again"}, site.at("10:06")
    )
    assert site.result("flood").verdict == "missing"
    site.gap("p1", "right", "10:15")
    assert site.result("flood").verdict == "within"


def test_a_flood_read_too_early_may_be_conceded_by_its_rank():
    site = Timed()
    for task in ("bead", "set", "pan"):
        site.tick("p1", task, "08:00")
    site.gap("p1", "left", "10:00")
    site.gap("p1", "right", "10:10")
    site.send("p1", "office-1")
    readings = site.result("flood").readings
    body = {"check": "flood", "panel": "", "readings": readings, "reason": "The inspector saw it."}
    site.write("office-1", "concession.given", body)
    assert site.bars() == []


def test_two_phones_start_and_end_one_clock():
    site = Timed()
    site.tick("p1", "bead", "10:00")
    site.send("p1", "p2")
    site.tick("p2", "set", "10:19")
    assert site.result("skin").verdict == "within"
    # neither phone knew of the other: it is one clock all the same
    other = Timed()
    other.tick("p1", "bead", "10:00")
    other.tick("p2", "set", "10:25")
    assert other.result("skin").verdict == "out"


def test_of_two_starts_that_did_not_see_each_other_the_worse_counts():
    site = Timed()
    site.gap("p1", "left", "10:00")
    site.gap("p2", "left", "10:05")
    site.send("p1", "p3")
    site.send("p2", "p3")
    site.gap("p3", "right", "10:16")
    assert site.result("flood").outcome.value == 11 * MINUTE
    site = Timed()
    site.tick("p1", "bead", "10:00")
    site.tick("p2", "bead", "10:05")
    site.tick("p1", "set", "10:21")
    assert site.result("skin").outcome.value == 21 * MINUTE


def test_a_start_after_the_end_starts_the_clock_again():
    site = Timed()
    site.gap("p1", "left", "10:00")
    site.gap("p1", "right", "10:20")
    assert site.result("flood").verdict == "within"
    site.gap("p1", "left", "10:30")
    again = site.result("flood")
    assert (again.verdict, again.clock.until) == ("missing", "2026-03-02T10:45:00+00:00")


def test_times_that_were_typed_count_in_place_of_the_entries():
    site = Timed()
    site.gap("p1", "left", "17:40", measured_at="2026-03-02T10:15")
    site.gap("p1", "right", "17:41", measured_at="2026-03-02T10:30")
    assert site.result("flood").outcome.value == 15 * MINUTE
    site.tick("p1", "bead", "17:42", done_at="2026-03-02T11:00")
    site.tick("p1", "set", "17:43", done_at="2026-03-02T11:21")
    assert site.result("skin").verdict == "out"


def test_hours_of_two_places_are_one_time():
    site = Timed()
    body = {"step": "A", "task": "bead", "done": True}
    site.write("p1", "task.ticked", body, "2026-03-02T10:00:00-05:00")
    site.write("p1", "task.ticked", changed(body, {"task": "set"}), "2026-03-02T16:10:00+01:00")
    assert site.result("skin").outcome.value == 10 * MINUTE


def test_an_end_before_a_start_that_was_read_again_must_be_read_again_and_the_bar_leads_there():
    """Common practice, no source: what ended before it began proves nothing."""
    site = Timed()
    site.gap("a", "left", "10:00")
    site.gap("a", "right", "10:20")
    assert site.result("flood").verdict == "within"
    site.gap("a", "left", "10:30")
    [flood] = [bar for bar in site.bars() if bar.startswith("flood")]
    assert flood == "flood: From 2 Mar 2026, 10:45 on, do this again: Gap, right"
    state = site.state()
    [bar] = [bar for bar in gate.bars_of(state, state.step("A")) if bar.code == "clock-runs"]
    assert bar.point == "gap"
    site.gap("a", "right", "10:50")
    assert site.result("flood").verdict == "within"
    # a bead that was set before it was run
    site.tick("a", "set", "11:00")
    site.tick("a", "bead", "11:10")
    [skin] = [bar for bar in site.bars() if bar.startswith("skin")]
    assert skin == "skin: By 2 Mar 2026, 11:30, do this again: set"


def test_a_clock_that_was_set_back_is_in_doubt():
    site = Timed()
    site.tick("p1", "bead", "10:00")
    site.tick("p1", "pan", "10:08")
    site.tick("p1", "pan", "09:40")  # the phone's clock went back by half an hour or so
    site.tick("p1", "set", "09:50")
    result = site.result("skin")
    assert (result.verdict, result.clock.back) == ("close", 28 * MINUTE)
    assert "skin: clock in doubt. Run it again, or ask the office." in site.bars()
    site = Timed()
    site.gap("p1", "left", "10:00")
    site.send("p1", "p2")
    site.gap("p2", "right", "09:30")  # the other phone is half an hour behind
    assert site.result("flood").verdict == "close"


def test_a_clock_that_a_network_sets_right_by_a_minute_is_in_no_doubt():
    site = Timed()
    site.tick("p1", "bead", "10:00")
    site.tick("p1", "pan", "10:05")
    site.tick("p1", "set", "10:04")
    assert site.result("skin").verdict == "within"


def test_what_was_set_back_before_the_start_throws_no_doubt():
    site = Timed()
    site.tick("p1", "pan", "12:00")
    site.tick("p1", "bead", "10:00")
    site.tick("p1", "set", "10:10")
    assert site.result("skin").verdict == "within"


def test_a_time_that_cannot_be_read_is_no_time():
    site = Timed()
    entry = site.tick("p1", "bead", "10:00")
    entry["at"] = "soon"  # no door takes it; it came past one
    site.tick("p1", "set", "10:10")
    assert site.result("skin").verdict == "missing"


def test_a_tick_taken_back_stops_the_clock():
    site = Timed()
    site.tick("p1", "bead", "10:00")
    assert site.result("skin").clock.runs
    site.tick("p1", "bead", "10:01", done=False)
    assert site.result("skin").clock.start is None


def test_what_is_put_right_after_too_long_a_time_is_done_again_from_the_start():
    site = Timed()
    site.tick("p1", "bead", "10:00")
    site.tick("p1", "set", "10:30")
    assert site.result("skin").verdict == "out"
    site.put_right("p1", "skin", "10:40")
    assert [bar for bar in site.bars() if "Not ticked" in bar] == [
        "Not ticked: bead", "Not ticked: set", "Not ticked: pan"
    ]  # fmt: skip
    site.tick("p1", "bead", "11:00")
    site.tick("p1", "set", "11:10")
    assert site.result("skin").outcome.value == 10 * MINUTE
    site.move("p1", "lifted", "11:20")
    assert site.state().task_done("A", tasks("bead")[0]) is None


def test_who_waits_longer_after_too_short_a_time_does_only_the_end_again():
    site = Timed()
    site.gap("p1", "left", "10:00")
    site.gap("p1", "right", "10:10")
    site.put_right("p1", "flood", "10:12")
    left = [p.id for p in gate.places_unmeasured(site.state(), "gap", "")]
    assert left == ["right"]
    site.gap("p1", "right", "10:20")
    assert site.result("flood").outcome.value == 20 * MINUTE


def test_nothing_is_waited_for_where_nothing_was_filled():
    site = Timed()
    assert site.result("cure") is None
    site.move("p1", "filled", "10:00")
    assert site.result("cure").clock.until == "2026-03-03T10:00:00+00:00"
    site.tick("p1", "pan", "11:00")
    assert site.result("cure").outcome.over == 23 * 60 * MINUTE


def test_no_time_to_wait_is_no_clock():
    limits = {"least": ZERO}
    none = version(1, "A", **changed(STEP, {"checks": [changed(FLOOD, {"limits": limits})]}))
    site = Timed()
    state = State(site.all(), {"small@1": none})
    assert judge.results_of(state, state.step("A")) == []


def test_a_time_from_the_data_sheet_is_asked_and_never_filled_in():
    time = changed(PROCEDURE["steps"][0]["points"][0], {
        "id": "time", "title": "Wait", "quantity": "duration", "where": {"kind": "one"},
    })  # fmt: skip
    wait = changed(FLOOD, {"limits": {"least": {"point": "time"}}})
    wait["points"] = changed(FLOOD["points"], {"time": "time"})
    points = PROCEDURE["steps"][0]["points"] + [time]
    asked = version(1, "A", **changed(STEP, {"checks": [wait], "points": points}))
    site = Timed()
    site.gap("p1", "left", "10:00")
    state = State(site.all(), {"small@1": asked})
    result = judge.results_of(state, state.step("A"))[0]
    assert said(result.outcome.says) == "Type first: Wait"
    site.gap("p1", "1", "10:01", point="time", quantity="duration", value=str(30 * MINUTE))
    state = State(site.all(), {"small@1": asked})
    result = judge.results_of(state, state.step("A"))[0]
    assert result.clock.until == "2026-03-02T10:30:00+00:00"
    assert result.limits[0]["value"] == 30 * MINUTE
    assert len(result.readings) == 2


def test_a_state_carried_forward_comes_to_the_same():
    site = Timed()
    site.tick("p1", "bead", "10:00")
    site.gap("p1", "left", "10:01")
    site.tick("p1", "set", "10:30")
    site.put_right("p1", "skin", "10:31")
    site.move("p1", "filled", "10:32")
    site.tick("p1", "bead", "10:33")
    site.tick("p1", "pan", "10:34")
    site.gap("p1", "right", "10:35")
    site.move("p1", "lifted", "10:36")
    site.put_right("p1", "flood", "10:37")
    state = None
    events = []
    for event in site.book("p1"):
        events.append(event)
        state = carried_forward(state, events, PROCEDURES, {})
        assert shape(state) == shape(State(list(events), PROCEDURES)), event["kind"]


def test_a_clock_that_is_set_back_while_one_runs_is_seen_by_a_state_that_was_carried():
    site = Timed()
    site.tick("p1", "bead", "10:00")
    state = carried_forward(None, site.book("p1"), PROCEDURES, {})
    assert running_back(state) == 0
    site.tick("p1", "pan", "09:40")
    state = carried_forward(state, site.book("p1"), PROCEDURES, {})
    assert running_back(state) == 20 * MINUTE


def running_back(state):
    results = judge.results_of(state, state.step("A"))
    [skin] = [result for result in results if result.check["id"] == "skin"]
    assert skin.clock.runs
    return skin.clock.back


def test_a_start_that_the_office_says_it_took_in_moves_in_a_state_that_was_carried():
    """The office enters the start itself; the entry beside it says when it was first made."""
    site = Timed()
    start = site.tick("office-1", "bead", "12:00")
    state = carried_forward(None, site.book("office-1"), PROCEDURES, {})
    assert since(state) == "2026-03-02T12:00:00+00:00"
    first = changed(start, {"id": "first", "device": "p1", "at": site.at("10:00")})
    cited = {
        "target": start["id"], "reason": "came late", "why": "late", "of": "first",
        "device": "p1", "person": first["person"], "at": first["at"], "entry": first,
    }  # fmt: skip
    site.write("office-1", "entry.taken-in", cited, site.at("12:00"))
    state = carried_forward(state, site.book("office-1"), PROCEDURES, {})
    assert since(state) == "2026-03-02T10:00:00+00:00"


def since(state):
    results = judge.results_of(state, state.step("A"))
    return next(result.clock.since for result in results if result.check["id"] == "skin")


def shape(state):
    step = state.step("A")
    results = [(r.check["id"], r.verdict, r.readings) for r in judge.results_of(state, step)]
    bars = [Speaker().say(bar.message) for bar in gate.bars_of(state, step)]
    return results, bars, gate.cover_of(state, step)


def test_acts_in_words():
    assert clocks.act_title(CLOCKED, read("left")) == Msg(
        "{point}, {place}", point=Msg("Gap"), place=Msg("left")
    )
    assert clocks.act_title(CLOCKED, ticked("bead")) == Msg("bead")
    assert clocks.act_title(CLOCKED, {"adjustment": "filled", "step": "A"}) == Msg("It was filled")
