"""The rules that keep the arithmetic honest, 14 to 25, each shown by the program itself.

Common practice of the trade with no published source, unless a row names one. One test a rule:
what the program works out, says, or refuses, through the same doors that a crew or a script uses.
"""

import pytest

from app.core.errors import InputError
from app.core.kinds import Json
from app.core.layout.setout import setout_of
from app.core.quantity.measure import parse_amount
from app.core.quantity.speaker import Speaker
from app.core.record.gate import bars_of, sign_of
from app.core.record.judge import results_of
from app.core.trade.drawing import AMOUNTS, COUNTS, LENGTHS, Drawing
from tests.core import doors
from tests.core.sample import Site, inches
from tests.tooling.rules import CHECKS, INCH, POINTS, STEPS, calc, cautions, section, words


def test_rule_14_a_door_s_own_numbers_are_the_drawing_s() -> None:
    """Empty means ask; a common value is a hint, never filled in."""
    for field, _, hint in LENGTHS:
        if hint:
            assert Drawing({}).length(field) is None
    found = setout_of(Drawing({"panels": doors.four().data["panels"]}))
    said = [Speaker().say(one) for one in found["missing"]]
    assert "The drawing does not give “Frame, outside width”. Ask the office." in said
    with pytest.raises(InputError) as caught:
        Drawing({}).need("stile_clearance")
    assert caught.value.code == "drawing-silent"
    known = {field for field, *_ in (*LENGTHS, *COUNTS, *AMOUNTS)}
    drawn = [
        limit["drawing"]
        for check in CHECKS.values()
        for limit in check["limits"].values()
        if "drawing" in limit
    ]
    assert len(drawn) > 10
    assert set(drawn) <= known


def test_rule_15_head_at_ends_quarters_and_middle() -> None:
    """Never the jambs alone; engagement and lift play from the drawing; head anchors free."""
    two = {"positions": ["0", "8 ft", "16 ft"], "heights": ["0", "-1/4", "0"]}
    assert calc("head-sag", **two)["verdict"] == "out"
    with pytest.raises(InputError):
        calc("head-sag", positions=["0", "16 ft"], heights=["0", "0"])
    for check, field in (("engaged", "head_engagement"), ("lift-play-most", "lift_play")):
        assert {"drawing": field} in CHECKS[check]["limits"].values()
        assert CHECKS[check]["rank"] == "never"
    assert "Slotted head anchors stay free" in section("anchors")
    assert "leave no shim carrying load" in words(calc("head-sag", **two))


def test_rule_16_heat_moves_a_long_frame() -> None:
    """240 in of aluminium over 60 °F move 0.19 in; the temperature goes with the final readings."""
    found = calc("movement", length="240", material="aluminium", difference="60 °F")
    assert abs(int(found["results"]["movement"]["nm"]) / INCH - 0.189) <= 0.0005
    assert POINTS["as-left-air"]["quantity"] == "temperature"
    for point in ("fit-heat", "as-left-heat"):
        assert POINTS[point]["quantity"] == "temperature"
    for point in ("fit-sun", "as-left-sun"):
        assert [choice["id"] for choice in POINTS[point]["choices"]] == ["shade", "sun"]


def test_rule_17_the_label_or_the_contract_gives_the_pressure() -> None:
    """The class table is information, the head a floor, the crew's water a workmanship check."""
    table = calc("water-class", **{"class": "R", "design": "15 psf"})
    assert table["verdict"] == "information"
    assert "The label on the door or the contract gives the pressure" in words(table)
    high = calc("water-head", pressure="6 psf", upstand="10")
    assert high["verdict"] == "information"
    assert "a floor" in words(high)
    hose = calc("hose-check", length="37 ft")
    assert "A check of workmanship, no test to a standard" in words(hose)
    with pytest.raises(InputError):
        calc("hose-check", length="37 ft", operable=True)


def test_rule_18_below_zero_the_dew_point_is_taken_as_zero() -> None:
    """Careful, said, with the look for frost and the product's own minimum."""
    cold: Json = {"units": "mm", "air": "-5", "humidity": "60 %"}
    found = calc("dew-window", **cold, surface="4")
    assert found["results"]["taken_as_zero"]
    assert found["results"]["dew_point"]["celsius"] == "0"
    assert found["verdict"] == "within"
    assert "frost" in words(found)
    assert calc("dew-window", **cold, surface="2")["verdict"] == "out"
    product = calc("dew-window", **cold, surface="4", surface_least="5 °C")
    assert product["verdict"] == "out"


