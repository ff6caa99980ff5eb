"""Two lines and the head: cross fall, packing that keeps it, and the room for the frame.

Rules of the site (common practice, no source): level along is not slope across; packing
both lines to one level builds a dam; the sum under the head comes before packing.
Figures are by hand, beside each row.
"""

from app.core.checks.sill import level_range, line_profile, ways_compared
from app.core.checks.sill_across import cross_fall
from app.core.checks.sill_stack import height_stack
from app.core.quantity.speaker import Speaker
from app.core.trade.verdicts import CLOSE, MISSING, OUT, UNREACHABLE, WITHIN
from tests.core.expect import refused
from tests.core.sill_survey import FOOT, IN, SIXTEENTH, ask, drawing, feet, sixteenths

QUARTER = {"most": IN // 4}
NEVER_INWARD = {"least": 0}


def said(messages):
    return [Speaker().say(message) for message in messages]


def across(room, weather, limits=None, plan=None, **more):
    lines = {"room": sixteenths(*room), "weather": sixteenths(*weather)}
    survey = ask(feet(len(room)), lines, limits or NEVER_INWARD, None, plan, **more)
    return cross_fall(survey)


def test_level_across_is_the_limit_of_never_inward():
    found = across((2, 2), (2, 1))
    assert (found.verdict, found.value) == (WITHIN, 0)
    assert said(found.says) == ["LEFT jamb, you outside: level across."]


def test_a_fall_toward_the_room_is_out():
    found = across((2, 2, 2), (1, 3, 2))
    assert (found.verdict, found.value, found.over) == (OUT, -SIXTEENTH, SIXTEENTH)
    assert said(found.says) == [
        '1 ft from LEFT jamb, you outside: 1/16" LOWER on the ROOM side.',
        'Shims take up to 1/16" of the room under the head.',
    ]


def test_least_and_most_fall():
    limits = {"least": 2 * SIXTEENTH, "most": 4 * SIXTEENTH}
    assert [across((4,), (low,), limits).verdict for low in (3, 2, 1, 0, -1)] == [
        OUT,
        WITHIN,
        WITHIN,
        WITHIN,
        OUT,
    ]
    assert said(across((4,), (0,), limits).says) == [
        'LEFT jamb, you outside: 1/4" lower on the WEATHER side.'
    ]
    # the bubble: weather side high is to the right; on a limit it touches the line
    assert [across((4,), (low,), limits).tilt for low in (3, 2, 1, 0, -1)] == [
        2000,
        1000,
        0,
        -1000,
        -2000,
    ]
    assert across((4,), (0,)).tilt is None


def test_a_limit_that_the_drawing_leaves_open_is_asked_for():
    refused("limit-silent", across, (2,), (2,), {"least": None})
    refused("limit-silent", across, (2,), (2,), {"least": 0, "most": None})
    assert across((2,), (2,), {"least": 0, "target": None}).verdict == WITHIN


def test_packing_keeps_the_two_levels_apart():
    # drawn fall 1/8; weather line level at 0, room line level at 0 too: it comes up 1/8 everywhere
    plan = drawing(FOOT, cross_fall=2 * SIXTEENTH)
    found = across((0, 0), (0, 0), {"least": 2 * SIXTEENTH}, plan)
    assert said(found.remedies) == [
        'Room-side line. LEFT jamb, you outside: 1/8" LOW. Shim 1/8".',
        'Room-side line. RIGHT jamb, you outside: 1/8" LOW. Shim 1/8".',
    ]


def test_no_dam_toward_the_weather_side():
    # The weather line's high point is 3/16 over the room line's: the room line is lifted to it,
    # the weather line is not lifted over it.
    found = across((0, 0, 0), (3, 0, 0))
    assert found.verdict == OUT
    packed = '{}: 3/16" LOW. Shim 3/16": 1/8", 1/16".'
    wanted = [
        "Room-side line. LEFT jamb, you outside",
        "Room-side line. 1 ft from LEFT jamb, you outside",
        "Weather-side line. 1 ft from LEFT jamb, you outside",
        "Room-side line. RIGHT jamb, you outside",
        "Weather-side line. RIGHT jamb, you outside",
    ]
    assert said(found.remedies) == [packed.format(place) for place in wanted]


def test_shims_are_not_rounded_toward_the_room():
    # The room line 5/64 low, shown as 3/32; box of 1/16 only. To the nearest shim, 1/16, it would
    # stay 1/64 under the weather line: it is packed up instead.
    plan = drawing(FOOT, (SIXTEENTH,))
    sixty_fourth = IN // 64
    lines = {"room": [0, -5 * sixty_fourth], "weather": [0, 0]}
    survey = ask(feet(2), lines, NEVER_INWARD, None, plan)
    found = cross_fall(survey)
    assert found.verdict == OUT
    assert said(found.remedies) == [
        'Room-side line. RIGHT jamb, you outside: 3/32" LOW. Shim 1/8": 1/16", 1/16".'
    ]
    shape = line_profile(survey, "room")
    assert [s["pack"] for s in shape["stations"]] == [0, 2 * SIXTEENTH]


def test_lines_without_a_common_station():
    survey = ask(feet(2), {"room": [0, None], "weather": [None, 0]}, NEVER_INWARD)
    assert cross_fall(survey).verdict == MISSING
    gone = {"room": ["x" + str(FOOT)], "weather": ["x0"]}
    survey = ask(feet(2), {"room": [0, None], "weather": [None, 0]}, NEVER_INWARD, unreachable=gone)
    assert cross_fall(survey).verdict == UNREACHABLE
    survey = ask(feet(2), {"room": [0, 0], "weather": [None, 0]}, NEVER_INWARD)
    assert (cross_fall(survey).verdict, len(cross_fall(survey).missing)) == (MISSING, 1)
    gone = {"weather": ["x0"]}
    survey = ask(feet(2), {"room": [0, 0], "weather": [None, 0]}, NEVER_INWARD, unreachable=gone)
    assert cross_fall(survey).verdict == UNREACHABLE


def test_guard_band_across():
    # errors of the two lines add up: 1/64 + 1/64 = 1/32
    errors = {"room": IN // 64, "weather": IN // 64}
    verdicts = [
        cross_fall(
            ask(feet(2), {"room": [nm, nm], "weather": [0, 0]}, NEVER_INWARD, errors=errors)
        ).verdict
        for nm in (IN // 32, IN // 64, -IN // 32, -IN // 32 - 1)
    ]
    assert verdicts == [WITHIN, CLOSE, CLOSE, OUT]


def test_a_line_is_packed_together_with_the_other():
    # Room line 0 … -5/16, weather line's high point 1/8 over the room's: both come to it.
    lines = {"line": sixteenths(0, -5, 0), "other": sixteenths(2, -5, 0)}
    found = level_range(ask(feet(3), lines, QUARTER))
    assert found.verdict == OUT
    assert said(found.remedies)[0] == 'LEFT jamb, you outside: 1/8" LOW. Shim 1/8".'
    # without the other line's the fall across would be another
    other = 'Weather-side line. 1 ft from LEFT jamb, you outside: 7/16" LOW. '
    assert said(found.remedies)[3] == other + 'Shim 7/16": 1/4", 1/8", 1/16".'
    assert len(found.remedies) == 5
    # as the weather line it only comes level with its own high point, the fall kept as found
    swapped = {"line": sixteenths(0, -5, 0), "other": sixteenths(2, -5, 0)}
    found = level_range(ask(feet(3), swapped, QUARTER, {"side": "weather"}))
    assert [words.startswith("Room-side line.") for words in said(found.remedies)] == [
        False, True, True,
    ]  # fmt: skip
    lines["other"][1] = None
    found = level_range(ask(feet(3), lines, QUARTER))
    assert said(found.remedies) == [
        "Survey the other line too: both are shimmed as one, so that the fall stays."
    ]


# --- the room under the head ---

STACK = {
    "frame_height": 96 * IN,
    "pan_thickness": 2 * SIXTEENTH,
    "bed_thickness": 3 * SIXTEENTH,
    "head_gap_least": 4 * SIXTEENTH,
}
# 96 + 1/8 + 3/16 + 1/4: what the opening must be over the level that the sill is packed to
NEEDED = 96 * IN + 9 * SIXTEENTH


def stacked(calc, counts, clears, plan=None, limits=None):
    """Ask with opening heights at every station: clears are sixteenths over what is needed."""
    xs = feet(len(counts))
    heights = [(x, None if c is None else NEEDED + c * SIXTEENTH) for x, c in zip(xs, clears)]
    plan = plan or drawing(xs[-1], **STACK)
    return calc(ask(xs, {"line": sixteenths(*counts)}, limits or QUARTER, None, plan, heights))


def test_the_sum_is_made_and_shown():
    # level floor 5/16 low in the middle; the head is level: clear 5/16 more there.
    found = stacked(height_stack, (0, -5, 0), (2, 7, 2), limits={})
    assert (found.verdict, found.value, found.low) == (WITHIN, 6 * SIXTEENTH, 4 * SIXTEENTH)
    assert said(found.says) == [
        'LEFT jamb, you outside: opening 8\' 0 11/16", less shims 0", pan 1/8" and bed 3/16",'
        " leaves 8' 0 3/8\" for the frame.",
        'The frame 8\' 0" and the gap 1/4" over it fit, 1/8" to spare.',
    ]


def test_what_is_ground_off_is_no_packing_below_zero():
    # a hump of 5/16 right under the lowest head: 96 7/16 clear, 5/16 cut away, 1/8 and 3/16 laid
    ways = {row["kind"]: said(row["says"]) for row in stacked(ways_compared, (0, 5, 0), (6, -2, 6))}
    assert (
        '1 ft from LEFT jamb, you outside: opening 8\' 0 7/16" and 5/16" ground off,'
        ' less pan 1/8" and bed 3/16", leaves 8\' 0 7/16" for the frame.'
    ) in ways["grind"]


def test_room_exactly_enough_is_within():
    assert stacked(height_stack, (0, -5, 0), (0, 5, 0), limits={}).verdict == WITHIN
    plan = drawing(2 * FOOT, **STACK)
    heights = [(0, NEEDED), (FOOT, NEEDED - 1)]
    survey = ask(feet(3), {"line": [0, 0, 0]}, {}, None, plan, heights)
    found = height_stack(survey)
    assert (found.verdict, found.over) == (OUT, 1)


def test_packing_is_advised_only_with_room_for_it():
    assert said(stacked(level_range, (0, -5, 0), (2, 7, 2)).remedies) == [
        '1 ft from LEFT jamb, you outside: 5/16" LOW. Shim 5/16": 1/4", 1/16".'
    ]


def test_the_sum_stands_before_the_packing():
    found = stacked(level_range, (0, -5, 0), (2, 7, 2))
    assert said(found.says)[-1].endswith('over it fit, 1/8" to spare.')
    # where the procedure gives no opening heights, what packing takes is said at least
    found = level_range(ask(feet(3), {"line": sixteenths(0, -5, 0)}, QUARTER))
    assert said(found.says)[-1] == 'Shims take up to 5/16" of the room under the head.'


def test_no_room_means_grinding():
    # High point 3/8 over the rest, and the head only 1/8 over what the low part needs:
    # packing everything to the high point would want 1/4 more under the head.
    found = stacked(level_range, (0, 6, 0, 0, 0), (2, -4, 2, 2, 2))
    assert said(found.remedies) == [
        'Do not shim to the high point: the frame would want 1/4" more under the head.',
        "Before grinding: the engineer's word for a post-tensioned, heated or topped slab, "
        "and the grinder's own dust control.",
        '1 ft from LEFT jamb, you outside: 3/8" HIGH. Grind 3/8".',
    ]
    stack = stacked(height_stack, (0, 6, 0, 0, 0), (2, -4, 2, 2, 2), limits={})
    assert (stack.verdict, stack.over) == (OUT, 4 * SIXTEENTH)
    assert said(stack.says)[1] == 'The frame 8\' 0" and the gap 1/4" over it need 1/4" more.'
    assert said(stack.remedies)[2].endswith('Grind 3/8".')


def test_an_opening_too_low_for_anything_goes_to_the_office():
    found = stacked(level_range, (0, 6, 0), (-8, -14, -8))
    assert said(found.remedies)[:2] == [
        'Do not shim to the high point: the frame would want 7/8" more under the head.',
        "No way found that serves: ask the office before anything is shimmed, ground or cut.",
    ]
    # what is low is still said, but nothing is told to be done there
    assert said(found.remedies)[2] == 'LEFT jamb, you outside: 3/8" LOW.'


def test_no_packing_before_the_sum_is_made():
    found = stacked(level_range, (0, -5, 0), (2, None, 2))
    assert said(found.remedies) == [
        "First measure the opening heights: 1 ft from LEFT jamb, you outside."
        " Shims eat the room under the head.",
        '1 ft from LEFT jamb, you outside: 5/16" LOW.',
    ]
    silent = drawing(2 * FOOT, frame_height=96 * IN)
    found = stacked(level_range, (0, -5, 0), (2, 7, 2), silent)
    assert "The drawing does not give" in said(found.remedies)[0]
    assert len(found.remedies) == 2


def test_a_silent_drawing_refuses_the_stack():
    silent = drawing(2 * FOOT, frame_height=96 * IN)
    refused("drawing-silent", stacked, height_stack, (0, -5, 0), (2, 7, 2), silent)
    assert stacked(height_stack, (0, -5, 0), (2, None, 2)).verdict == MISSING
    assert stacked(height_stack, (0, None, 0), (2, 7, 2)).verdict == MISSING


def test_the_sum_stands_in_every_row():
    plan = drawing(4 * FOOT, **STACK)
    heights = [(x, NEEDED + c * SIXTEENTH) for x, c in zip(feet(5), (2, -4, 2, 2, 2))]
    survey = ask(feet(5), {"line": sixteenths(0, 6, 0, 0, 0)}, QUARTER, None, plan, heights)
    rows = ways_compared(survey)
    assert [(row["kind"], row["good"], row["advised"]) for row in rows] == [
        ("pack", False, False),
        ("grind", True, True),
        ("fill", False, False),
    ]
    for row in rows:
        assert "for the frame" in said(row["says"])[-2]


def set_sill(room, weather, least, most, side="room"):
    """Return the outcome of one track of a set sill, both tracks surveyed."""
    xs = feet(len(room))
    lines = {"line": sixteenths(*room), "other": sixteenths(*weather)}
    plan = drawing(xs[-1], cross_fall=8 * SIXTEENTH, sill_fall_least=least, sill_fall_most=most)
    settings = {"side": side, "fall": "set"}
    return level_range(ask(xs, lines, {"most": 2 * SIXTEENTH}, settings, plan))


def test_a_set_sill_is_packed_to_its_own_fall_not_the_substrates():
    # room track 3/16 low at the end, weather track 1/16 under it: that fall stays, though the
    # substrate's is drawn 1/2 in; the two high points are 0 and -1
    found = set_sill((0, 0, -3), (-1, -1, -1), 0, 2 * SIXTEENTH)
    packed = 'RIGHT jamb, you outside: 3/16" LOW. Shim 3/16": 1/8", 1/16".'
    assert said(found.remedies) == [packed]
    # the drawing wants at most none: the weather track's high point rules the room track's level
    # which comes up with it
    found = set_sill((0, 0, -3), (-1, -1, -1), 0, 0)
    low = 'Weather-side line. {} from LEFT jamb, you outside: 1/16" LOW. Shim 1/16".'
    assert said(found.remedies)[:1] == [packed]
    assert len(found.remedies) == 4 and said(found.remedies)[2] == low.format("1 ft")
    # and at least 1/8 where 1/16 is found: the room track comes up by what is lacking
    found = set_sill((0, 0, -3), (-1, -1, -1), 2 * SIXTEENTH, 3 * SIXTEENTH)
    assert len(found.remedies) == 3 and 'Shim 1/16"' in said(found.remedies)[0]
    assert said(found.remedies)[2].endswith('1/4" LOW. Shim 1/4".')


def test_one_track_is_not_packed_before_the_other_is_read():
    lines = {"line": sixteenths(0, 0, -3), "other": [0, None, 0]}
    settings = {"side": "room", "fall": "set"}
    found = level_range(ask(feet(3), lines, {"most": 2 * SIXTEENTH}, settings))
    assert said(found.remedies) == [
        "Survey the other line too: both are shimmed as one, so that the fall stays."
    ]
