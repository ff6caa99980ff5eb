"""Whole calculations against independent libraries: numpy, scipy, pint, psychrolib, fractions.

The input is the shipped example of each, unless a row says otherwise, so what is compared is
what a person gets from the registry. Tolerances: whole nanometres are exact; where the library
computes in floats, the float's own error.
"""

from fractions import Fraction
from graphlib import TopologicalSorter
from statistics import mean, median
from typing import Any

import numpy as np
import pint
import psychrolib
from scipy import optimize, stats
from scipy.spatial.transform import Rotation

from app.calculations.listing import example
from app.calculations.registry import find
from app.core.quantity.measure import parse_amount
from tests.core.golden import checks

FLOAT = 1e-9
LIBRARY = "independent library"
units: Any = pint.UnitRegistry()


def run(name: str, **changed: Any) -> dict[str, Any]:
    """Return the answer to a calculation's example, some of its inputs changed."""
    return find(name).answer(example(name) | changed)


def nm(text: str, given: dict[str, Any]) -> int:
    """Return a length of an example in nanometres."""
    return parse_amount("length", text, given.get("units", "in"), negative=True)


def column(name: str, field: str) -> list[int]:
    """Return a list of lengths of an example in nanometres."""
    given = example(name)
    return [nm(text, given) for text in given[field]]


def found(answer: dict[str, Any], result: str) -> int:
    """Return a result in nanometres."""
    return int(answer["results"][result]["nm"])


