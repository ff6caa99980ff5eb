"""Every check: a reading exactly on its limit is within, one nanometre past it is not.

Simple acceptance (ISO 14253-1 and ILAC-G8, restated: acceptance limit = tolerance limit) by
definition. Readings and limits are typed, in inches and in millimetres, in figures that no
binary number holds: 10.4 - 10.1 is not 0.3 to a computer that counts in halves.
tests/procedures/test_on_the_limit.py holds ROWS against the shipped procedure.
"""

from app.core.checks.index import CALCS, load
from app.core.quantity.measure import parse_amount
from app.core.trade.drawing import Drawing
from tests.core.asked import IN, ask, place, up

FOOT = 12 * IN
HUGE = 10**12
TYPED = (  # a, b and the limit, which is b - a
    ("in", "10.1", "10.4", "0.3"),
    ("in", "10 1/16", "10 1/4", "3/16"),
    ("in", "7' 4.7\"", "7' 4.9\"", "0.2"),
    ("mm", "257.1", "257.4", "0.3"),
    ("mm", "2247.8", "2247.9", "0.1"),
    ("mm", "100.7", "102.3", "1.6"),
)


def one(value):
    return [(place("here"), value)]


def lines(*values, step=FOOT, prefix=""):
    """Return [(place, height)] a step apart."""
    return [(place(prefix + str(i), x=i * step), v) for i, v in enumerate(values)]


def wide(width, **lengths):
    made = {"frame_width": str(width)}
    for name, value in lengths.items():
        made[name] = str(value)
    return Drawing({"lengths": made})


def most(input, pairs, limit, settings=None, drawing=None, **limits):
    limits["most"] = limit
    return ask({input: pairs}, limits, settings, drawing)


def fitted(gap, least, top, off=0):
    """Return a frame with this gap at both sides; one tape reading `off` the plumb lines."""
    inputs = {
        "left": up(2 * IN, 2 * IN, 2 * IN, prefix="l"),
        "right": up(2 * IN, 2 * IN, 2 * IN, prefix="r"),
        "widths": up(100 * IN, 100 * IN, 100 * IN + off, prefix="w"),
    }
    limits = {"least": least, "most": top, "agree": 0}
    return ask(inputs, limits, {}, wide(100 * IN - 2 * gap))


def diagonals(rising, falling, of="frame", over=FOOT, panel="", **limits):
    pairs = [("low-left-high-right", rising), ("low-right-high-left", falling)]
    if panel:
        pairs = [(panel + "-" + name, value) for name, value in pairs]
    inputs = {"diagonals": [(place(name, panel=panel), value) for name, value in pairs]}
    row = {"letter": "A", "kind": "X", "track": 1, "lead": True}
    row.update({"width": str(7 * over), "height": str(12 * over)})
    lengths = {"frame_width": str(7 * over), "frame_height": str(12 * over)}
    settings = {"of": of, "over": 12 * over, "tall": over}
    return ask(inputs, limits, settings, Drawing({"panels": [row], "lengths": lengths}))


def racked(a, b, limit, past, name):
    """Return a 7 x 12 frame whose diagonals are 15 and 13: shifted by 2 (3-4-5, 5-12-13)."""
    unit = b - a
    limits = {name: 2 * limit - past}
    return diagonals(15 * unit, 13 * unit, over=unit, **limits)


def lifted(down, up, **limits):
    """Return one panel whose stiles stand so over the sill with the handle down, and up."""
    inputs = {
        input: [
            (place("A-" + side, panel="A", side=side), value)
            for side, value in zip(("left", "right"), heights)
        ]
        for input, heights in (("lowered", down), ("lifted", up))
    }
    every = {"least": 0, "most": HUGE, "alike": HUGE, "free": 0}
    every.update(limits)
    return ask(inputs, every)


def gap(low, middle, high, top, off):
    row = {"letter": "A", "kind": "X", "track": 1, "lead": True, "width": str(60 * IN)}
    row["height"] = str(100 * IN)
    drawing = Drawing({"panels": [row], "lengths": {"axle_distance": str(48 * IN)}, "lock": "left"})
    pairs = up(low, middle, high, prefix="left-", x=0, panel="A")
    return ask({"gap": pairs}, {"most": top, "middle": off}, {}, drawing)


