"""Before a point is read: at most one line, one instrument that does serve, or none.

What serves is U of the figure within half of the limit (common practice, no source); U from
core/trade/instruments.py, held against JCGM 100 in tests/core/test_decide.py.
"""

import pytest

from app.core.checks.decide import Demand, better_tool
from app.core.kinds import Json
from app.core.pages.working import FITTING, tool_advice, usual_tools
from app.core.record import judge
from app.core.record.state import State
from app.core.trade.instruments import SORTS, instrument_of
from tests.procedures.demo_book import Book, openings

OPENINGS = openings()
FOOT, INCH = 304800000, 25400000


def asked(state: State) -> list[tuple[Json, str, list[judge.Result]]]:
    """Return every point of a door that is a length, with its checks."""
    out = []
    for step in state.steps:
        for point in step.data["points"]:
            if point["quantity"] == "length" and state.places(point["id"], step.panel):
                results = [
                    judge.result_of(state, check, other.panel)
                    for other in state.steps
                    if other.panel in ("", step.panel)
                    for check in other.data["checks"]
                    if point["id"] in check["points"].values()
                    and judge.can_be_made(state, check, other.panel)
                ]
                out.append((point, step.panel, results))
    return out


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("opening", OPENINGS, ids=[one["id"] for one in OPENINGS])
def test_what_is_advised_is_never_advised_against(opening: Json, units: str) -> None:
    state = Book(opening).state
    advised = 0
    for point, panel, results in asked(state):
        found = tool_advice(state, point, panel, results, units)
        if found is not None:
            advised += 1
            words, better = found
            sorts = FITTING[point["tool"]]
            assert better in [one for sort in sorts for one in usual_tools(sort, units)]
            again = tool_advice(state, point, panel, results, units, better)
            assert again is None, (point["id"], better.id)
            assert words.params["better"] == better.title
    assert advised, "no point is too fine for its tool: then nothing is tested here"


def test_every_usual_tool_of_the_shipped_points_is_advised_once_or_not_at_all() -> None:
    """Whatever it is read with, one step leads to what serves; no chain, no circle."""
    state = Book(OPENINGS[0]).state
    for point, panel, results in asked(state):
        for sort in FITTING.get(point["tool"], ()):
            for chosen in usual_tools(sort, "in"):
                found = tool_advice(state, point, panel, results, "in", chosen)
                if found is not None:
                    assert tool_advice(state, point, panel, results, "in", found[1]) is None


def test_any_one_foot_is_judged_over_a_foot() -> None:
    """A line laser of 0.3 mm/m over a foot adds 0.09 mm: 1/8 in any one foot is served by it."""
    state = Book(OPENINGS[0]).state
    local = [
        (point, panel, result)
        for point, panel, results in asked(state)
        for result in results
        if result.check["settings"].get("over") == str(FOOT)
    ]
    assert local
    for point, panel, result in local:
        for limit in result.limits:
            limit["value"] = INCH // 8
        assert tool_advice(state, point, panel, [result], "in") is None, point["id"]
    whole = Demand(INCH // 8, 0, True, 16 * FOOT)  # over 16 ft the same laser would not do
    assert better_tool([whole], instrument_of("laser"), [instrument_of("laser-rotating")])


def test_a_length_against_the_drawing_is_one_reading() -> None:
    """U of one reading of 1/16 in at 9 ft is 0.05 in (computed), of a difference 0.07."""
    from app.core.checks.index import spec_of

    assert spec_of("against-drawing").readings == 1


def test_what_does_not_serve_is_not_advised() -> None:
    tape = instrument_of("tape")
    others = [one for sort in SORTS for one in usual_tools(sort, "in")]
    assert better_tool([Demand(INCH // 1000)], tape, others) is None
    assert better_tool([Demand(INCH)], tape, others) is None
    found = better_tool([Demand(INCH // 4), Demand(INCH // 16, 0, True)], tape, others)
    assert found is not None
    assert (found[1].id, found[0].params["limit"].nm) == ("tape-32", INCH // 16)
