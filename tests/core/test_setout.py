"""The set-out: everything that can be worked out before work starts, nothing guessed."""

from app.core.layout.book import Surveyed, joined_sentences
from app.core.layout.setout import JobSettings, for_job, setout_of
from app.core.pages.setout import unbroken_lengths
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.trade.drawing import Drawing
from tests.core.doors import INCH, data, door, eight, four
from tests.core.expect import refused

IN = Speaker(units="in")
KG = 100000000000


def section(made, id):
    found = [part for part in made["sections"] if part["id"] == id]
    return found[0] if found else None


def said(things):
    return [IN.say(thing) for thing in things]


def rows(made, id):
    return [said(row) for row in section(made, id)["rows"]]


def test_every_section_of_a_complete_drawing():
    made = setout_of(four())
    assert [part["id"] for part in made["sections"]] == [
        "order",
        "anchors",
        "bed",
        "supports",
        "materials",
    ]
    for part in made["sections"]:
        assert part["rows"] and all(len(row) == len(part["heads"]) for row in part["rows"])
    assert made["questions"] == []
    # only the weights are not in this drawing; shims wait for the survey and the fit
    assert len(made["missing"]) == 4 and len(made["unmeasured"]) == 2
    notes = said(section(made, "order")["notes"])
    assert len([one for one in notes if "weigh it first" in one]) == 1  # once, not panel by panel
    assert IN.say(made["missing"][0]) == "Weight of panel A: read it on the label."


def test_order_with_weights_and_reasons():
    made = data([1, 2], "XO", "A")
    made["panels"][0]["mass"] = str(100 * KG)
    made["panels"][1]["glass"] = {"lites": ["6000000", "6000000"]}
    out = setout_of(Drawing(made))
    first, second = rows(out, "order")
    assert first[:2] == ["1", "A"] and "220.5 lb" in first[2]  # 100 kg / 0.45359237 = 220.46 lb
    assert "stop" in first[3]
    # HSE L23 (restated): 20 kg each, three people 30 kg at the most; 100 kg is above any team
    notes = said(section(out, "order")["notes"])
    aid = "Carrying, panels A, B: a rated lifting aid: more than guidance gives any team of people."
    assert aid in notes
    # 51 lb is the load constant of the revised equation (NIOSH 94-110, page 12, restated)
    assert [one for one in notes if "NIOSH" in one and "51 lb" in one]
    assert "15 % for frame and hardware" in second[2]
    # two of its rollers may carry all of the 100 kg: 50 kg, 110.23 lb (statics)
    rollers = said(section(out, "order")["notes"])[-1]
    assert "one of panel A then 110.2 lb" in rollers
    cautions = " ".join(said(section(out, "order")["cautions"]))
    assert "approves no lift" in cautions
    assert "stand at the RIGHT end" in IN.say(section(out, "order")["notes"][0])
    both = said(section(setout_of(eight()), "order")["notes"])
    # what bears and how deep it stands at either end, and the way that is left: 31 ft less 8
    # (no weight is drawn: nothing is said of the rollers)
    assert len(both) == 7 and "LEFT" in both[0] and "RIGHT" in both[2]
    assert both[1] == "The stack at the LEFT end is 4 ft deep."
    assert both[4].startswith("Open, 23 ft of way is left")


def test_a_weight_of_nothing_is_none():
    """A 0 in the field for the label's weight was read by nobody."""
    made = data([1, 2], "XO", "A")
    made["panels"][0]["mass"] = "0"
    out = setout_of(Drawing(made))
    assert rows(out, "order")[0][2] == "not given"
    assert "Weight of panel A: read it on the label." in said(out["missing"])


def test_anchors_as_running_dimensions():
    left, right, head = rows(setout_of(four()), "anchors")
    # 96 in, 6 in from the corner, 16 in at most: 7 at 14 in (trade arithmetic, computed)
    assert left[1] == "7"
    assert left[2] == '6", 1\' 8", 2\' 10", 4 ft, 5\' 2", 6\' 4", 7\' 6"'
    assert right[1:] == left[1:]
    assert head[2].startswith('6"') and head[2].endswith("15' 4\"")  # 190 - 6 = 184 in


