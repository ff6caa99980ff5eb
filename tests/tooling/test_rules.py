"""The rules that keep the arithmetic honest, 1 to 13, each shown by the program itself.

Common practice of the trade with no published source, unless a row names one. One test a rule:
what the program works out, says, or refuses, through the same doors that a crew or a script uses.
"""

import copy
import itertools
from fractions import Fraction

import pytest

from app.core.checks.decide import can_prove, closer_look, gauge_verdict, middle_of, verdict_of
from app.core.entry import answer
from app.core.errors import InputError
from app.core.kinds import Json
from app.core.quantity.speaker import Speaker
from app.core.trade import frame, opening, setting
from app.core.trade.drawing import Drawing
from app.core.trade.instruments import instrument_of, reading_uncertainty, uncertainty_of_difference
from app.core.trade.verdicts import OUT, WITHIN
from tests.core import doors
from tests.core.book import Book, filled
from tests.core.sample import PROCEDURES
from tests.tooling.rules import CHECKS, INCH, POINTS, calc, cautions, section, tasks, words


def test_rule_01_level_along_is_not_slope_across() -> None:
    """Two lines, each along its own length; the fall is kept, and never goes toward the room."""
    lines = {"stations": ["0", "1200", "2400"], "units": "mm"}
    falling = calc("sill-across", **lines, room=["6", "6", "6"], weather=["2", "2", "2"])
    inward = calc("sill-across", **lines, room=["2", "2", "2"], weather=["2", "2", "3"])
    assert (falling["verdict"], inward["verdict"]) == ("within", "out")
    assert "LOWER on the ROOM side" in words(inward)
    # packed together, the two lines keep 4 mm between them: one level would be a dam
    both = calc("sill-packing", **lines, heights=["6", "-4", "6"], weather=["2", "-8", "2"])
    packed = [int(one["pack"]["nm"]) for one in both["results"]["stations"]]
    weather = [int(one["pack"]["nm"]) for one in both["results"]["weather"]]
    assert packed == weather == [0, 10000000, 0]
    for check in ("sill-local-room", "sill-local-weather", "sill-total-room", "sill-total-weather"):
        assert check in CHECKS
    assert CHECKS["sill-cross-fall"]["limits"]["target"] == {"drawing": "cross_fall"}
    assert POINTS["sill-top-room"]["title"] == "Top of the fastened sill along the innermost track"


def test_rule_02_packing_eats_the_room_under_the_head() -> None:
    """Opening less packing, pan and bed is what the frame has: made before packing is advised."""
    given: Json = {
        "stations": ["0", "8 ft", "16 ft"],
        "heights": ["0", "-1", "0"],
        "frame_height": "96",
        "pan": "1/8",
        "bed": "3/16",
        "head_gap": "1/4",
    }
    tight = [{"at": at, "clear": clear} for at, clear in (("0", "96 1/2"), ("16 ft", "96 1/2"))]
    roomy = [{"at": at, "clear": clear} for at, clear in (("0", "97"), ("16 ft", "97"))]
    refused = calc("sill-packing", **given, openings=tight)
    pack = refused["results"]["ways"][0]
    assert (pack["kind"], pack["advised"], pack["possible"]) == ("pack", False, False)
    assert "Do not shim to the high point" in words(refused)
    assert "less shims" in " ".join(pack["says"])
    assert calc("sill-packing", **given, openings=roomy)["results"]["ways"][0]["advised"]


def _level_book() -> Book:
    """Return a book whose first point is read off a level line."""
    made = copy.deepcopy(PROCEDURES)
    made["small@1"]["steps"][0]["points"][0]["how"] = "level"

    class Levelled(Book):
        def request(self, method: str, path: str, form: Json | None = None) -> Json:
            asked = super().request(method, path, form)
            asked["book"]["procedures"] = made
            return asked

    return Levelled()


def test_rule_03_a_laser_read_down_is_the_other_way_round() -> None:
    """Chosen by picture; said back in words at the first that differs; tied; closed."""
    book = _level_book()
    path = "/field/o/o1/point/gap"
    page = book.get(path)["context"]
    assert page["way"]["must"]
    assert [one["value"] for one in page["way"]["choices"]] == ["down", "up"]
    assert all(one["picture"]["title"] for one in page["way"]["choices"])
    book.send(path, filled(page["way"]["form"], way="down"))
    for typed in ("43", "43 3/16"):
        entry = book.get(path)["context"]["entry"]["form"]
        kept = book.send(path, filled(entry, value=typed))
    shown = answer(book.request("GET", kept["location"]))["context"]
    assert shown["compare"]["text"] == 'This place is 3/16" LOWER than the first: right?'
    assert calc("set-up-tie", pairs=[{"first": "4", "second": "3"}])["results"]["shift"]["text"]
    for last, due in (("1/32", "within"), ("1/16", "out")):
        assert calc("sill-closing", first="0", last=last)["verdict"] == due
    assert CHECKS["sill-closing"]["rank"] == "never"


