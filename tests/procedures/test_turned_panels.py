"""Turned rollers spoil the readings of the panels they carry, and of the gaps at these panels.

What is expected is statics and common practice, no published source: a roller lifts its own panel;
a neighbour stands on its own track and keeps its height, its play and its stops. The force at the
lead is that of the whole train.
"""

from types import SimpleNamespace

import pytest

from app.core.checks import door_closes
from app.core.trade.drawing import Drawing
from app.core.where.places import can_alter, places_of
from app.sync.door import NamesOfOpening
from tests.core.book import filled
from tests.core.doors import data
from tests.core.sample import changed
from tests.procedures.demo_book import OPENING_DRAWINGS, PROCEDURE, openings
from tests.procedures.perfect_door import value
from tests.procedures.test_packing_once import SIXTEENTH, STEP, Crew


class Roller(Crew):
    """A crew at step F whose closing gap, at panel A, is 1/8 wider at the top."""

    def __init__(self) -> None:
        super().__init__(low=())
        self.sinks = {}
        for key in ("B1", "B2", "C", "D", "E:A", "E:B", "E:C", "E:D"):
            self.do_step(key)
        # as deep in the head as leaves room to turn both ways
        self.sinks = {("final-engagement", at): SIXTEENTH for at in range(8)}
        # panel A alone leans: what its gap at the jamb opens, its interlock closes
        self.sinks |= {("closing-gap", at): at * SIXTEENTH for at in (1, 2)}
        self.sinks |= {("interlock-gaps", at): -at * SIXTEENTH for at in (1, 2)}
        turn = self.state.point("trial-turn")
        drawing = self.state.drawing
        for at, place in enumerate(self.state.places("trial-turn", "")):
            self.sinks["trial-turn", at] = SIXTEENTH - value(turn, place, drawing)
        self.measure(self.state.step("F"))
        self.path = STEP.format(self.events[0]["opening"]).replace("B1", "F")

    def open_places(self, point: str, panel: str = "") -> list[str]:
        """Return the places that are to be measured again."""
        return [place.id for place, live in self.state.answers(point, panel) if not live]


@pytest.fixture(scope="module")
def done() -> Roller:
    """A crew that turned its rollers as planned."""
    crew = Roller()
    crew.ask("POST", filled(crew.planned()))
    return crew


def turned(crew: Roller) -> set[str]:
    words = [e["body"]["words"] for e in crew.events if e["kind"] == "correction.made"][-1]
    return {letter for letter in "ABCD" if f"Panel {letter}:" in words}


def test_done_as_planned_reopens_the_turned_panels_alone(done: Roller) -> None:
    letters = turned(done)
    assert letters
    assert letters < set("ABCD")
    for point in ("final-engagement", "lift-play", "stops-meet", "anti-lift-after"):
        assert {place[0] for place in done.open_places(point)} == letters, point
    for letter in "ABCD":
        spoilt = bool(done.open_places("head-engagement", letter))
        assert spoilt == (letter in letters)


def test_so_do_the_gaps_at_their_edges_and_no_others(done: Roller) -> None:
    letters = turned(done)
    pairs = ("A-B", "B-C", "C-D")
    edges = {pair for pair in pairs if set(pair) & letters}
    assert {place[:3] for place in done.open_places("interlock-gaps")} == edges
    assert bool(done.open_places("closing-gap")) == ("A" in letters)


def test_what_turned_rollers_cannot_alter_stands(done: Roller) -> None:
    for point in ("frame-widths", "trial-turn", "panel-widths", "sill-room"):
        assert done.open_places(point) == []


def live_count(crew: Roller) -> int:
    """Return at how many places a live reading stands, in all steps."""
    state = crew.state
    return sum(
        bool(live)
        for step in state.steps
        for point in step.data["points"]
        for place, live in state.answers(point["id"], state.panel_for(point["id"], step.panel))
        if not step.panel or place.panel in ("", step.panel)
    )


def test_it_is_one_entry_and_says_how_many_are_measured_again() -> None:
    crew = Roller()
    form, before = crew.planned(), live_count(crew)
    got = crew.ask("POST", filled(form))
    assert [event["kind"] for event in got["events"]] == ["correction.made"]
    places = got["events"][0]["body"]["places"]
    assert places
    # of these, what was read already: what nobody has read yet is not measured again
    spoilt = before - live_count(crew)
    assert f"{spoilt} places at turned panels" in form["again"]


