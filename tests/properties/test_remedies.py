"""What a remedy says is done to the readings, as the wood would move: then the verdict is within.

The openings' own (cut, pad, jamb moved) stand in test_opening.py and test_rollers.py, packing and
grinding in test_sill.py. Geometry here is done anew: corners, rotations, exact roots.
"""

from fractions import Fraction
from math import isqrt

from hypothesis import given
from hypothesis import strategies as st

from app.core.checks.frame import square
from app.core.checks.head import head_over_sill, head_sag
from app.core.checks.stiles import stiles_alike
from app.core.checks.twist import twist
from app.core.trade import joint
from app.core.trade.drawing import Drawing
from tests.core.asked import ask, place

MM = 1_000_000
FRAME = {"of": "frame"}
HEIGHT = st.integers(-10 * MM, 10 * MM)


def heads(values):
    """Return (place, height) at ends, quarters and middle, 1 m apart."""
    return [(place(str(i), x=i * 1000 * MM), value) for i, value in enumerate(values)]


@given(st.lists(HEIGHT, min_size=5, max_size=5), st.integers(1000, 3 * MM), st.booleans())
def test_a_head_moved_as_told_is_straight_and_level(quarters, most, levelled):
    heights = [4 * value for value in quarters]  # so that a tilt divides evenly
    limits = {"most": most, **({"level": 4 * most} if levelled else {})}
    found = head_sag(ask({"head": heads(heights)}, limits, FRAME))
    done = list(heights)
    for remedy in found.remedies:
        at, by = int(remedy.params["place"].template), remedy.params["by"].nm
        if (
            "this end" in remedy.template
        ):  # the other end stands still, what is between turns with it
            done = [h + by * (4 - abs(i - at)) // 4 for i, h in enumerate(done)]
        else:
            done[at] += by if "Raise" in remedy.template else -by
    assert head_sag(ask({"head": heads(done)}, limits, FRAME)).verdict == "within"


@given(st.lists(HEIGHT, min_size=2, max_size=6), st.integers(0, 3 * MM))
def test_a_head_raised_as_told_is_alike_over_the_sill(heights, most):
    heights = [2000 * MM + height for height in heights]
    found = head_over_sill(ask({"head": heads(heights)}, {"most": most}, FRAME))
    for remedy in found.remedies:
        heights[int(remedy.params["place"].template)] += remedy.params["by"].nm
    again = head_over_sill(ask({"head": heads(heights)}, {"most": most}, FRAME))
    assert again.verdict == "within"


def diagonals(width, height, shift):
    """Return both diagonals of a frame whose head stands `shift` to the right, to the nm."""
    return [isqrt((width + shift) ** 2 + height**2), isqrt((width - shift) ** 2 + height**2)]


def squared(width, height, shift, most):
    names = ("low-left-high-right", "low-right-high-left")
    pairs = [
        (place(name), d) for name, d in zip(names, diagonals(width, height, shift), strict=True)
    ]
    lengths = {"frame_width": str(width), "frame_height": str(height)}
    return square(ask({"diagonals": pairs}, {"most": most}, FRAME, Drawing({"lengths": lengths})))


@given(
    st.integers(1000 * MM, 7000 * MM),
    st.integers(2000 * MM, 3500 * MM),
    st.integers(-20 * MM, 20 * MM),
    st.integers(10_000, 5 * MM),
)
def test_a_head_moved_sideways_as_told_squares_the_frame(width, height, shift, most):
    for remedy in squared(width, height, shift, most).remedies:
        by = remedy.params["by"].nm
        shift += -by if "left" in remedy.template else by
    assert squared(width, height, shift, most).verdict == "within"


def strings(corners, most):
    """Return the outcome of four corners' distances from one plane: a, b, c, d around."""
    pairs = [(place(name), value) for name, value in zip("abcd", corners, strict=True)]
    return twist(ask({"strings": pairs}, {"most": most}))


@given(st.lists(st.integers(0, 20 * MM), min_size=4, max_size=4), st.integers(0, 3 * MM))
def test_a_corner_moved_as_told_takes_the_twist_out(corners, most):
    for remedy in strings(corners, most).remedies:
        string = (0, 2) if remedy.template.startswith("LOW LEFT") else (1, 3)
        front = max(string, key=lambda i: corners[i])
        corners[front] -= remedy.params["by"].nm  # toward the room
    assert strings(corners, most).verdict == "within"


def over_sill(left, right, axles, most):
    """Return the outcome of a panel 1.5 m wide whose stiles stand so high over the sill."""
    panel = {"letter": "A", "kind": "X", "track": 1, "lead": True}
    panel.update({"width": str(1500 * MM), "height": str(2400 * MM)})
    drawing = Drawing({"panels": [panel], "lengths": {"axle_distance": str(axles)}})
    pairs = [(place("l", 0, None, "A", "left"), left), (place("r", 1, None, "A", "right"), right)]
    return stiles_alike(ask({"stiles": pairs}, {"most": most}, {}, drawing))


@given(
    st.integers(0, 30 * MM),
    st.integers(0, 30 * MM),
    st.integers(600 * MM, 1450 * MM),
    st.integers(10, 2 * MM),
)
def test_a_roller_raised_as_told_levels_the_stiles(left, right, axles, most):
    for remedy in over_sill(left, right, axles, most).remedies:
        rise = remedy.params["rise"].nm
        low_left = left < right
        # the panel turns about the other roller; a stile is lifted as far as it is from it
        near, far = Fraction(1500 * MM - axles, 2), Fraction(1500 * MM + axles, 2)
        up, down = round(far * rise / axles), round(near * rise / axles)
        left, right = (left + up, right - down) if low_left else (left - down, right + up)
    assert over_sill(left, right, axles, most).verdict == "within"


@given(st.integers(1, 40 * MM), st.integers(1, 40 * MM))
def test_a_joint_made_wider_as_told_is_wide_enough(measured, needed):
    for remedy in joint.judge_width(measured, needed).remedies:
        measured += remedy.params["by"].nm
    assert joint.judge_width(measured, needed).verdict == "within"


def test_a_remedy_that_is_not_followed_leaves_it_out():
    # the simulations above can fail: half of what is told is not enough
    found = squared(3000 * MM, 2400 * MM, 10 * MM, MM)
    by = found.remedies[0].params["by"].nm
    assert squared(3000 * MM, 2400 * MM, 10 * MM - by // 2, MM).verdict == "out"