def stiles(left, right, **limits):
    pairs = [(place("A-left", 0, None, "A", "left"), left)]
    pairs.append((place("A-right", 60 * IN, None, "A", "right"), right))
    row = {"letter": "A", "kind": "X", "track": 1, "lead": True}
    row.update({"width": str(60 * IN), "height": str(100 * IN)})
    return ask({"stiles": pairs}, limits, {}, Drawing({"panels": [row]}))


def closes(gaps=None, interlocks=None, sill=None, leans=None, **limits):
    """Return a door whose gap at the left jamb is even but for what is given."""
    inputs = {"gaps": up(*(gaps or (IN, IN, IN)), prefix="left-", x=0, panel="A")}
    every = {"reveal": HUGE, "middle": HUGE, "interlock": HUGE}
    every.update(limits)
    if interlocks:
        inputs["interlocks"] = up(*interlocks, prefix="A-B-", x=60 * IN)
    if sill:
        inputs["stiles"] = [(place("A-left", 0, None, "A", "left"), sill)]
    if leans:
        inputs["plumb"] = up(*leans, prefix="A-", x=60 * IN, panel="A")
    return ask(inputs, every)


def stack(a, b, past):
    """Return an opening b high over a frame that needs exactly that with its gap b - a."""
    lengths = {"pan_thickness": 0, "bed_thickness": 0, "head_gap_least": b - a}
    lengths["frame_height"] = a + past
    inputs = {"line": lines(0, 0), "heights": lines(b, b, prefix="h")}
    return ask(inputs, {}, {}, wide(FOOT, **lengths))


def strokes(value, limit):
    names = [place("A-open-" + str(n), panel="A", side="open") for n in (1, 2, 3)]
    return most("readings", list(zip(names, (0, value, HUGE))), limit)


def ends(low, middle, high, limit):
    return most("readings", up(low, middle, high), limit)


def leaning(values, heights, limit, **limits):
    settings = {"jamb": "left", "way": "in the wall", "over": heights[-1] - heights[0]}
    return most("jamb", up(*values, heights=heights), limit, settings, **limits)


def joint(depth, width, off, least=0, greatest=HUGE):
    inputs = {"depth": one(depth), "width": [(place("wide"), width)]}
    return ask(inputs, {"least": least, "most": greatest, "off": off})


def between(start, end, limits):
    """Return the time between two moments; milliseconds are whole numbers as nanometres are."""
    return ask({"start": one(start), "end": one(end)}, limits)