def test_sill_screws_only_where_drawn():
    assert "none is drawn" in " ".join(said(section(setout_of(four()), "anchors")["notes"]))
    made = data([1, 2, 3, 4], "XXXO", "A")
    made["counts"]["sill_screws"] = "13"
    out = setout_of(Drawing(made))
    assert len(rows(out, "anchors")) == 4
    assert "tendons" in " ".join(said(section(out, "anchors")["cautions"]))
    assert out["questions"] == []
    made["counts"]["sill_screws"] = "5"
    assert "counts 5" in IN.say(setout_of(Drawing(made))["questions"][0])
    made["counts"]["sill_screws"] = ""
    assert "Screws through the sill" in " ".join(said(setout_of(Drawing(made))["missing"]))


def test_anchor_count_against_the_drawing():
    made = data([1, 2, 3, 4], "XXXO", "A")
    made["counts"]["frame_anchors"] = "27"  # 7 + 7 + 13
    assert setout_of(Drawing(made))["questions"] == []
    made["counts"]["frame_anchors"] = "20"
    assert "it takes 27" in IN.say(setout_of(Drawing(made))["questions"][0])


def test_bed_and_materials():
    out = setout_of(four(), JobSettings(waste=0))
    bed = rows(out, "bed")
    # 189 1/2 in between the returns: 32 bays, 31 lines; 190 + 33 x 8 + 12 = 466 in = 38' 10"
    assert bed[3][0] == "31 cross lines, from the LEFT end"
    assert bed[-1][1] == "38' 10\""
    materials = rows(out, "materials")
    # 466 in x 1/4 in² = 116.5 in³ = 1909.1 mL -> 1910; / 1.8047 = 64.55 fl oz -> 65
    assert materials[0][1] == "1910 mL (65 fl oz)"
    assert materials[1] == ["or all of it as cartridge, 10.1 fl oz (299 mL)", "7"]  # 6.39
    assert "No bead along the outer edge" in " ".join(said(section(out, "bed")["cautions"]))
    # 15 %: 133.975 in³ -> 8 cartridges of 18.2273 in³ (7.35)
    assert rows(setout_of(four()), "materials")[1][1] == "8"
    refused("waste-range", setout_of, four(), JobSettings(waste=200))
    refused("support-spacing", setout_of, four(), JobSettings(supports=0))


def test_missing_inputs_are_named_not_guessed():
    made = data([1, 2, 3, 4], "XXXO", "A")
    for field in ("bead_width", "anchor_end", "jamb_face"):
        made["lengths"][field] = ""
    made["set_from"] = ""
    out = setout_of(Drawing(made))
    assert [part["id"] for part in out["sections"]] == ["materials"]
    words = " ".join(said(out["missing"]))
    for title in ("Sealant bead in the bed, width", "First anchor from the corner", "jamb"):
        assert title in words
    made["lengths"]["jamb_face"] = str(2 * INCH)
    words = " ".join(said(setout_of(Drawing(made))["missing"]))
    assert "from which side" in words


def test_an_empty_drawing_is_no_error():
    out = setout_of(Drawing({}))
    assert out["sections"] == []
    assert "no panels" in IN.say(out["questions"][0])
    assert len(out["missing"]) >= 10


def test_what_cannot_be_built_is_a_question():
    out = setout_of(door([1, 2], "XO", "A", "right"))
    assert section(out, "order") is None
    assert "lock is drawn on the RIGHT" in IN.say(out["questions"][0])
    assert section(out, "bed") is not None


def test_positions_for_the_picture_of_the_sill():
    made = setout_of(four())
    assert made["sill"]["anchors"] == []  # no sill screws drawn
    # under the middles of the jambs (1 in) and of the interlocks, A to B at 2 + 48 - 1 = 49 in
    places = made["sill"]["supports"]
    assert places[0] == INCH and places[-1] == 189 * INCH and 49 * INCH in places
    assert max([high - low for low, high in zip(places, places[1:])]) <= 12 * INCH