def test_rule_03_places_of_one_height_show_nothing_of_the_way() -> None:
    book = _level_book()
    path = "/field/o/o1/point/gap"
    book.send(path, filled(book.get(path)["context"]["way"]["form"], way="down"))
    for _ in range(2):
        kept = book.send(path, filled(book.get(path)["context"]["entry"]["form"], value="43"))
    assert answer(book.request("GET", kept["location"]))["context"]["compare"] is None


def test_rule_04_no_plus_and_minus_for_lean() -> None:
    """A lean is said by where the top leans, a diagonal by its ends, a figure SEEN FROM OUTSIDE."""
    heights = ["6", "90"]
    for offsets, way, said in (
        (["12", "12 1/4"], "in", "away from the opening"),
        (["12 1/4", "12"], "in", "toward the opening"),
        (["12", "12 1/4"], "through", "toward the outside"),
        (["12 1/4", "12"], "through", "toward the room"),
    ):
        found = calc("lean", jamb="left", way=way, heights=heights, offsets=offsets)
        assert f'the top leans 1/4" {said}' in words(found)
        assert "-" not in words(found)
        assert "+" not in words(found)
    square = calc("square", rising="173 1/8", falling="173", widths=["144"], heights=["96"])
    assert 'LOW LEFT to HIGH RIGHT is 1/8" longer, seen from outside' in words(square)
    assert "somebody standing outside" in tasks("A")
    from app.core.pictures.drawings import elevation_picture

    assert "SEEN FROM OUTSIDE" in str(elevation_picture(doors.four(), Speaker()))


def test_rule_05_one_verb_one_place_one_size() -> None:
    """From where the person stands, in the sizes that are in the box."""
    found = calc(
        "sill-packing",
        stations=["0", "8 ft", "16 ft"],
        heights=["0", "-5/16", "0"],
        shims=["1/16", "1/8", "1/4"],
    )
    assert (
        '8 ft from LEFT jamb, you outside: 5/16" LOW. Shim 5/16": 1/4", 1/16".' in found["remedies"]
    )