UP3 = (0, 24 * IN, 48 * IN)
# check.limit -> the question for readings a and b, the limit b - a, and 0 or 1 nm past it
ROWS = {
    "each-within.most": lambda a, b, c, p: most("readings", one(b + p), a + c),
    "each-within.least": lambda a, b, c, p: ask({"readings": one(a - p)}, {"least": b - c}),
    "time-between.most": lambda a, b, c, p: between(a, b + p, {"most": c}),
    "time-between.least": lambda a, b, c, p: between(a, b - p, {"least": c}),
    "against-drawing.most": lambda a, b, c, p: most(
        "readings", one(b + p), c, {"field": "frame_width"}, wide(a)
    ),
    "alike.most": lambda a, b, c, p: most("readings", up(a, a, b + p), c),
    "alike.most_large": lambda a, b, c, p: most(
        "readings", up(a, a, b + p), 0, {"large": IN, "of": "frame_width"}, wide(FOOT), most_large=c
    ),
    "middle-of-ends.most": lambda a, b, c, p: ends(a, b + p, a, c),
    "middle-of-three.most": lambda a, b, c, p: strokes(b + p, a + c),
    "unchanged.most": lambda a, b, c, p: most(
        "readings", [(place("start"), a), (place("end"), b + p)], c
    ),
    "level-range.most": lambda a, b, c, p: most("line", lines(a, a, b + p), c),
    "level-local.most": lambda a, b, c, p: most("line", lines(a, b + p), c, {"over": FOOT}),
    "cross-fall.least": lambda a, b, c, p: ask(
        {"room": lines(b), "weather": lines(a + p, prefix="w")}, {"least": c}, {}, wide(FOOT)
    ),
    "cross-fall.most": lambda a, b, c, p: ask(
        {"room": lines(b + p), "weather": lines(a, prefix="w")},
        {"least": 0, "most": c},
        {},
        wide(FOOT),
    ),
    "closing-error.most": lambda a, b, c, p: most(
        "line", [(place("first", x=0), a), (place("back", x=0, side="closing"), b + p)], c
    ),
    "height-stack.": lambda a, b, c, p: stack(a, b, p),
    "fit.least": lambda a, b, c, p: fitted(b - a - p, c, HUGE),
    "fit.most": lambda a, b, c, p: fitted(b - a + p, 0, c),
    "lean.most": lambda a, b, c, p: leaning((a, a, b + p), UP3, c),
    "lean.most_over": lambda a, b, c, p: leaning(
        (2 * a, a + b, 2 * b + 2 * p), UP3, HUGE, most_over=2 * c
    ),
    "square.most": lambda a, b, c, p: diagonals(b + p, a, most=c),
    "square.most_tall": lambda a, b, c, p: diagonals(b + p, a, "panel", panel="A", most_tall=c),
    "square.rack": lambda a, b, c, p: racked(a, b, c, p, "rack"),
    "square.rack_any": lambda a, b, c, p: racked(a, b, c, p, "rack_any"),
    "twist.most": lambda a, b, c, p: most("strings", [(place("gap"), b + p)], a + c),
    "jambs-twist.most": lambda a, b, c, p: ask(
        {"left": up(a, a, a, prefix="l"), "right": up(a, a, b + p, prefix="r")}, {"most": c}
    ),
    "head-sag.most": lambda a, b, c, p: most("head", lines(b, b, a - p, b, b), c, {"of": "frame"}),
    "head-sag.level": lambda a, b, c, p: most(
        "head", lines(a, a, a, a, b + p), HUGE, {"of": "frame"}, level=c
    ),
    "head-over-sill.most": lambda a, b, c, p: most(
        "head", lines(a, a, b + p), c, {"of": "frame"}, wide(2 * FOOT)
    ),
    "door-closes.reveal": lambda a, b, c, p: closes((a, a, b + p), reveal=c),
    "door-closes.middle": lambda a, b, c, p: closes((a, b + p, a), middle=c),
    "door-closes.interlock": lambda a, b, c, p: closes(interlocks=(a, a, b + p), interlock=c),
    "door-closes.plumb": lambda a, b, c, p: closes(leans=(a, a, b + p), plumb=c),
    "door-closes.clearance_least": lambda a, b, c, p: closes(
        sill=a - p, clearance_least=b - c, clearance_most=HUGE
    ),
    "door-closes.clearance_most": lambda a, b, c, p: closes(
        sill=b + p, clearance_least=0, clearance_most=a + c
    ),
    "roller-gap.most": lambda a, b, c, p: gap(a, (a + b) // 2, b + p, c, HUGE),
    "roller-gap.middle": lambda a, b, c, p: gap(a, b + p, a, HUGE, c),
    "joint-depth.least": lambda a, b, c, p: joint(a - p, a, HUGE, b - c),
    "joint-depth.most": lambda a, b, c, p: joint(b + p, b, HUGE, 0, a + c),
    "joint-depth.off": lambda a, b, c, p: joint(b + p, 2 * a, c),
    "panel-lift.least": lambda a, b, c, p: lifted((0, 0), (c - p, HUGE), least=b - a),
    "panel-lift.most": lambda a, b, c, p: lifted((a, a), (b + p, b), most=c),
    "panel-lift.alike": lambda a, b, c, p: lifted((a, a), (a, b + p), alike=c),
    "panel-lift.free": lambda a, b, c, p: lifted((0, 0), (a - p, b), free=b - c),
    "stiles-alike.most": lambda a, b, c, p: stiles(a, b + p, most=c),
    "stiles-alike.target": lambda a, b, c, p: stiles(b + p, b + p, most=c, target=a),
    "stiles-alike.off": lambda a, b, c, p: stiles(b + p, b + p, most=0, target=a, off=c),
}
# limits that give no verdict by themselves, and checks without a figure to be compared
NO_VERDICT = {
    "cross-fall.target": "what the work keeps to; the verdict is least and most",
    "fit.agree": "beyond it readings are taken again: test_readings_agree_to_the_limit",
    "square.agree": "beyond it readings are taken again: test_checks_frame.py",
    "panel-lift.pressed": "the remedy keeps to it: test_what_frees_a_gasket_keeps_it_pressed",
    "roller-gap.alike": "tells which remedy serves: test_stiles_alike_decide_the_remedy",
    "all-counted.": "a count is the drawn one or not: test_checks_plain.py",
    "answered-yes.": "yes or no",
    "noted.": "what was noted",
}
# temperatures and shares: test_temperature_and_humidity_on_their_limits
OTHER_UNITS = ("dew-window.margin", "dew-window.humidity_most")
OTHER_UNITS += ("dew-window.surface_least", "dew-window.surface_most")


def verdict(name, question):
    return load(name.split(".")[0])[0](question).verdict


def test_on_the_limit_is_within_and_a_nanometre_past_it_is_out():
    for units, a, b, limit in TYPED:
        values = [parse_amount("length", text, units) for text in (a, b, limit)]
        assert values[1] - values[0] == values[2]
        for name, asks in ROWS.items():
            assert verdict(name, asks(*values, 0)) == "within", (name, a, b)
            assert verdict(name, asks(*values, 1)) == "out", (name, a, b)


def test_every_limit_of_every_check_has_its_row():
    for name in CALCS:
        limits = list(load(name)[1].limits) or [""]
        for limit in limits:
            key = name + "." + limit
            places = [key in ROWS, key in NO_VERDICT, key in OTHER_UNITS]
            assert places.count(True) == 1, key


def test_readings_agree_to_the_limit():
    # beside the frame is room enough; one tape reading is off by the limit, then by more
    for units, _, _, limit in TYPED:
        off = parse_amount("length", limit, units)
        question = fitted(IN, 0, HUGE, off)
        question.limits["agree"] = off
        assert verdict("fit", question) == "within"
        question.limits["agree"] = off - 1
        assert verdict("fit", question) == "missing"


def test_stiles_alike_decide_the_remedy():
    for more, turned in ((0, False), (1, True)):
        question = gap(IN, 2 * IN, 3 * IN, IN, HUGE)
        pair = stiles(2 * IN + 300000 + more, 2 * IN)
        question.places["stiles"] = pair.places["stiles"]
        question.readings["stiles"] = pair.readings["stiles"]
        question.limits["alike"] = 300000  # 0.3 mm
        words = load("roller-gap")[0](question).remedies[0].template
        assert ("stand the same" not in words) == turned, words


def dew(surface, air, humidity, **limits):
    limits["margin"] = limits.get("margin", 0)
    inputs = {"surface": one(surface), "air": one(air), "humidity": one(humidity)}
    return ask(inputs, limits)


def test_temperature_and_humidity_on_their_limits():
    for units, air, cold, warm in (("mm", "-5", "0.1", "40.3"), ("in", "23", "33.1", "90.7")):
        air_at = parse_amount("temperature", air, units, negative=True)
        low, high = (
            parse_amount("temperature", cold, units),
            parse_amount("temperature", warm, units),
        )
        share = parse_amount("fraction", "84.7", units)
        # air at -5 °C, 23 °F: the dew point is taken as 0 °C, so the margin is the surface itself
        on = dew(low, air_at, share, margin=low, humidity_most=share, surface_least=low)
        assert verdict("dew-window", on) == "within"
        assert verdict("dew-window", dew(high, air_at, share, surface_most=high)) == "within"
        for wrong in (
            dew(low, air_at, share, margin=low + 1),
            dew(low, air_at, share, humidity_most=share - 1),
            dew(low, air_at, share, surface_least=low + 1),
            dew(high, air_at, share, surface_most=high - 1),
        ):
            assert verdict("dew-window", wrong) == "out"