def test_local_slope_by_interpolation() -> None:
    xs, heights = column("sill-local", "stations"), column("sill-local", "heights")
    reach = nm(example("sill-local")["over"], {})
    # every 1/64 in from end to end: the worst stretch ends at a station, which is among them
    starts = np.arange(xs[0], xs[-1] - reach + 1, 25400000 // 64)
    rises = np.interp(starts + reach, xs, heights) - np.interp(starts, xs, heights)
    due = float(np.abs(rises).max())
    ours = found(run("sill-local"), "value")
    checks("sill-local", "worst within 1 ft", due, ours, "numpy.interp", LIBRARY, 1, "nm")


def test_falls_and_heights_by_arrays() -> None:
    room, weather = column("sill-across", "room"), column("sill-across", "weather")
    due = np.subtract(room, weather).tolist()
    ours = [int(one["nm"]) for one in run("sill-across")["results"]["falls"]]
    checks("sill-across", "falls", due, ours, "numpy.subtract", LIBRARY, 0, "nm")
    head, sill = column("head-over-sill", "head"), column("head-over-sill", "sill")
    due = int(np.ptp(np.subtract(head, sill)))
    ours = found(run("head-over-sill"), "value")
    checks("head-over-sill", "greatest less least", due, ours, "numpy.ptp", LIBRARY, 0, "nm")
    due = int(np.ptp(column("lean", "offsets")))
    ours = found(run("lean"), "value")
    checks("lean", "most to least", due, ours, "numpy.ptp", LIBRARY, 0, "nm")


def test_closing_error_and_tie_by_fractions() -> None:
    due = int(abs(Fraction(43) + Fraction(9, 16) - Fraction(87, 2)) * 25400000)
    ours = found(run("sill-closing"), "value")
    checks("sill-closing", "43 9/16 and 43 1/2 in", due, ours, "fractions", LIBRARY, 0, "nm")
    due = int(mean([Fraction(30), Fraction(104) - Fraction("74.5")]) * 1000000)
    ours = found(run("set-up-tie"), "shift")
    checks("set-up-tie", "mean shift", due, ours, "statistics.mean", LIBRARY, 0, "nm")


def test_height_stack_by_units() -> None:
    def inches(number: Fraction) -> Any:
        return number * units.inch

    # at the LEFT end nothing is packed: 97 in of opening
    left = inches(Fraction(97)) - inches(Fraction(1, 8)) - inches(Fraction(3, 16))
    due = int((left - inches(Fraction(96))).to("inch").magnitude * 25400000)
    ours = found(run("height-stack"), "gap")
    checks("height-stack", "gap over the frame", due, ours, "pint, fractions", LIBRARY, 0, "nm")


def test_packs_by_arrays() -> None:
    heights = np.array(column("sill-packing", "heights"))
    due = (heights.max() - heights).tolist()
    answer = run("sill-packing", shims=["1/16"], pieces=6)
    ours = [int(one["pack"]["nm"]) for one in answer["results"]["stations"]]
    checks("sill-packing", "packs of 1/16 in shims", due, ours, "numpy", LIBRARY, 0, "nm")


def test_straightness_by_linear_programming() -> None:
    xs = np.array(column("straightness", "stations"), dtype=float) / 25400000
    ys = np.array(column("straightness", "heights"), dtype=float) / 25400000
    # least E with |y - a - b x| <= E; variables a, b, E
    upper = np.column_stack([-np.ones_like(xs), -xs, -np.ones_like(xs)])
    lower = np.column_stack([np.ones_like(xs), xs, -np.ones_like(xs)])
    made = optimize.linprog(
        [0, 0, 1],
        A_ub=np.vstack([upper, lower]),
        b_ub=np.concatenate([-ys, ys]),
        bounds=[(None, None), (None, None), (0, None)],
        method="highs",
    )
    answer = run("straightness")
    due = 2 * float(made.fun)
    ours = found(answer, "zone") / 25400000
    checks("straightness", "zone", due, ours, "scipy.optimize.linprog", LIBRARY, FLOAT, "in")
    rise = float(np.polyfit(xs, ys, 1)[0]) * float(xs[-1] - xs[0])
    ours = found(answer, "tilt") / 25400000
    checks("straightness", "trend", rise, ours, "numpy.polyfit", LIBRARY, 1e-7, "in")


def test_compound_by_trapezoids() -> None:
    xs, depths = column("compound-volume", "stations"), column("compound-volume", "depths")
    due = float(np.trapezoid(depths, xs)) * 8 * 25400000 / 10**21
    ours = float(run("compound-volume")["results"]["volume"]["mL"])
    checks("compound-volume", "profile", due, ours, "numpy.trapezoid", LIBRARY, 0.001, "mL")


def test_fit_by_linear_programming() -> None:
    left, right = column("fit", "left"), column("fit", "right")
    widths, frame = column("fit", "widths"), nm("143 1/2", {})
    between = float(np.median(np.array(widths) - left - right))
    # greatest g with left + x >= g and between + right - x - frame >= g; variables x, g
    rows = [[-1, 1]] * len(left) + [[1, 1]] * len(right)
    sides = [*left, *[between + offset - frame for offset in right]]
    bounds = [(None, None), (None, None)]
    made = optimize.linprog([0, -1], A_ub=rows, b_ub=sides, bounds=bounds, method="highs")
    due = -float(made.fun)
    # with limits as wide as these the most even place is the best one
    ours = found(run("fit", least="0", most="10"), "value")
    checks("fit", "least gap", due, ours, "scipy.optimize.linprog", LIBRARY, 1, "nm")


def test_shims_at_anchors_by_interpolation() -> None:
    anchors = ["6", "20", "34", "48", "62", "76", "90"]
    results = run("fit", anchors=anchors)["results"]
    ys, spots = column("fit", "heights"), [nm(text, {}) for text in anchors]
    for side in ("left", "right"):
        gaps = [int(one["nm"]) for one in results[side + "_gaps"]]
        due = np.interp(spots, ys, gaps).tolist()
        ours = [int(one[side]["nm"]) for one in results["at_anchors"]]
        checks("fit", f"gaps at seven anchors, {side}", due, ours, "numpy.interp", LIBRARY, 1, "nm")


def test_sag_and_twist_by_arrays() -> None:
    xs, heights = column("head-sag", "positions"), column("head-sag", "heights")
    chord = np.interp(xs, [xs[0], xs[-1]], [heights[0], heights[-1]])
    due = float(np.abs(heights - chord).max())
    ours = found(run("head-sag"), "value")
    checks("head-sag", "off the chord", due, ours, "numpy.interp", LIBRARY, 1, "nm")
    # plane through three corners of a rectangle, the fourth against it
    corners = np.array(column("twist", "corners"), dtype=float)
    at = np.array([[1, 0, 0], [1, 144, 0], [1, 144, 96]], dtype=float)
    plane = np.linalg.solve(at, corners[:3])
    due = float(abs(np.array([1, 0, 96]) @ plane - corners[3]))
    ours = found(run("twist"), "corner")
    checks("twist", "one corner", due, ours, "numpy.linalg.solve", LIBRARY, 1, "nm")


def test_order_of_panels_by_its_rules() -> None:
    """Farthest track first, the lead before others of its track: a sort of what must precede."""
    panels = example("panel-order")["panels"]
    letters = "ABCD"
    before: dict[str, set[str]] = {letter: set() for letter in letters}
    for letter, panel in zip(letters, panels, strict=True):
        for other, mate in zip(letters, panels, strict=True):
            if mate["track"] < panel["track"]:
                before[letter].add(other)
    due = list(TopologicalSorter(before).static_order())
    ours = run("panel-order")["results"]["order"]
    checks("panel-order", "from outside", due, ours, "graphlib.TopologicalSorter", LIBRARY)
    after = {letter: {m for m in letters if letter in before[m]} for letter in letters}
    due = list(TopologicalSorter(after).static_order())
    ours = run("panel-order", set_from="room")["results"]["order"]
    checks("panel-order", "from the room", due, ours, "graphlib.TopologicalSorter", LIBRARY)


def test_supports_by_counting() -> None:
    must = np.array([1, 30, 59])
    due = int(np.ceil(np.diff(must) / 12).sum()) + 1
    ours = run("supports")["results"]["count"]
    checks("supports", "under 60 in, 12 in apart", due, ours, "numpy.ceil", LIBRARY)


def test_rollers_by_turning_the_panel() -> None:
    """The panel is turned as one piece until the gap is alike; the far axle has risen by that."""
    taper, distance, axles = 1 / 8, 96.0, 48.0
    turn = Rotation.from_euler("z", np.arcsin(taper / distance))
    due = float(turn.apply([axles, 0, 0])[1])
    answer = run("roller-rise")
    ours = found(answer, "rise") / 25400000
    source = "scipy.spatial.transform.Rotation"
    checks("roller-rise", "rise", due, ours, source, LIBRARY, 5e-8, "in")
    gap = run("roller-gap")
    assert f'{Fraction(due).limit_denominator(32)}"' in gap["remedies"][0]
    due = float(np.ptp([0.125, 0.1875, 0.25]))
    checks(
        "roller-gap",
        "greatest less least",
        due,
        found(gap, "value") / 25400000,
        "numpy.ptp",
        LIBRARY,
        FLOAT,
        "in",
    )
    due = int(abs(Fraction(3, 8) - Fraction(7, 16)) * 25400000)
    ours = found(run("stiles-alike"), "value")
    checks("stiles-alike", "3/8 and 7/16 in", due, ours, "fractions", LIBRARY, 0, "nm")


def test_lift_by_turning_the_panel() -> None:
    """Two carriages 6 and 42 in along a panel of 48 lift 1/4 and 9/32: what both stiles rise."""
    turn = Rotation.from_euler("z", np.arcsin((9 / 32 - 1 / 4) / 36))
    pivot = np.array([6.0, 0, 0])  # the left carriage, that rises straight
    up = {
        side: float((turn.apply(np.array([x, 0, 0]) - pivot) + pivot)[1]) + 1 / 4
        for side, x in (("left", 0.0), ("right", 48.0))
    }
    lifted = {f"lifted_{side}": f"{3 / 16 + rise:.4f}" for side, rise in up.items()}
    answer = run("panel-lift", **lifted)
    for side, rise in up.items():
        ours = found(answer, side) / 25400000
        what = f"lift at the {side} stile"
        source = "scipy.spatial.transform.Rotation"
        checks("panel-lift", what, rise, ours, source, LIBRARY, 1e-4, "in")  # typed so


def test_two_leads_by_turning_each() -> None:
    """Each lead is turned upright by itself: 1/8 and 1/16 in of lean over 96, axles 48 apart."""
    answer = run("meeting-gap")
    rises = []
    for lean in (1 / 8, 1 / 16):
        turn = Rotation.from_euler("z", np.arcsin(lean / 96))
        rises.append(Fraction(float(turn.apply([48, 0, 0])[1])).limit_denominator(64))
    source = "scipy.spatial.transform.Rotation"
    said = [words for words in answer["remedies"] if words.startswith("Panel")]
    told = [f'{rise}"' in words for rise, words in zip(rises, said, strict=True)]
    checks("meeting-gap", "1/16 and 1/32 in", [True, True], told, source, LIBRARY)
    due = int((Fraction(1, 8) + Fraction(1, 16)) * 25400000)
    checks("meeting-gap", "taper", due, found(answer, "taper"), "fractions", LIBRARY, 0, "nm")


def test_alike_and_the_middle_force() -> None:
    due = int(np.ptp(column("alike", "readings")))
    ours = found(run("alike"), "value")
    checks("alike", "3/8 to 1/2 in", due, ours, "numpy.ptp", LIBRARY, 0, "nm")
    middle = float((median([14, 9, 11]) * units.lbf).to("newton").magnitude)
    ours = float(run("sliding-force")["results"]["value"]["N"])
    source = "statistics.median, pint"
    checks("sliding-force", "of 14, 9, 11 lbf", middle, ours, source, LIBRARY, FLOAT, "N")


def test_published_limits() -> None:
    """The rows as public pages restate them; 1.5 mm/m to 3 mm over three lengths, by pint."""
    for size, due in (("1.2 m", 1.8), ("2 m", 3.0), ("6 m", 3.0)):
        ours = found(run("published-limit", length=size), "limit") / 10**6
        grown = float((1.5 * units.mm / units.metre * units(size)).to("mm").magnitude)
        assert abs(min(grown, 3.0) - due) < FLOAT
        source = "a test house's page (seen); pint"
        checks("published-limit", f"element, {size}", due, ours, source, "published", FLOAT, "mm")
    for row, size, due in (
        ("frame-plumb", "3 m", 6.0),
        ("frame-level", "1.5 m", 2.0),
        ("frame-level", "1501 mm", 3.0),
        ("opening-sill", "2 m", 6.0),
        ("opening-sill", "4 m", 10.0),
        ("frame-diagonals", "4 m", 2.0),
    ):
        ours = found(run("published-limit", row=row, length=size), "limit") / 10**6
        what, source = f"{row}, {size}", "NF DTU 36.5 (restated)"
        checks("published-limit", what, due, ours, source, "restated", FLOAT, "mm")


def test_shear_by_pythagoras() -> None:
    due = float(np.hypot(6, 4)) / 6 - 1
    answer = run("joint-shear", width="6 mm", shift="4 mm")
    ours = float(answer["results"]["stretched"]["ratio"])
    # rounded up to a millionth: 20.185 %
    checks("joint-shear", "6 mm wide, 4 mm along", due, ours, "numpy.hypot", LIBRARY, 1e-6)


def test_cure_by_solving_for_the_time() -> None:
    due = optimize.brentq(lambda days: 2 * np.sqrt(days) - 6, 1, 100)
    ours = float(run("cure")["results"]["slow"]["s"]) / 86400
    checks(
        "cure",
        "6 mm at 2 mm in the first day",
        due,
        ours,
        "scipy.optimize.brentq",
        LIBRARY,
        FLOAT,
        "d",
    )


def test_masses_and_pressures_by_units() -> None:
    due = float((3 * 60 * units.kilogram).to("pound").magnitude)
    ours = float(
        (float(run("vacuum-pads")["results"]["left"]["kg"]) * units.kilogram).to("lb").magnitude
    )
    checks("vacuum-pads", "three of four pads", due, ours, "pint", LIBRARY, FLOAT, "lb")
    due = float((5 * units.lbf / units.foot**2).to("pascal").magnitude)
    ours = float(run("field-pressure")["results"]["field"]["Pa"])
    checks("field-pressure", "2/3 of 7.5 psf", due, ours, "pint", LIBRARY, 0.0005, "Pa")
    head = (6 * units.lbf / units.foot**2) / (1000 * units.kg / units.m**3 * units.gravity)
    ours = found(run("water-head"), "head")
    due = float(head.to("nanometer").magnitude)
    checks("water-head", "6 psf", due, ours, "pint", LIBRARY, 1, "nm")


def test_movement_by_units() -> None:
    """A difference is a delta degree in pint, so the two kinds cannot be mixed."""
    alpha = 23.6e-6 / units.delta_degC
    moved = 240 * units.inch * alpha * (60 * units.delta_degF)
    due = float(moved.to("inch").magnitude)
    ours = found(run("movement"), "movement") / 25400000
    checks("movement", "240 in of aluminium, 60 °F", due, ours, "pint", LIBRARY, 1e-6, "in")
    # an alloy's own coefficient, per either degree
    for text, alpha in (
        ("23.1 /K", 23.1e-6 / units.delta_degC),
        ("13 /°F", 13e-6 / units.delta_degF),
    ):
        due = float((240 * units.inch * alpha * (60 * units.delta_degF)).to("inch").magnitude)
        ours = found(run("movement", coefficient=text), "movement") / 25400000
        checks("movement", f"own coefficient, {text}", due, ours, "pint", LIBRARY, 1e-6, "in")


def test_header_and_spans_by_fractions() -> None:
    due = int((Fraction(1, 4) - Fraction(3, 16)) * 25400000)
    ours = found(run("header-room"), "remaining")
    checks("header-room", "what remains", due, ours, "fractions", LIBRARY, 0, "nm")
    due = float(Fraction(192 * 25400000, 360))
    ours = found(run("span-ratio"), "at_ratio")
    checks("span-ratio", "192 in / 360", due, ours, "fractions", LIBRARY, 0.5, "nm")


def test_roller_load_by_linear_programming() -> None:
    """The most that one of four rollers can carry in equilibrium, none of them pulling."""
    places, centre = [0, 200, 1000, 1200], 500
    loads = []
    for k in range(4):
        wish = [-1.0 if i == k else 0.0 for i in range(4)]
        balance = [[1, 1, 1, 1], places]
        made = optimize.linprog(wish, A_eq=balance, b_eq=[180, 180 * centre], method="highs")
        loads.append(-float(made.fun))
    answer = run("roller-load", positions=[f"{at} mm" for at in places], centre=f"{centre} mm")
    ours = float(answer["results"]["needed"]["kg"])
    checks(
        "roller-load",
        "180 kg on four",
        max(loads),
        ours,
        "scipy.optimize.linprog",
        LIBRARY,
        FLOAT,
        "kg",
    )


def half_width(*halves: float) -> float:
    """Return U (k = 2) of independent rectangular errors, each to one side."""
    return 2 * float(np.sqrt(sum(stats.uniform(-half, 2 * half).var() for half in halves)))


def test_uncertainty_by_distributions() -> None:
    # class II over 12 ft (4 m rounded up): 0.3 + 0.2 x 4 mm; steel 15 °C off; read to 1/16 in
    due = half_width(1.1, 11.5e-6 * 3657.6 * 15, 25.4 / 32)
    ours = found(run("uncertainty"), "uncertainty") / 10**6
    source = "scipy.stats.uniform"
    checks("uncertainty", "tape, 12 ft", due, ours, source, LIBRARY, 1e-5, "mm")
    due = half_width(25.4 / 32, 25.4 / 32)
    ours = found(run("uncertainty-of-difference"), "uncertainty") / 10**6
    checks("uncertainty-of-difference", "two to 1/16 in", due, ours, source, LIBRARY, 1e-5, "mm")
    serves = 2 * due <= 25.4 / 16
    ours = run("instrument-can-prove")["results"]["serves"]
    checks("instrument-can-prove", "1/16 in, two readings", serves, ours, source, LIBRARY)


def test_dew_points_by_another_formula() -> None:
    """psychrolib's coefficients are others: 0.03 °C apart at most above freezing (computed)."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    for air, humidity in ((25, 50), (20, 80), (5, 85)):
        due = psychrolib.GetTDewPointFromRelHum(air, humidity / 100)
        answer = run("dew-window", air=f"{air} °C", humidity=f"{humidity} %")
        ours = float(answer["results"]["dew_point"]["celsius"])
        what = f"{air} °C, {humidity} %"
        checks("dew-window", what, due, ours, "psychrolib", LIBRARY, 0.035, "°C")


def test_checks_of_instruments_by_units() -> None:
    grown = 5 * units.metre * (11.5e-6 / units.delta_degC) * (15 * units.delta_degC)
    due = float(grown.to("mm").magnitude)
    ours = found(run("tape-in-heat"), "off") / 10**6
    checks("tape-in-heat", "5 m at 35 °C", due, ours, "pint", LIBRARY, 1e-6, "mm")
    due = int(Fraction(1, 32) / 2 * 25400000)
    ours = found(run("level-turned"), "off")
    checks("level-turned", "1/32 in apart", due, ours, "fractions", LIBRARY, 0, "nm")
    slope = 0.3 * units.mm / units.metre
    due = float((2 * 5 * units.metre * slope).to("mm").magnitude)
    ours = found(run("laser-turned"), "most") / 10**6
    checks("laser-turned", "5 m", due, ours, "pint", LIBRARY, FLOAT, "mm")


def test_two_pegs() -> None:
    """The line's error by pint's lengths: the far difference less the true one."""
    read = {"near": ("1000 mm", "1352 mm"), "middle": ("1500 mm", "1850 mm")}
    rise = {name: float((units(b) - units(a)).to("mm").magnitude) for name, (a, b) in read.items()}
    due = abs(rise["near"] - rise["middle"])
    ours = found(run("two-peg"), "off") / 10**6
    checks("two-peg", "1.5, 1.85, 1, 1.352 m", due, ours, "pint", LIBRARY, FLOAT, "mm")


def test_door_model_by_linear_programming() -> None:
    """The share of the example, its bounds and tapers set up anew as rows for linprog."""
    given = example("door-model")
    low, high = nm(given["low"], given), nm(given["high"], given)
    apart = [nm(row["off"], given) for jamb in ("left_jamb", "right_jamb") for row in given[jamb]]
    tall = nm(given["left_jamb"][1]["at"], given)
    sway = [apart[1] * (high - low) / tall, apart[3] * (high - low) / tall]
    count = len(given["panels"])
    axles = [nm(text, given) for text in given["panels"][0]["axles"]]
    scale = (high - low) / (axles[1] - axles[0])
    # unknowns: f of each panel (right roller less left), then T; the sill is level, and over it
    # every stile keeps its clearance and its place in the head up to f = 3/16 either way
    rows, most = [], []
    for k in range(count + 1):
        row = [0.0] * (count + 1)
        constant = -sway[0] if k == 0 else sway[1] if k == count else 0.0
        if k:
            row[k - 1] += scale
        if k < count:
            row[k] -= scale
        limit = 25400000 / 16 if k in (0, count) else 25400000 / 8
        for sign in (1, -1):
            rows.append([*[sign * value / 1e6 for value in row[:-1]], -limit / 1e6])
            most.append(-sign * constant / 1e6)
    ranges = [(-3 * 25400000 / 16, 3 * 25400000 / 16)] * count + [(0, None)]
    cost = [0.0] * count + [1.0]
    due = float(optimize.linprog(cost, A_ub=rows, b_ub=most, bounds=ranges).fun)
    ours = float(run("door-model")["results"]["share"])
    checks("door-model", "the example's share", due, ours, "scipy linprog", LIBRARY, 0.0005)


def test_door_model_says_what_is_out() -> None:
    wide = [{"at": "0", "off": "0"}, {"at": "96", "off": "1"}]
    answer = run("door-model", right_jamb=wide)
    assert (answer["verdict"], answer["results"]["answer"]) == ("out", "cannot")
    assert answer["results"]["changes"][0].startswith("Move the head of the RIGHT jamb")
    measured = [{"gap": k + 1, "low": "1/4", "high": "1/4"} for k in range(5)]
    answer = run("door-model", measured=measured, hung=True)
    assert answer["results"]["turns"] == []
    assert answer["results"]["share"] == "0"