def test_sentences():
    assert IN.say(joined_sentences([Msg("One."), Msg("Two."), Msg("Three.")])) == "One. Two. Three."


def anchors_of(made):
    out = setout_of(Drawing(made))
    return rows(out, "anchors"), said(section(out, "anchors")["notes"]), said(out["missing"])


def test_anchors_keep_clear_of_locks_and_interlocks():
    made = data([1, 2, 3, 4], "XXXO", "A")
    made["locks"] = [str(48 * INCH)]  # at the third anchor, 4 ft up
    found, notes, missing = anchors_of(made)
    left, right = found[0], found[1]
    # 45 and 51 in are free: the anchor goes to the edge of the zone, still 16 in at most apart
    assert "4 ft" not in left[2].split(", ") and "4 ft" in right[2].split(", ")  # the lock is LEFT
    assert left[1] == "7" and notes == ["No screw goes through the sill or the pan: none is drawn."]
    # middles of the interlocks at 49, 95, 141 in: nothing nearer than 1 in
    places = setout_of(Drawing(made))["sections"][1]["rows"][2][2]
    for at in (49, 95, 141):
        assert all(abs(place.nm - at * INCH) >= INCH for place in places)
    assert not [words for words in missing if "Anchors" in words]


def test_what_keeps_clear_is_asked_for_and_not_guessed():
    made = data([1, 2, 3, 4], "XXXO", "A")
    made["lengths"]["interlock_clear"] = made["lengths"]["lock_clear"] = ""
    del made["locks"]
    found, notes, missing = anchors_of(made)
    assert len(found) == 3  # planned by spacing, and said that it is not the last word
    assert "The jambs' anchors are not yet kept clear of locks: see above." in notes
    assert sum(["not yet kept clear of interlocks" in words for words in notes]) == 1
    for words in ("Locks, from the foot", "clear of a lock", "clear of an interlock"):
        assert any(words in one for one in missing), words
    # two leads that meet lock at no jamb: nothing is asked
    middle = data([4, 3, 2, 1, 1, 2, 3, 4], "OXXXXXXO", "DE")
    del middle["locks"]
    assert not [words for words in anchors_of(middle)[2] if "lock" in words.lower()]


def test_a_zone_that_leaves_no_room_is_said():
    made = data([1, 2, 3, 4], "XXXO", "A")
    made["locks"] = [str(48 * INCH)]
    made["lengths"]["lock_clear"] = str(12 * INCH)  # 24 in without an anchor, 16 in at most
    notes = anchors_of(made)[1]
    assert any("LEFT jamb" in words and "no free place" in words for words in notes), notes


def test_rod_and_sealant_of_the_joint():
    found = {row[0]: row[1] for row in rows(setout_of(four(), JobSettings(waste=0)), "materials")}
    # 2 x 96 + 190 = 382 in of 1 x 1/2 in = 191 in³ = 3129.9 mL; a rod a quarter over 1 in: 1 1/4
    assert found['Sealant for jambs and head, joint 1" wide, with waste'] == "3130 mL (106 fl oz)"
    assert found['Backer rod for jambs and head, 1 1/4" thick'] == "31' 10\""
    assert found["Pours, one at each bay of the sill"] == "32"
    # 190 in of sill and the 48 in of the fixed panel's foot; three interlocks
    line = [row for row in found if row.startswith("Finishing line")]
    assert found[line[0]] == "19' 10\""
    assert found["Foam blocks at the head, where panels meet"] == "3"
    assert found["Screws for fixed panels"] == "3"
    made = data([1, 2, 3, 4], "XXXO", "A")
    made["lengths"]["joint_width_most"] = ""
    assert "Sealant joint, greatest width" in " ".join(said(setout_of(Drawing(made))["missing"]))


