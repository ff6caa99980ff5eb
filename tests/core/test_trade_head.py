"""Room over the frame against a stated deflection. Sources stand beside the rows."""

from app.core.quantity.speaker import Speaker
from app.core.quantity.units import FOOT, INCH
from app.core.trade import deflection
from app.core.trade.deflection import Stated
from app.core.trade.finding import INFORMATION
from app.core.trade.verdicts import OUT, WITHIN
from tests.core.expect import refused
from tests.core.golden import checks, half_digit

S16 = INCH // 16
GAPS = {"left": 6 * S16, "middle": 4 * S16, "right": 6 * S16}
STATED = Stated("R. Example, engineer", "2026-03-02", 3 * S16)


def said(found):
    return Speaker().say(found.says + found.remedies + found.cautions)


def test_sixteen_feet():
    # worked by hand: 3/8 in at the ends, 1/4 in mid-span, live 3/16 in -> 1/16 in remain: within
    # only if 1/16 in or less is needed
    ours = deflection.gap_remaining(GAPS["middle"], STATED)
    source = "1/4 less 3/16 in, by hand"
    checks("header-room", "what remains", S16, ours, source, "computed", 0, "nm")
    assert deflection.judge_head_gap(GAPS, STATED, S16).verdict == WITHIN
    short = deflection.judge_head_gap(GAPS, STATED, S16 + 1)
    assert short.verdict == OUT
    assert "Middle: less than" in said(short)
    assert "never cut or jack the header" in said(short)


def test_ends_count_too():
    low = {"left": S16, "middle": 9 * S16, "right": 9 * S16}
    found = deflection.judge_head_gap(low, STATED, 0)
    assert found.verdict == OUT
    assert 'LEFT end, you outside: 1/8" more room' in said(found)
    assert 'it would bear on the frame by 1/8"' in said(found)
    refused("gap-missing", deflection.judge_head_gap, {"left": S16, "right": S16}, STATED, 0)
    refused("needed-negative", deflection.judge_head_gap, GAPS, STATED, -1)


def test_the_engineer_and_the_date_are_needed():
    refused("engineer-needed", Stated, " ", "2026-03-02", S16)
    for date in ("", "2026", "02.03.2026", "2026-13-01", "2026-00-10", "2026-1-01", "2026-01-32"):
        refused("date-needed", Stated, "R. Example", date, S16)
    # the Gregorian calendar: 2000 and 2028 are leap years, 1900 and 2026 are none
    for date in ("2026-02-29", "1900-02-29", "2026-04-31", "2026-11-31", "2028-02-30"):
        refused("date-needed", Stated, "R. Example", date, S16)
    for date in ("2028-02-29", "2000-02-29", "2026-12-31", "2026-04-30"):
        assert Stated("R. Example", date, S16).date == date
    refused("date-needed", Stated, "R. Example", "20a6-01-01", S16)
    refused("deflection-negative", Stated, "R. Example", "2026-03-02", -1)
    assert "R. Example, engineer, 2026-03-02" in said(deflection.judge_head_gap(GAPS, STATED, 0))


def test_creep():
    # (K - 1) x dead load's deflection; K is the engineer's input (form: restated)
    assert deflection.creep_left(INCH // 8, 150) == S16
    assert deflection.creep_left(INCH // 8, 200) == 2 * S16
    assert deflection.creep_left(INCH // 8, 100) == 0
    refused("creep-factor", deflection.creep_left, INCH // 8, 99)
    refused("deflection-negative", deflection.creep_left, -1, 150)
    both = Stated("R. Example", "2026-03-02", 2 * S16, deflection.creep_left(INCH // 8, 150))
    assert both.comes_down == 3 * S16


def test_ratios_of_sixteen_feet():
    # arithmetic, 192 in, four digits
    for ratio, inches in (
        (180, 1.0667),
        (240, 0.8),
        (360, 0.5333),
        (480, 0.4),
        (600, 0.32),
        (720, 0.2667),
    ):
        ours = deflection.at_ratio(16 * FOOT, ratio) / INCH
        what = "192 in / " + str(ratio)
        checks("span-ratio", what, inches, ours, "arithmetic", "computed", half_digit(4), "in")
    assert len(deflection.ratio_table(16 * FOOT).says) == len(deflection.RATIOS)
    assert deflection.ratio_table(16 * FOOT).verdict == INFORMATION
    refused("span-needed", deflection.ratio_table, 0)


def test_warning_by_the_least_that_a_code_asks():
    # IBC table 1604.3 (seen): floors l/360 under live load; 16 ft -> 0.533 in
    line = 16 * FOOT // 360
    assert not deflection.ratio_warns(360 * line, line)
    assert deflection.ratio_warns(360 * line + 1, line)
    warned = deflection.judge_head_gap(GAPS, STATED, 0, 16 * FOOT)
    assert "span/360" in said(warned)
    assert warned.verdict == WITHIN
    wide = {"left": INCH, "middle": INCH, "right": INCH}
    assert "span/360" not in said(deflection.judge_head_gap(wide, STATED, 0, 16 * FOOT))


def test_it_says_that_it_sizes_no_header():
    for found in (deflection.judge_head_gap(GAPS, STATED, 0), deflection.ratio_table(16 * FOOT)):
        assert "never sizes a header" in said(found)
