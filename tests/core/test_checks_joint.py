"""Depth of sealant against the width of its joint.

Half the width, not under 1/4 in, not over 1/2 in: a county government's project specification
07 92 00 for moving joints without traffic, restated; 1/8 in off half: common practice, no source.
"""

from app.core.checks.joint import joint_depth
from app.core.trade.joint import depth_range, sealant_depth
from tests.core.asked import IN, ask, place, said
from tests.core.golden import checks

LIMITS = {"least": IN // 4, "most": IN // 2, "off": IN // 8}
SPEC = "half the width, 1/4 to 1/2 in: county project specification 07 92 00"


def found(depth, width, limits=None):
    """Return the outcome of one depth and one width at the head."""
    at = place("head", side="top")
    inputs = {"depth": [(at, depth)], "width": [(place("w", side="top"), width)]}
    return joint_depth(ask(inputs, limits or LIMITS))


def test_depth_by_width():
    # width, depth, verdict: the specification's own figures, and one that the old rule let pass
    rows = (
        (1, 1, 4, "out"),  # 1 in wide and 1/4 deep
        (1, 1, 2, "within"),
        (1, 5, 8, "out"),
        (2, 1, 4, "within"),  # 1/2 wide, 1/4 deep
        (2, 1, 2, "out"),  # as deep as wide does not stretch
        (4, 1, 4, "within"),
        (4, 3, 16, "out"),
    )
    for parts, top, bottom, due in rows:
        ours = found(top * IN // bottom, IN // parts).verdict
        what = "1/" + str(parts) + " in wide, " + str(top) + "/" + str(bottom) + " deep"
        checks("joint-depth", what, due, ours, SPEC, "restated")


def test_the_depth_that_is_advised_is_within():
    for eighths in range(2, 17):
        width = IN * eighths // 8
        least, most = depth_range(width, IN // 8)
        assert least <= sealant_depth(width) <= most
        assert found(sealant_depth(width), width).verdict == "within"


def test_a_depth_is_held_against_its_own_side():
    wide = [(place("a", side="left"), IN), (place("b", side="right"), IN // 2)]
    right = [(place("r", side="right"), IN // 4)]
    assert joint_depth(ask({"depth": right, "width": wide}, LIMITS)).verdict == "within"
    left = [(place("l", side="left"), IN // 4)]
    outcome = joint_depth(ask({"depth": left, "width": wide}, LIMITS))
    assert outcome.verdict == "out"
    assert said(outcome.says) == 'l: 1/4" deep is too thin for 1" wide; at least 3/8".'
    assert (
        said(outcome.remedies) == "Cut it out, reset the backer rod, fill it again. Measure again."
    )
    # nothing read at the head: the mean of all widths, 3/4 in
    head = [(place("h", side="top"), IN // 4)]
    assert joint_depth(ask({"depth": head, "width": wide}, LIMITS)).verdict == "within"
    head = [(place("h", side="top"), 17 * IN // 32)]
    outcome = joint_depth(ask({"depth": head, "width": wide}, LIMITS))
    assert said(outcome.says) == 'h: 17/32" deep is too deep for 3/4" wide; at most 1/2".'


def test_what_is_not_there_is_asked_for():
    inputs = {"depth": [(place("d"), IN // 4)], "width": [(place("w"), None)]}
    assert joint_depth(ask(inputs, LIMITS)).verdict == "missing"
    gone = {"width": ["w"]}
    assert joint_depth(ask(inputs, LIMITS, gone=gone)).verdict == "unreachable"


def test_an_instrument_that_is_too_coarse_is_said():
    inputs = {"depth": [(place("d"), IN // 4)], "width": [(place("w"), IN // 2)]}
    question = ask(inputs, LIMITS, errors={"depth": IN // 32, "width": IN // 32})
    assert joint_depth(question).verdict == "close"