def test_rule_06_on_the_line_is_in_and_a_grey_result_has_an_exit() -> None:
    """Simple acceptance; guard bands where asked; two readings share the tape's own error."""
    assert verdict_of(4, None, 4) == WITHIN
    assert verdict_of(5, None, 4) == OUT
    assert verdict_of(4, None, 4, 1) == "close"
    assert len(closer_look()) == 2
    assert (gauge_verdict(True, "most"), gauge_verdict(False, "most")) == (OUT, WITHIN)
    assert middle_of([5, 9, 6]) == 6
    said = can_prove(INCH // 16, "tape", of_two=True)
    assert said is not None
    assert "Use a rule" in Speaker().say(said)
    tape, long = instrument_of("tape"), 5 * 10**9
    assert uncertainty_of_difference(tape, long, long) < reading_uncertainty(tape, long)


@pytest.mark.parametrize(("wide", "rack"), [(96, 0.088), (144, 0.075), (240, 0.067)])
def test_rule_07_a_fixed_difference_of_diagonals_gets_tighter(wide: int, rack: float) -> None:
    """1/8 in at 96 in high: rack dD D/(2 W), three digits; the limit is offered as rack too."""
    mean = frame.diagonal_of([wide * INCH], [96 * INCH])
    num, den = frame.head_shift(mean + INCH // 16, mean - INCH // 16, [wide * INCH])
    assert abs(num / den / INCH - rack) <= 0.0005
    assert "rack" in CHECKS["frame-square"]["limits"]


def test_rule_08_tape_widths_cannot_tell_which_way_an_opening_leans() -> None:
    """144 1/2, 144 3/8, 144 1/4: 144 1/16 usable or 144 1/4, by which way the left jamb leans."""
    widths = [144 + Fraction(n, 8) for n in (2, 3, 4)]
    usable = []
    for lean in (Fraction(3, 16), Fraction(-3, 16)):
        left = [2 - lean * Fraction(k, 2) for k in range(3)]
        between = widths[0] - 4
        right = [width - between - offset for width, offset in zip(widths, left, strict=True)]
        sizes = [[int(one * INCH) for one in row] for row in (left, right)]
        usable.append(Fraction(opening.usable_width(int(between * INCH), *sizes), INCH))
    assert usable == [144 + Fraction(1, 16), 144 + Fraction(1, 4)]
    for point in ("left-jamb-wall", "right-jamb-wall", "left-jamb-across", "right-jamb-across"):
        assert POINTS[point]["how"] == "plumb"


def test_rule_09_rollers_only_for_a_straight_lean() -> None:
    """Lever by the axles; stiles that stand alike send it back; no turns before a trial turn."""
    gap: Json = {"closes": "left", "low": "1/8", "middle": "3/16", "high": "1/4"}
    lever: Json = {"axles": "48", "distance": "96"}
    first = calc("roller-gap", **gap, **lever)
    assert 'trailing roller (the RIGHT one, seen from outside) 1/16"' in words(first)
    assert "Make one trial turn" in words(first)
    assert "hand tool only" in words(first)
    after = calc("roller-gap", **gap, **lever, trial="1/32")
    assert "two turns, by your trial turn" in words(after)
    alike = calc("roller-gap", **gap, **lever, left_stile="3/8", right_stile="3/8")
    assert "Leave the rollers" in words(alike)
    bowed = calc("roller-gap", **{**gap, "middle": "3/8", "high": "1/8"}, **lever)
    assert "bowed. Leave the rollers" in words(bowed)
    assert POINTS["trial-turn"]
    assert POINTS["meeting-plumb"]["how"] == "plumb"


def test_rule_10_order_follows_from_the_side_the_crew_sets_from() -> None:
    """Farthest track first, why said at each panel, the drawing's own order wins."""
    orders = {
        side: [
            turn.panel.letter
            for turn in setting.setting_order(doors.door([1, 2, 3, 4], "XXXO", "A", set_from=side))
        ]
        for side in ("outside", "room")
    }
    assert orders == {"outside": list("ABCD"), "room": list("DCBA")}
    for turn in setting.setting_order(doors.eight()):
        assert turn.reasons
    stops = [Speaker().say(turn.reasons) for turn in setting.setting_order(doors.eight())][:2]
    assert all("with a stop" in said for said in stops)
    own = doors.door([1, 2, 3, 4], "XXXO", "A", order=["B", "A", "C", "D"])
    assert [turn.panel.letter for turn in setting.setting_order(own)] == list("BACD")
    with pytest.raises(InputError):
        setting.setting_order(doors.door([1, 2], "XO", "A", set_from=""))


def test_rule_11_sealant_is_not_support() -> None:
    """Rigid supports under every track, interlock, jamb and screw, 12 in apart or closer."""
    places = calc("supports", width="60", must=["1", "30", "59"], spacing="12")["results"]["places"]
    at = [int(one["nm"]) for one in places]
    assert max(b - a for a, b in itertools.pairwise(at)) <= 12 * INCH
    assert {INCH, 30 * INCH, 59 * INCH} <= set(at)
    assert "Sealant is no support" in section("bed")
    assert "12 in apart or closer" in tasks("C")


def test_rule_12_what_is_sealed_is_jambs_and_head() -> None:
    """Every bay keeps an exit, no bead runs along the outer edge, weeps stay open."""
    found = calc(
        "sealant-bed",
        frame_width="16 ft",
        sill_depth="6",
        bead_width="1/2",
        bead_height="1/2",
        bead_turn_up="6",
        cross_line_spacing="6",
        bead_weep_clear="2",
        weeps=["18", "96", "174"],
    )
    assert int(found["results"]["narrowest_exit"]["nm"]) > 0
    assert "No bead along the outer edge" in words(found)
    assert "Jambs, head, head blocks" in tasks("H")
    assert "open as drawn" in tasks("H")
    assert CHECKS["seal-weeps-open"]["rank"] == CHECKS["bed-weeps-open"]["rank"] == "never"
    assert "Sealant for jambs and head" in section("materials")


def test_rule_13_no_screw_through_sill_or_pan_unless_drawn() -> None:
    """None drawn: said. Drawn: sealed in the hole and over the head, after a scan."""
    assert "No screw goes through the sill or the pan" in section("anchors")
    drawn = doors.data([1, 2, 3, 4], "XXXO", "A")
    drawn["counts"]["sill_screws"] = "9"
    said = section("anchors", Drawing(drawn))
    assert "scan for tendons, heating tubes and wiring" in said
    assert "Seal every screw in the hole and over the head" in said
    assert "No hole through sill or pan unless drawn" in cautions("C")