def test_rule_19_concessions_have_ranks() -> None:
    """Safety is nobody's to give away; the drawing's items only with its author's answer."""
    never = {id_ for id_, check in CHECKS.items() if check["rank"] == "never"}
    for id_ in ("marks-on-glass", "cannot-lift-out", "way-out-free", "anchors-all", "fall-edge"):
        assert id_ in never
    assert {"weeps-all-run", "bed-weeps-open", "seal-weeps-open", "sill-screws-all"} <= never
    for check in CHECKS.values():
        if any("drawing" in limit for limit in check["limits"].values()):
            assert check["rank"] in ("author", "never"), check["id"]


def _bars(site: Site, key: str = "A") -> list[str]:
    state = site.state()
    return [bar.code for bar in bars_of(state, state.step(key))]


def test_rule_20_for_information_replaces_nothing_and_a_turned_roller_reopens() -> None:
    """A reading for information never stands for a signed one; adjustments name what is stale."""
    site = Site()
    site.ready_a("phone-a")
    body = {"point": "gap", "panel": "", "place": "left", "quantity": "length", "text": "1"}
    body |= {"value": inches(1), "how": "plain", "units": "in"}
    site.write("phone-a", "reading.taken", {**body, "info": True})
    assert _bars(site) == []
    rollers = next(one for one in STEPS["F"]["adjustments"] if one["id"] == "rollers-moved")
    assert {"closing-gap", "lock-throws", "hook-depth"} <= set(rollers["stale"])


def test_rule_21_two_phones_one_verdict_is_no_conflict() -> None:
    """The gate shuts only where the verdicts differ."""
    same, other = Site(), Site()
    for site, typed, nm in ((same, "3/16", inches(3, 16)), (other, "1", inches(1))):
        site.ready_a("phone-a")
        site.read("phone-b", "gap", "left", typed, nm)
    assert _bars(same) == []
    assert _bars(other) == ["check-conflict"]


def test_rule_22_out_of_reach_is_an_answer_and_never_within() -> None:
    """With a reason; it opens the gate and reads as what it is."""
    site = Site()
    site.ready_a("phone-a")
    body = {"point": "gap", "panel": "", "place": "right", "why": "behind the post"}
    site.write("phone-a", "reading.unreachable", body)
    state = site.state()
    assert _bars(site) == []
    assert results_of(state, state.step("A"))[0].verdict == "unreachable"
    site.sign("phone-a")
    state = site.state()
    assert sign_of(state, state.step("A")).true


def test_rule_23_a_burned_inch_is_asked_back_and_commas_are_understood() -> None:
    """A reading almost exactly an inch or a foot off its neighbours is a question."""
    level: Json = {"stations": ["0", "1 ft", "2 ft", "3 ft"]}
    for off in ("1", "1 1/16", "11 15/16"):
        found = calc("sill-range", **level, heights=["0", "0", off, "0"])
        assert "Read it again" in words(found)
    assert "Read it again" not in words(calc("sill-range", **level, heights=["0", "0", "1/2", "0"]))
    assert parse_amount("length", "9,5", "mm") == parse_amount("length", "9.5", "mm")


def test_rule_24_a_weight_without_a_label_adds_fifteen_per_cent() -> None:
    """For frame and hardware; the label wins."""
    glass: Json = {"width": "1500 mm", "height": "3000 mm", "lites": ["8 mm", "8 mm"]}
    found = calc("panel-weight", **glass)["results"]
    assert (found["glass"]["kg"], found["panel"]["kg"], found["basis"]) == ("180", "207", "glass")
    label = calc("panel-weight", **glass, label="190 kg")["results"]
    assert (label["panel"]["kg"], label["basis"]) == ("190", "label")


def test_rule_25_a_grinder_has_its_own_dust_rule() -> None:
    """Not the drill's (separate rows of Table 1, 29 CFR 1926.1153)."""
    assert "Drill dust: shroud, collector; vacuum holes, never blow." in cautions("B1")
    assert "Grinding: shroud, collector sized for the wheel, or water;" in cautions("B1")
    found = calc(
        "sill-packing",
        stations=["0", "1 ft", "2 ft", "3 ft"],
        heights=["0", "3/8", "0", "0"],
    )
    grind = next(way for way in found["results"]["ways"] if way["kind"] == "grind")
    assert "the grinder's own dust control" in " ".join(grind["says"])
