"""Anchor positions, against published rules and handbook arithmetic."""

from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.trade.anchors import Zone, anchor_plan, fill_all, merged_zones
from tests.core.expect import refused
from tests.core.golden import checks

INCH = 25400000
MM = 1000000
STEP = INCH // 8
WEEP = Msg("a weep")


def gaps(points):
    return [high - low for low, high in zip(points, points[1:])]


def codes(made):
    return [conflict.code for conflict in made.conflicts]


# Length, end distance, greatest spacing -> how many, how far apart.
# Source: n = max(1, ceil((L - 2e)/s)) computed independently by hand; each place is brought to
# the nearest eighth of an inch, so a gap differs from the even one by an eighth at most.
EVEN = (
    (96 * INCH, 6 * INCH, 16 * INCH, 7, 14 * INCH),
    (144 * INCH, 6 * INCH, 16 * INCH, 10, 44 * INCH // 3),
    (3000 * MM, 150 * MM, 600 * MM, 6, 540 * MM),
    (6000 * MM, 150 * MM, 600 * MM, 11, 570 * MM),
    (2400 * MM, 200 * MM, 600 * MM, 5, 500 * MM),
    (900 * MM, 150 * MM, 600 * MM, 2, 600 * MM),  # the span is the spacing: exactly two
)


def test_even_patterns():
    for length, end, spacing, many, apart in EVEN:
        made = anchor_plan(length, end, spacing, [])
        assert made.conflicts == []
        what = "how many in " + str(length // MM) + " mm"
        source = "n = max(1, ceil((L - 2e)/s)), worked by hand"
        checks("anchors", what, many, len(made.points), source, "computed")
        assert made.points[0] == end and made.points[-1] == length - end
        assert all(abs(gap - apart) <= STEP for gap in gaps(made.points))
        assert max(gaps(made.points)) <= spacing


def test_anchors_stand_where_a_tape_has_a_line():
    # A door of 15 ft 11 in, first anchor 6 in, 16 in at most: 12 spaces of 14.9167 in. By hand:
    # 6 + 14.9167 = 20.9167, which a tape shows as 20 7/8, from the other end as 170 1/8.
    made = anchor_plan(191 * INCH, 6 * INCH, 16 * INCH, [])
    source = "12 spaces of 179/12 in, each place to the nearest eighth, worked by hand"
    eighths = [point * 8 // INCH for point in made.points]
    due = [48, 167, 287, 406, 525, 645, 764, 883, 1003, 1122, 1241, 1361, 1480]
    checks("anchors", "191 in at 1/8 in, in eighths", due, eighths, source, "computed")
    assert all(point % STEP == 0 and (191 * INCH - point) % STEP == 0 for point in made.points)
    # in whole millimetres: 4851 - 300 = 4551 = 8 x 568.875, to the nearest millimetre
    made = anchor_plan(4851 * MM, 150 * MM, 600 * MM, [])
    due = [150, 719, 1288, 1857, 2426, 2994, 3563, 4132, 4701]
    ours = [point // MM for point in made.points]
    source = "8 spaces of 568.875 mm, each place to the nearest millimetre, worked by hand"
    checks("anchors", "4851 mm at 1 mm", due, ours, source, "computed")
    assert all(point % MM == 0 for point in made.points)


def test_a_tape_costs_no_anchor_and_no_spacing():
    # 6 1/16 and 14 in apart, exactly: on eighths it would take one anchor more
    end = 6 * INCH + INCH // 16
    made = anchor_plan(2 * end + 98 * INCH, end, 14 * INCH, [])
    assert len(made.points) == 8 and gaps(made.points) == [14 * INCH] * 7


def test_a_published_pattern_is_kept():
    # NHBC Standards 6.7.11 (read): 150 to 250 mm from the corner, centres at most 600 mm,
    # at least 150 mm from the middle of a mullion, at least 2 a member.
    made = anchor_plan(4800 * MM, 150 * MM, 600 * MM, [Zone(2400 * MM, 150 * MM, Msg("a mullion"))])
    assert made.conflicts == []
    source = "NHBC Standards 6.7.11 (read): 150 to 250 mm from the corner, 600 mm at most"
    first = 150 * MM <= made.points[0] <= 250 * MM
    checks("anchors", "first anchor from the corner in range", True, first, source, "published")
    even = max(gaps(made.points)) <= 600 * MM
    checks("anchors", "no gap over 600 mm", True, even, source, "published")
    assert min([abs(point - 2400 * MM) for point in made.points]) >= 150 * MM


def test_one_point_is_not_enough():
    # Computed: L = 300 with e = 150 leaves one point; two are needed, and that is said.
    made = anchor_plan(300 * MM, 150 * MM, 600 * MM, [])
    assert len(made.points) == 1 and codes(made) == ["too-few"]
    made = anchor_plan(299 * MM, 150 * MM, 600 * MM, [])
    assert made.points == [] and codes(made) == ["too-few"]


def test_edge_of_a_zone_is_free():
    # 24 in member, e 6, s 6: a point is due at 12; a weep at 9 with 3 in clear ends there.
    made = anchor_plan(24 * INCH, 6 * INCH, 6 * INCH, [Zone(9 * INCH, 3 * INCH, WEEP)])
    assert made.points == [6 * INCH, 12 * INCH, 18 * INCH] and made.conflicts == []


def test_moved_clear_of_a_weep():
    # e 6, s 16 over 38 in: one point due at 19; the weep at 20 pushes it to 17.
    made = anchor_plan(38 * INCH, 6 * INCH, 16 * INCH, [Zone(20 * INCH, 3 * INCH, WEEP)])
    assert made.points == [6 * INCH, 17 * INCH, 32 * INCH] and made.conflicts == []


def test_zone_wider_than_the_spacing_is_said():
    made = anchor_plan(96 * INCH, 6 * INCH, 16 * INCH, [Zone(48 * INCH, 10 * INCH, WEEP)])
    assert codes(made) == ["gap-wide"]
    assert 38 * INCH in made.points and 58 * INCH in made.points
    assert [gap for gap in gaps(made.points) if gap > 16 * INCH] == [20 * INCH]


def test_end_in_a_zone_is_moved_and_said():
    made = anchor_plan(96 * INCH, 6 * INCH, 16 * INCH, [Zone(7 * INCH, 3 * INCH, WEEP)])
    assert codes(made) == ["end-blocked"]
    assert made.points[0] == 10 * INCH and made.points[-1] == 90 * INCH
    everywhere = anchor_plan(20 * INCH, 6 * INCH, 16 * INCH, [Zone(10 * INCH, 9 * INCH, WEEP)])
    assert "too-few" in codes(everywhere) and everywhere.points == []


def test_a_member_that_is_kept_clear_altogether_names_no_place_outside_it():
    made = anchor_plan(96 * INCH, 6 * INCH, 16 * INCH, [Zone(48 * INCH, 60 * INCH, WEEP)])
    assert made.points == []
    assert codes(made) == ["end-blocked", "end-blocked", "too-few"]
    words = [Speaker().say(conflict.says) for conflict in made.conflicts]
    assert "all of the member is" in words[0] and "all of the member is" in words[1]
    assert "9 ft" not in words[0] and "-1" not in words[1]


def test_one_on_each_side_of_a_mullion():
    made = anchor_plan(
        96 * INCH, 6 * INCH, 16 * INCH, [Zone(48 * INCH, 4 * INCH, Msg("a mullion"), True)]
    )
    assert made.conflicts == []
    assert 44 * INCH in made.points and 52 * INCH in made.points
    blocked = anchor_plan(
        96 * INCH,
        6 * INCH,
        16 * INCH,
        [Zone(48 * INCH, 4 * INCH, Msg("a lock"), True), Zone(53 * INCH, 3 * INCH, WEEP)],
    )
    assert codes(blocked) == ["beside-blocked"]
    assert 52 * INCH not in blocked.points


def test_zones_join_only_where_they_overlap():
    assert merged_zones(
        [Zone(10, 2, WEEP), Zone(14, 2, WEEP), Zone(15, 2, WEEP), Zone(40, 0, WEEP)]
    ) == [
        (8, 12),
        (12, 17),
    ]
    assert fill_all([0, 10], 10, [], []) == [0, 10]


def test_values_that_make_no_sense():
    refused("anchor-length", anchor_plan, 0, 0, 10, [])
    refused("anchor-end", anchor_plan, 100, -1, 10, [])
    refused("anchor-spacing", anchor_plan, 100, 10, 0, [])
    refused("anchor-spacing", anchor_plan, 10000 * INCH, 6 * INCH, 1, [])
    refused("anchor-zone", anchor_plan, 100, 10, 10, [Zone(50, -1, WEEP)])
