"""Readings taken from a mark of their own, and below zero, in both interpreters.

Expected: geometry. A jamb's top, 1/8 in toward the opening against its low mark, leans by 1/8.
"""

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.pages.entering import value_of
from app.core.record import judge
from app.core.record.state import State
from app.core.where.places import places_of, zero_places
from tests.core.sample import INCH, Site, _check, _point, changed, inches, version


class _Asked:
    units = "in"


def _jamb(side: str) -> Json:
    where = {"kind": "heights", "jamb": side, "margin": inches(6)}
    return changed(
        _point(side, side),
        {
            "where": changed(where, {"levels": ["high"]}),
            "from": changed(where, {"levels": ["low"]}),
            "signed": True,
        },
    )


WIDTHS = changed(_point("wide", "W"), {"where": {"kind": "heights", "margin": inches(6)}})
LEAN = changed(
    _check("plumb", "lean", "left", {"most": {"value": inches(1, 4)}}),
    {"points": {"jamb": "left"}, "settings": {"jamb": "left", "way": "in the wall"}},
)
FIT = changed(
    _check("fits", "fit", "left", {}),
    {
        "points": {"left": "left", "right": "right", "widths": "wide"},
        "limits": {
            "least": {"value": inches(1, 4)},
            "most": {"value": inches(1, 2)},
            "agree": {"value": inches(1, 8)},
        },
    },
)
OPENING = version(
    1,
    "A",
    points=[_jamb("left"), _jamb("right"), WIDTHS],
    checks=[LEAN, FIT],
    adjustments=[],
)


def _verdicts(left: int, right: int, widths: "tuple[int, int, int]") -> "list[str]":
    """Return the verdicts of lean and fit; in 1/16 in, widths over the frame's 99 in."""
    site = Site()
    taken = [("left", "high", left), ("right", "high", right)]
    taken += [("wide", at, 99 * 16 + w) for at, w in zip(("low", "middle", "high"), widths)]
    for point, place, value in taken:
        nm = str(value * INCH // 16)
        body = {
            "point": point, "panel": "", "place": place, "quantity": "length", "text": nm,
            "value": nm, "how": "plain", "units": "in",
        }  # fmt: skip
        site.write("phone-a", "reading.taken", body)
    state = State(site.all(), {"small@1": OPENING})
    return [result.verdict for result in judge.results_of(state, state.step("A"))]


def test_the_top_of_a_jamb_is_read_from_its_low_mark():
    state = State(Site().all(), {"small@1": OPENING})
    point = OPENING["steps"][0]["points"][0]
    assert [place.id for place in places_of(point, state.drawing)] == ["high"]
    assert [place.id for place in zero_places(point, state.drawing)] == ["low"]
    assert zero_places(WIDTHS, state.drawing) == []


def test_lean_and_fit_of_one_reading_a_jamb():
    # plumb, 3/4 in over the frame: 3/8 on each side
    assert _verdicts(0, 0, (12, 12, 12)) == ["within", "within"]
    # both lean 1/4 to the left: every width is full, the frame set plumb has 1/4 in less
    assert _verdicts(4, -4, (12, 12, 12)) == ["within", "within"]
    # 5/16 to the left: a lean out, and no plumb place is left with 1/4 in on each side
    assert _verdicts(5, -5, (12, 12, 12)) == ["out", "out"]
    assert _verdicts(-5, 5, (12, 12, 12)) == ["out", "out"]


def test_a_sign_typed_wrong_contradicts_the_tape():
    # the left top leans 1/4 in away: the tape reads 1/4 more there; with a minus it cannot be
    assert _verdicts(4, 0, (12, 14, 16)) == ["within", "within"]
    assert _verdicts(-4, 0, (12, 14, 16)) == ["within", "missing"]


def test_only_a_signed_point_goes_below_zero():
    signed = OPENING["steps"][0]["points"][0]
    assert value_of(_Asked(), signed, "-1/8") == -INCH // 8  # type: ignore[arg-type]
    try:
        value_of(_Asked(), WIDTHS, "-1/8")  # type: ignore[arg-type]
    except InputError as error:
        assert error.code == "negative"
        return
    raise AssertionError("a width below zero was taken")