def test_sum_over_a_job():
    one = setout_of(four(), JobSettings(waste=0))
    total = for_job([one["amounts"], one["amounts"]], JobSettings(waste=0))
    found = [said(row) for row in total["rows"]]
    # volumes are added before they are counted: 2 x 116.5 in³ / 18.2273 is 12.8, not 7 + 7
    assert found[0][1] == "3819 mL (130 fl oz)" and found[1][1] == "13"
    by_name = {row[0]: row[1] for row in found}
    assert by_name["Anchors for jambs and head"] == "54"
    assert by_name['Backer rod for jambs and head, 1 1/4" thick'] == "63' 8\""


def test_shims_and_compound_of_the_survey_are_listed_by_thickness():
    told = Surveyed()
    told.missing = []
    told.shims = {INCH // 8: 3, INCH // 16: 5}
    told.compound = 1234 * 10**21  # 1.234 L, rounded up to the tenth
    out = setout_of(four(), None, told)
    found = [row for row in rows(out, "materials") if row[0].startswith(("Shims", "Compound"))]
    assert [row[:2] for row in found[:2]] == [['Shims, 1/16"', "5"], ['Shims, 1/8"', "3"]]
    assert found[2][1] == "1.3 L" and out["unmeasured"] == []


def test_shims_at_every_anchor_and_lock_once_the_fit_is_measured():
    """Worked by hand: a gap of 1/4 in at the foot and 1/2 in 96 in up grows 1/384 in an inch."""
    told = Surveyed()
    places = [("left", 0, 4), ("left", 96, 8), ("right", 0, 4), ("right", 96, 4)]
    told.beside = {
        "places": [
            {"side": side, "at": at * INCH, "gap": gap * INCH // 16} for side, at, gap in places
        ]
    }
    made = data([1, 2, 3, 4], "XXXO", "A")
    made["shims"] = [str(INCH // 16), str(INCH // 4)]
    out = setout_of(Drawing(made), None, told)
    # anchors 6, 20 … 90 in up, and the lock at 40 in: 48 in is half way, 3/8 in
    found = {row[0]: row[1:] for row in rows(out, "shims")}
    assert len(found) == 8
    assert found["4 ft"][0] == '3/8" (shims 1/4", 1/16", 1/16")'
    assert found["3' 4\", lock"] == ['11/32" (shims 1/4", 1/16")', ""]
    assert [row[2] for row in rows(out, "shims")] == ['1/4"'] * 3 + [""] + ['1/4"'] * 4
    # left: 1/4 in at each of 8; 1/16 more from 24 in up, two from 48 in, three from 72 in: 34, 40;
    # 48, 62; 76, 90 in. right: 1/4 in at each of 7
    found = {row[0]: row[1] for row in rows(out, "materials")}
    assert found['Shims, 1/4"'] == "15"
    assert found['Shims, 1/16"'] == str(2 * 1 + 2 * 2 + 2 * 3)


def test_a_place_that_is_too_tight_gets_no_shim():
    told = Surveyed()
    sides = ("left", "right")
    told.beside = {"places": [{"side": side, "at": 0, "gap": -INCH // 8} for side in sides]}
    out = setout_of(four(), None, told)
    assert rows(out, "shims")[0] == ['6"', '1/8" too tight', '1/8" too tight']
    assert "Shims" not in " ".join([row[0] for row in rows(out, "materials")])


def test_no_line_ends_inside_a_length():
    """13/16 at the start of a line, its 7 at the end of the one before, is misread."""
    assert unbroken_lengths('6", 1\' 7 13/16"; 4 ft up') == '6", 1\'\u00a07\u00a013/16"; 4 ft up'
    assert unbroken_lengths("2438 mm, 3 panels") == "2438 mm, 3 panels"
    assert unbroken_lengths("") == "" and unbroken_lengths(" ") == " "


def test_a_least_that_is_more_than_its_most_is_questioned():
    made = data([1, 2, 3, 4], "XXXO", "A")
    made["lengths"]["joint_width_least"] = str(2 * INCH)
    asked = said(setout_of(Drawing(made))["questions"])
    assert asked == [
        "“Sealant joint, least width” is more than “Sealant joint, greatest width”: nothing can be "
        "within. Ask the office."
    ]
    made["lengths"]["joint_width_least"] = made["lengths"]["joint_width_most"]
    assert setout_of(Drawing(made))["questions"] == []
