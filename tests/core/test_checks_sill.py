"""Range and local slope of one line: verdict, worst place, remedy.

The limits (1/16 in any one foot, 1/4 over all; 1/16 in 4 ft in the bed; 1/32 to close)
are common practice without a published source; the arithmetic beside each row is by hand.
"""

from app.core.checks.sill import (
    closing_error,
    level_local,
    level_range,
    line_profile,
    ways_compared,
)
from app.core.checks.sill_words import by_station
from app.core.quantity.speaker import Speaker
from app.core.trade.verdicts import CLOSE, MISSING, OUT, UNREACHABLE, WITHIN
from tests.core.expect import refused
from tests.core.sill_survey import (
    FOOT,
    IN,
    SIXTEENTH,
    ask,
    closing,
    drawing,
    feet,
    readings,
    sixteenths,
    stations,
)

QUARTER = {"most": IN // 4}
LOCAL = {"most": SIXTEENTH}
ONE_FOOT = {"over": FOOT}


def said(messages, units="in"):
    return [Speaker(units=units).say(message) for message in messages]


def ranged(*counts, **more):
    xs = feet(len(counts))
    return level_range(ask(xs, {"line": sixteenths(*counts)}, QUARTER, **more))


def local(*counts, **more):
    xs = feet(len(counts))
    return level_local(ask(xs, {"line": sixteenths(*counts)}, LOCAL, ONE_FOOT, **more))


def test_on_the_limit_is_within_in_inches():
    assert ranged(0, 2, 4).verdict == WITHIN
    assert local(0, 1, 2).verdict == WITHIN
    # one nanometre more is out
    out = level_range(ask(feet(2), {"line": [0, IN // 4 + 1]}, QUARTER))
    assert (out.verdict, out.over) == (OUT, 1)


def test_on_the_limit_is_within_in_millimetres():
    # 6.4 - 0.1 against 6.3 mm and 1.6 - 0.1 against 1.5 mm: none is exact in binary.
    mm = 1000000
    found = level_range(
        ask([0, 300 * mm], {"line": [mm // 10, 64 * mm // 10]}, {"most": 63 * mm // 10})
    )
    assert (found.verdict, found.value) == (WITHIN, 6300000)
    found = level_local(
        ask(
            [0, 300 * mm],
            {"line": [mm // 10, 16 * mm // 10]},
            {"most": 15 * mm // 10},
            {"over": 300 * mm},
        )
    )
    assert (found.verdict, found.value) == (WITHIN, 1500000)


def test_steady_tilt_passes_every_foot_and_fails_over_all():
    # 1/16 in each foot: 4 ft make 1/4, 5 ft make 5/16.
    assert local(0, 1, 2, 3, 4, 5).verdict == WITHIN
    assert ranged(0, 1, 2, 3, 4).verdict == WITHIN
    found = ranged(0, 1, 2, 3, 4, 5)
    assert (found.verdict, found.value, found.over) == (OUT, 5 * SIXTEENTH, SIXTEENTH)


def test_the_remedy_says_place_amount_and_shim():
    found = ranged(5, 5, 5, 5, 5, 5, 5, 5, 2, 0, 5)
    assert said(found.remedies) == [
        '8 ft from LEFT jamb, you outside: 3/16" LOW. Shim 3/16": 1/8", 1/16".',
        '9 ft from LEFT jamb, you outside: 5/16" LOW. Shim 5/16": 1/4", 1/16".',
    ]
    found = ranged(5, 5, 1, 0)
    assert said(found.remedies)[0] == '2 ft from LEFT jamb, you outside: 1/4" LOW. Shim 1/4".'
    assert said(found.remedies)[1].startswith('RIGHT jamb, you outside: 5/16" LOW.')


def test_what_was_found_is_said():
    found = ranged(0, 0, 0, 4, 0)
    assert said(found.says)[0] == (
        '1/4" between the highest (3 ft from LEFT jamb, you outside)'
        " and the lowest (LEFT jamb, you outside)."
    )
    found = local(0, 0, 3, 3)
    assert said(found.says)[0] == (
        'Worst stretch: 3/16" within 1 ft, 1 ft to 2 ft from LEFT jamb, you outside.'
    )
    assert found.over == 2 * SIXTEENTH


def test_the_bubble_goes_to_the_high_side_and_leaves_the_lines_only_when_out():
    assert [ranged(*counts).tilt for counts in ((0, 2, 4), (4, 2, 0), (0, 2, 0))] == [
        1000,
        -1000,
        500,
    ]
    assert [local(*counts).tilt for counts in ((0, 0, 2), (2, 0, 0))] == [2000, -2000]
    barely = level_range(ask(feet(2), {"line": [IN // 4 + 1, 0]}, QUARTER))
    assert barely.tilt == -1001


def test_nothing_is_within_for_want_of_stations():
    assert ranged(0, None, 0).verdict == MISSING
    assert said(ranged(0, None, 0).says)[-1] == (
        "Still to measure: 1 ft from LEFT jamb, you outside."
    )
    assert ranged(None, None).verdict == MISSING
    assert local(None, None, None).verdict == MISSING
    assert [place.x for place in local(0, None, 0).missing] == [FOOT]
    # out is out, however much is missing; but nothing is packed before the high point is known
    found = ranged(0, None, 5)
    assert found.verdict == OUT
    assert said(found.remedies) == [
        "Finish the survey before anything is shimmed: the high point may still come."
    ]


def test_stations_too_far_apart_prove_nothing():
    # 24 in between stations: no limit for any one foot can be judged; one more in the middle does.
    survey = ask([0, 2 * FOOT, 3 * FOOT], {"line": [0, 0, 0]}, LOCAL, ONE_FOOT)
    found = level_local(survey)
    assert found.verdict == MISSING
    assert said(found.says)[-1] == (
        "Stations farther apart than 1 ft cannot prove this limit."
        " Measure also: 1 ft from LEFT jamb, you outside."
    )
    # but 1/4 in over those 24 in cannot be 1/16 in every foot
    steep = ask([0, 2 * FOOT, 3 * FOOT], {"line": [0, IN // 4, IN // 4]}, LOCAL, ONE_FOOT)
    assert level_local(steep).verdict == OUT


def test_both_ends_are_reached():
    plan = drawing(4 * FOOT)
    found = level_local(ask(feet(4), {"line": [0, 0, 0, 0]}, LOCAL, ONE_FOOT, plan))
    assert found.verdict == MISSING
    assert [place.x for place in found.missing] == [4 * FOOT]
    assert said([found.missing[0].title]) == ["RIGHT jamb, you outside"]


def test_a_sixteenth_in_four_feet():
    # The bed's limit: stations 24 in apart serve it, 30 in do not.
    setting = {"over": 4 * FOOT, "spacing": 2 * FOOT}
    xs = [0, 2 * FOOT, 4 * FOOT, 6 * FOOT]
    found = level_local(ask(xs, {"line": sixteenths(0, 0, 1, 1)}, LOCAL, setting))
    assert (found.verdict, found.value) == (WITHIN, SIXTEENTH)
    found = level_local(ask(xs, {"line": sixteenths(0, 1, 2, 2)}, LOCAL, setting))
    assert (found.verdict, found.value) == (OUT, 2 * SIXTEENTH)
    apart = [0, 30 * IN, 60 * IN, 72 * IN]
    assert level_local(ask(apart, {"line": [0, 0, 0, 0]}, LOCAL, setting)).verdict == MISSING


def test_what_is_out_of_reach_is_never_within():
    gone = {"line": ["x" + str(FOOT)]}
    assert ranged(0, None, 0, unreachable=gone).verdict == UNREACHABLE
    assert local(0, None, 0, unreachable=gone).verdict == UNREACHABLE
    assert ranged(0, None, 5, unreachable=gone).verdict == OUT
    all_gone = {"line": ["x0", "x" + str(FOOT)]}
    assert ranged(None, None, unreachable=all_gone).verdict == UNREACHABLE
    # where the place out of reach tears a hole, the other holes are still asked for
    xs = [0, FOOT, 2 * FOOT, 4 * FOOT]
    survey = ask(xs, {"line": [0, None, 0, 0]}, LOCAL, ONE_FOOT, unreachable=gone)
    assert level_local(survey).verdict == MISSING


def test_guard_band_leaves_a_grey_zone():
    # each reading good to 1/64: a difference to 1/32; 1/4 - 1/32 = 7/32 is the last safe figure.
    def guarded(nm):
        survey = ask(feet(2), {"line": [0, nm]}, QUARTER, errors={"line": IN // 64})
        return level_range(survey)

    thirty_second = IN // 32
    assert guarded(7 * thirty_second).verdict == WITHIN
    assert guarded(8 * thirty_second).verdict == CLOSE
    assert guarded(9 * thirty_second).verdict == CLOSE
    assert guarded(9 * thirty_second + 1).verdict == OUT
    assert guarded(8 * thirty_second).remedies


def test_burned_an_inch_is_asked_back():
    found = ranged(0, 0, 16, 0)
    assert said(found.says)[-2] == (
        '2 ft from LEFT jamb, you outside: almost exactly 1" off its neighbours.'
        " Burned an inch? Read it again."
    )


def test_the_closing_shot_is_no_station():
    plan = drawing(FOOT)
    places = {"line": stations([0, FOOT], plan) + [closing()]}
    survey = ask([0, FOOT], {"line": [0, 0]}, QUARTER, ONE_FOOT, plan)
    survey.places = places
    survey.readings["line"]["closing"] = IN
    assert level_range(survey).verdict == WITHIN
    del survey.readings["line"]["closing"]
    assert level_local(survey).verdict == WITHIN


def closed(first, back, **more):
    survey = ask([0, FOOT], {"line": [first, 0]}, {"most": IN // 32}, **more)
    survey.places["line"].append(closing())
    if back is not None:
        survey.readings["line"]["closing"] = back
    return closing_error(survey)


def test_a_set_up_that_moved_refuses_the_survey():
    assert closed(0, IN // 32).verdict == WITHIN
    found = closed(IN // 32 + 1, 0)
    assert (found.verdict, found.value, found.over) == (OUT, IN // 32 + 1, 1)
    assert said(found.remedies) == [
        "The set-up moved: strike this survey, set up anew and read every station again."
    ]


def test_a_survey_that_was_not_closed_is_missing():
    found = closed(0, None)
    assert (found.verdict, [place.id for place in found.missing]) == (MISSING, ["closing"])
    assert closed(None, None).verdict == MISSING
    never = closing_error(ask(feet(2), {"line": [0, 0]}, {"most": IN // 32}))
    assert never.verdict == MISSING


def test_a_coarse_box_is_said_and_filling_advised():
    # thinnest shim 1/8: at 3/16 low it leaves 1/16 either way, and 1/32 in a foot is allowed.
    plan = drawing(2 * FOOT, (IN // 8,), sill_depth=6 * IN)
    survey = ask(feet(3), {"line": sixteenths(0, 3, 6)}, {"most": IN // 32}, ONE_FOOT, plan)
    assert said(level_local(survey).remedies) == [
        'The thinnest shim in the box, 1/8", is too thick here.',
        'LEFT jamb, you outside: 3/8" LOW. Fill 3/8".',
        '1 ft from LEFT jamb, you outside: 3/16" LOW. Fill 3/16".',
    ]
    row = next(row for row in ways_compared(survey) if row["kind"] == "fill")
    # by hand: 24 x 6 in, 3/8 falling to 0: 27 in3 = 442.45 ml
    assert row["advised"]
    assert row["millilitres"] == 442
    assert said(row["says"]) == [
        '3/8" deep at most.',
        "About 442 ml (27 cubic inches) of compound, without waste.",
    ]


def test_more_shims_than_a_stack_may_have():
    # 4 x 1/4 reach 1 in; 1 1/2 in cannot be made, and fill is advised.
    found = ranged(24, 0, 24)
    assert said(found.remedies) == [
        "The shims in the box do not make every thickness that is needed here.",
        '1 ft from LEFT jamb, you outside: 1 1/2" LOW. Fill 1 1/2".',
    ]
    six = ranged(24, 0, 24, settings={"pieces": 6})
    assert said(six.remedies)[0].startswith('1 ft from LEFT jamb, you outside: 1 1/2" LOW. Shim')


def test_ways_side_by_side():
    # one hump of 1/8 over a level floor that sags 1/4 at one end
    survey = ask(feet(6), {"line": sixteenths(4, 4, 6, 4, 4, 0)}, QUARTER)
    rows = ways_compared(survey)
    assert [row["kind"] for row in rows] == ["pack", "grind", "fill"]
    figures = [(row["places"], row["thickest"], row["deepest"]) for row in rows]
    assert figures == [
        (5, 6 * SIXTEENTH, 0),
        (2, 4 * SIXTEENTH, 2 * SIXTEENTH),
        (5, 6 * SIXTEENTH, 0),
    ]
    assert [row["advised"] for row in rows] == [True, False, False]
    assert [row["millilitres"] for row in rows] == [None, None, None]
    assert said([row["title"] for row in rows])[0] == "Shim to the high point"
    assert "engineer" in said(rows[1]["says"])[1]


def test_each_way_says_its_work_station_by_station():
    """The same floor, worked by hand: 4 4 6 4 4 0 sixteenths, level at 6 or ground to 4."""
    pack, grind, fill = ways_compared(ask(feet(6), {"line": sixteenths(4, 4, 6, 4, 4, 0)}, QUARTER))
    assert said(by_station(pack)) == [
        'From the LEFT end: 0 ft shim 1/8"; 1 ft shim 1/8"; 3 ft shim 1/8"; 4 ft shim 1/8"; '
        '5 ft shim 3/8" (1/4", 1/8").'
    ]
    assert said(by_station(grind)) == ['From the LEFT end: 2 ft grind 1/8", 5 ft shim 1/4".']
    assert said(by_station(fill))[0].endswith('4 ft fill 1/8", 5 ft fill 3/8".')
    assert [one["pieces"] for one in fill["work"][0]["stations"]] == [[]] * 6
    tall = ways_compared(ask(feet(3), {"line": sixteenths(24, 0, 24)}, QUARTER))[0]
    assert said(by_station(tall)) == ["From the LEFT end: 1 ft no shims of the box make it."]
    two = {"line": sixteenths(4, 8), "other": sixteenths(2, 6)}
    named = said(by_station(ways_compared(ask(feet(2), two, {"most": 0}))[0]))
    assert [words.split(",")[0] for words in named] == ["Room-side line", "Weather-side line"]


def test_profile_for_the_drawing():
    survey = ask(feet(3), {"line": sixteenths(0, 5, 3)}, QUARTER)
    shape = line_profile(survey)
    assert (shape["datum"], shape["limit"]) == (5 * SIXTEENTH, IN // 4)
    stations_found = [(s["x"], s["h"], s["pack"], s["grind"]) for s in shape["stations"]]
    assert stations_found == [
        (0, 0, 5 * SIXTEENTH, 0),
        (FOOT, 5 * SIXTEENTH, 0, 0),
        (2 * FOOT, 3 * SIXTEENTH, 2 * SIXTEENTH, 0),
    ]
    assert said([shape["stations"][1]["title"]]) == ["1 ft from LEFT jamb, you outside"]


def test_profile_of_what_needs_nothing_or_is_not_done():
    shape = line_profile(ask(feet(3), {"line": sixteenths(0, 1, 2)}, QUARTER))
    assert [s["pack"] for s in shape["stations"]] == [0, 0, 0]
    shape = line_profile(ask(feet(3), {"line": sixteenths(0, None, 9)}, QUARTER))
    assert [s["pack"] for s in shape["stations"]] == [0, 0]
    assert line_profile(ask(feet(2), {"line": [None, None]}, QUARTER))["stations"] == []
    assert ways_compared(ask(feet(2), {"line": [None, 0]}, QUARTER)) == []


def test_a_limit_that_nobody_gave_is_asked_for():
    refused("limit-silent", level_range, ask(feet(2), {"line": [0, 0]}, {"most": None}))
    refused("limit-silent", level_local, ask(feet(2), {"line": [0, 0]}, {"most": None}, ONE_FOOT))


def test_a_station_has_a_position():
    survey = ask(feet(2), {"line": [0, 0]}, QUARTER)
    survey.places["line"][1].x = None
    refused("station-nowhere", level_range, survey)


def test_two_readings_at_one_position_do_no_harm():
    found = level_range(ask([0, FOOT, FOOT], {"line": sixteenths(0, 0, 2)}, QUARTER))
    assert found.verdict == WITHIN
    plan = drawing(FOOT)
    doubled = stations([0, FOOT], plan) + stations([FOOT], plan)
    survey = ask([0, FOOT], {"line": [0, 0]}, LOCAL, ONE_FOOT, plan)
    doubled[2].id = "again"
    survey.places["line"] = doubled
    survey.readings["line"] = readings(doubled, sixteenths(0, 0, 2))
    assert level_local(survey).verdict == OUT


def test_a_tilted_line_with_no_bow_is_straight_as_far_as_it_was_read():
    # 0, 1/16, 1/8: on one slope; no size finer than the readings is claimed
    found = level_range(ask(feet(3), {"line": sixteenths(0, 1, 2)}, {"most": IN // 4}))
    words = [Speaker().say(each) for each in found.says]
    assert "Tilt aside, the line is straight, as far as it was read." in words


def test_a_long_plan_comes_in_groups_of_equal_work():
    """A crew cuts and sets equal shims together; common practice, no source."""
    found = ranged(5, 0, 2, 0, 2, 0, 2, 0, 5)
    assert said(found.remedies) == [
        "Places: 7, from LEFT jamb, you outside. Equal work together:",
        'Shim 5/16" (1/4", 1/16") at 1 ft, 3 ft, 5 ft, 7 ft.',
        'Shim 3/16" (1/8", 1/16") at 2 ft, 4 ft, 6 ft.',
    ]