def test_where_nothing_can_be_turned_nothing_is_done_as_planned(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The list then only sends to the office: a tap on it would make readings stale for nothing."""
    stuck = SimpleNamespace(
        short=[], changes=[], mended=None, plan=SimpleNamespace(moves=[], within=False)
    )
    monkeypatch.setattr(door_closes, "outlook", lambda _: stuck)
    checks = {check["id"]: check for check in Roller().ask("GET")["context"]["checks"]}
    assert checks["door-closes"]["remedies"] == ["Rollers alone do not fix it. Ask the office."]
    assert checks["door-closes"]["planned"] is None


def test_a_list_that_was_left_on_its_card_comes_back_when_all_else_is_done() -> None:
    crew = Roller()
    for task in crew.state.tasks(crew.state.step("F")):
        crew.enter("task.ticked", {"step": "F", "task": task["id"], "done": True})
    crew.path = crew.path.replace("/step/", "/next/")
    card = crew.ask("GET")["context"]
    assert (card["kind"], card["out"]["title"]) == ("out", "Door closes even")
    assert card["out"]["planned"] is not None


def moved_form(crew: Roller, name: str) -> dict[str, str]:
    context = crew.ask("GET")["context"]
    found = next(one for one in context["adjustments"] if one["id"] == name)
    assert [choice["value"] for choice in found["panels"]] == ["", "A", "B", "C", "D"]
    return filled(found["form"])


def test_rollers_that_were_turned_otherwise_ask_at_which_panel() -> None:
    crew = Roller()
    form = moved_form(crew, "rollers-moved")
    got = crew.ask("POST", {**form, "at": "D"})
    assert got["events"][0]["body"]["panel"] == "D"
    assert got["events"][0]["body"]["words"] == "Rollers turned: panel D"
    assert {place[0] for place in crew.open_places("lift-play")} == {"D"}
    assert {place[:3] for place in crew.open_places("interlock-gaps")} == {"C-D"}
    assert crew.open_places("closing-gap") == []


def test_every_panel_is_what_is_said_where_nobody_chooses() -> None:
    crew = Roller()
    crew.ask("POST", moved_form(crew, "rollers-moved"))
    assert {place[0] for place in crew.open_places("lift-play")} == set("ABCD")
    # short depth: low and high at each of the three interlocks
    gaps = [f"{pair}-{at}" for pair in ("A-B", "B-C", "C-D") for at in ("low", "high")]
    assert sorted(crew.open_places("interlock-gaps")) == sorted(gaps)


def test_a_panel_that_the_door_has_not_is_refused() -> None:
    crew = Roller()
    got = crew.ask("POST", {**moved_form(crew, "rollers-moved"), "at": "Q"})
    assert (got["status"], got["events"]) == (422, [])


def test_the_force_is_that_of_the_train() -> None:
    state = Roller().state
    point = state.point("force-move")
    place = state.places("force-move", "")[0]
    assert place.panel == "A"
    assert can_alter(point, place, state.drawing, "D")


def test_shims_of_one_jamb_spoil_what_that_jamb_touches() -> None:
    """A jamb's shims leave the other jamb's plumb, the heights and the panels on their tracks."""
    crew = Roller()
    crew.path = crew.path.rpartition("/")[0] + "/D"
    form = next(
        one for one in crew.ask("GET")["context"]["adjustments"] if one["id"] == "shims-moved"
    )
    got = crew.ask("POST", {**filled(form["form"]), "at": "right-jamb"})
    words = got["events"][0]["body"]["words"]
    assert words == "Shims moved or anchors turned: RIGHT jamb, you outside"
    for point in ("frame-right-wall", "frame-right-across", "frame-widths", "frame-diagonals"):
        assert crew.open_places(point), point
    for point in ("frame-left-wall", "frame-left-across", "frame-heights", "interlock-gaps",
                  "final-engagement", "lift-play", "closing-gap"):  # fmt: skip
        assert crew.open_places(point) == [], point  # the closing gap is at the left jamb


def test_the_last_card_of_squaring_says_what_becomes_of_the_door() -> None:
    crew = Roller()
    crew.path = STEP.format(crew.events[0]["opening"]).replace("step/B1", "next/D")
    assert any("Door can be finished" in text for text in crew.ask("GET")["context"]["sums"])


def test_the_office_takes_every_place_that_an_adjustment_asks_about() -> None:
    """What a phone may name is no unknown name at the office: nothing is set aside."""
    for at in ("", "left-jamb", "right-jamb", "head"):
        crew = Roller()
        names = NamesOfOpening([PROCEDURE], [crew.state.drawing.data])
        crew.path = crew.path.rpartition("/")[0] + "/D"
        moves = crew.ask("GET")["context"]["adjustments"]
        form = next(one for one in moves if one["id"] == "shims-moved")
        assert at in [choice["value"] for choice in form["panels"]]
        event = crew.ask("POST", {**filled(form["form"]), "at": at})["events"][0]
        assert names.has(event), at
    check = {"kind": "correction.made", "body": {"check": "wind-ok", "panel": "head"}}
    assert not names.has(check)  # elsewhere it names no panel


def test_the_list_of_rollers_names_what_is_turned_and_says_that_the_rest_is_right() -> None:
    crew = Roller()
    checks = {check["id"]: check for check in crew.ask("GET")["context"]["checks"]}
    lines = checks["door-closes"]["remedies"]
    turned_now = {line[6] for line in lines if line.startswith("Panel ")}
    rest = [letter for letter in "ABCD" if letter not in turned_now]
    assert turned_now
    assert rest
    said = [line for line in lines if line.startswith("Right, leave alone: panel ")]
    assert [[c for c in line[25:] if c in "ABCD"] for line in said] == [rest]


def test_a_moved_strike_asks_which_lock_where_there_are_two() -> None:
    """Statics: a strike holds its own lock; the other one's hook stands as it did."""
    drawing = Drawing(changed(OPENING_DRAWINGS[0], data([2, 1, 2], "XOX", "AC")))
    locks = {"id": "lock-throws", "quantity": "count", "where": {"kind": "locks"}}
    places = places_of(locks, drawing)
    assert [place.id for place in places] == ["left", "right"]
    moved = [can_alter(locks, place, drawing, "lock:left") for place in places]
    assert moved == [True, False]
    point = {"id": "hook", "quantity": "length", "where": {"kind": "lock-points"}}
    drawing.data["locks"] = ["914400000", "1828800000"]
    at = [place.id for place in places_of(point, drawing)]
    assert len(at) == 4
    by = [can_alter(point, place, drawing, "lock:" + at[1]) for place in places_of(point, drawing)]
    assert by == [False, True, False, False]
    assert [can_alter(locks, place, drawing, "lock:" + at[1]) for place in places] == [True, False]
    whole = [can_alter(point, place, drawing, "lock:left") for place in places_of(point, drawing)]
    assert whole == [True, True, False, False]  # where a procedure asks for the lock alone


def test_one_lock_is_not_asked_about() -> None:
    crew = Roller()
    crew.path = crew.path.replace("/F", "/G")
    moves = {one["id"]: one for one in crew.ask("GET")["context"]["adjustments"]}
    assert not moves["strike-moved"]["asks"]


def test_a_jamb_of_the_opening_that_was_furred_out_leaves_the_other_one_alone() -> None:
    crew = Roller()
    crew.path = crew.path.replace("/F", "/B1")
    moves = {one["id"]: one for one in crew.ask("GET")["context"]["adjustments"]}
    jamb = moves["jambs-corrected"]
    assert [one["value"] for one in jamb["panels"]] == ["", "left-jamb", "right-jamb"]
    crew.ask("POST", filled(jamb["form"], at="left-jamb"))
    assert crew.open_places("left-jamb-wall")
    assert not crew.open_places("right-jamb-wall")
    assert crew.open_places("opening-widths")


def test_where_it_is_too_close_the_last_card_says_what_to_read_again() -> None:
    """Two leads that meet at short depth, a door as drawn: what nobody read leaves it unsure."""
    crew = Crew(low=(), opening=openings()[2])
    for key in ("B1", "B2", "C", "D"):
        crew.do_step(key)
    crew.path = STEP.format(crew.events[0]["opening"]).replace("step/B1", "next/D")
    sums = crew.ask("GET")["context"]["sums"]
    at = sums.index("Too close to say whether the door can be finished.")
    assert sums[at + 1].startswith(("Read ", "Measure "))
