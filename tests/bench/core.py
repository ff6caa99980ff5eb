"""python -m tests.bench.core: the trade's calculations in MicroPython, on large doors.

A survey of 200 stations on two lines, its ways compared, a straightedge; a door of 12 panels that
stack to both ends: order, anchors, bed, fit, square, stiles, gaps, the whole set-out; the model of
eight panels on tracks of 17 stations. In a worker of a headless Chromium. Figures are printed and
never asserted.
"""

from playwright.sync_api import sync_playwright

from tests.browser.chromium import launch
from tests.parity.engine import engine

WORK = """
from app.core.checks.frame import square
from app.core.checks.opening import fit
from app.core.checks.rollers import roller_gap
from app.core.checks.sill import level_local, level_range, ways_compared
from app.core.checks.sill_across import cross_fall
from app.core.checks.stiles import stiles_alike
from app.core.trade.drawing import Drawing
from app.core.layout.setout import setout_of
from app.core.trade.anchored import head_anchors
from app.core.trade.bed import of_drawing
from app.core.trade.setting import setting_order
from app.core.trade.straight import narrowest_zone, straightedge_gap
from app.core.trade.door_model.outlook import outlook
from app.core.trade.door_model.plan import best_plan
from app.core.trade.door_model.profile import Profile
from tests.core import doors
from tests.core.rigid_doors import rigid_door
from tests.core.asked import IN, ask, place

XS = [i * 12 * IN for i in range(200)]


def wave(shift):
    return [(i * 7919 + shift) % 9 * IN // 32 for i in range(200)]


def line(name, heights):
    return [(place(name + str(i), x), h) for i, (x, h) in enumerate(zip(XS, heights))]


def survey(limits, settings, **inputs):
    lengths = {"frame_width": str(XS[-1]), "sill_depth": str(6 * IN)}
    drawing = Drawing({"lengths": lengths, "shims": [str(IN // 32), str(IN // 8)]})
    return ask(inputs, limits, settings, drawing)


def both(**more):
    return survey({"most": IN // 4}, dict({"side": "room"}, **more),
                  line=line("a", wave(0)), other=line("b", wave(3)))


def test_total_range_two_lines_200_stations():
    level_range(both())


def test_any_one_foot_200_stations():
    level_local(both(over=12 * IN))


def test_ways_compared_200_stations():
    ways_compared(both())


def test_cross_fall_200_stations():
    cross_fall(survey({"least": 0}, {}, room=line("a", wave(0)), weather=line("b", wave(3))))


def test_straightness_zone_200_stations():
    narrowest_zone(XS, wave(0))


def test_straightedge_10_ft_200_stations():
    straightedge_gap(XS, wave(0), 120 * IN)


DOOR = doors.door([6, 5, 4, 3, 2, 1, 1, 2, 3, 4, 5, 6], "X" * 12, "FG", lock="left")
LETTERS = [panel.letter for panel in DOOR.panels]


def each(*spots):
    return [(place(letter + "-" + spot, 0, y, letter, side), value)
            for letter in LETTERS for spot, y, side, value in spots]


def jamb(name, offset):
    return [(place(name + str(i), None, i * 12 * IN, side=name), offset + i * IN // 32)
            for i in range(9)]


def test_order_of_12_panels():
    assert len(setting_order(DOOR)) == 12


def test_anchors_of_the_head_12_panels():
    head_anchors(DOOR)


def test_bed_under_12_panels():
    of_drawing(DOOR)


def test_fit_at_nine_heights():
    inputs = {"left": jamb("l", 2 * IN), "right": jamb("r", 2 * IN), "widths": jamb("", 47 * IN)}
    limits = {"least": 0, "most": IN, "agree": IN}
    assert fit(ask(inputs, limits, {}, DOOR)).value is not None


def test_square_of_12_panels():
    rising, falling = ("low-left-high-right", "low-right-high-left")
    read = each((rising, None, "", 103 * IN), (falling, None, "", 104 * IN))
    found = square(ask({"diagonals": read}, {"most": IN // 8}, {"of": "panel"}, DOOR))
    assert found.verdict == "out"


def test_stiles_of_12_panels():
    stiles = each(("left", None, "left", IN // 2), ("right", None, "right", IN // 4))
    assert stiles_alike(ask({"stiles": stiles}, {"most": IN // 32}, {}, DOOR)).verdict == "out"


def test_closing_gaps_of_12_panels():
    gaps = each(*[("gap-" + side, i * 40 * IN, side, IN // 4 + i * IN // 16)
                  for i, side in enumerate(("low", "middle", "high"))])
    limits = {"most": IN // 16, "middle": IN // 16}
    assert roller_gap(ask({"gap": gaps}, limits, {}, DOOR)).verdict == "out"


def whole_door():
    made = rigid_door(8, 0, -IN // 8, IN // 16)
    xs = [24 * IN * i for i in range(17)]
    for k, panel in enumerate(made.panels):
        panel.track = panel.sill = Profile(xs, [(i * 7919 + k) % 5 * IN // 64 for i in range(17)])
        panel.lip = Profile(xs, [379 * IN // 4 + (i * 31 + k) % 4 * IN // 64 for i in range(17)])
        panel.slides = -46 * IN * k
        panel.extensions = (3 * IN // 8, 3 * IN // 8 + k % 3 * IN // 32)
    return made


EIGHT = whole_door()


def test_plan_of_the_whole_door_8_panels():
    assert best_plan(EIGHT).moves


def test_outlook_of_the_whole_door_8_panels():
    assert outlook(EIGHT).answer


def test_set_out_12_panels():
    assert not setout_of(DOOR)["questions"]
"""


def main() -> None:
    """Print each calculation's milliseconds, the median of five interpreters."""
    with sync_playwright() as playwright:
        browser = launch(playwright)
        with engine(browser) as second:
            runs = [second.run("tests/core/test_bench_work.py", WORK) for _ in range(5)]
        browser.close()
    for index, (name, failure, _) in enumerate(runs[0].tests):
        times = sorted(run.tests[index][2] for run in runs)
        words = name.removeprefix("test_").replace("_", " ")
        print(f"{times[2]:6} ms  {words}" + ("  FAILED: " + failure if failure else ""))
    if runs[0].trouble:
        print(runs[0].trouble)


if __name__ == "__main__":
    main()
