"""The set-out: everything that can be worked out before work starts, nothing guessed."""

from app.core.drawing import Drawing
from app.core.layout.book import sentences
from app.core.setout import Settings, setout
from app.core.words import Msg, Speaker
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
    made = setout(four())
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
    assert {row[4] for row in rows(made, "order")} == {"weigh it first"}
    assert IN.say(made["missing"][0]) == "Weight of panel A: read it on the label."


def test_order_with_weights_and_reasons():
    made = data([1, 2], "XO", "A")
    made["panels"][0]["mass"] = str(100 * KG)
    made["panels"][1]["glass"] = {"lites": ["6000000", "6000000"]}
    out = setout(Drawing(made))
    first, second = rows(out, "order")
    assert first[:2] == ["1", "A"] and "220.5 lb" in first[2]  # 100 kg / 0.45359237 = 220.46 lb
    assert "stop" in first[3]
    # HSE L23 (restated): 20 kg each, three people 30 kg at the most; 100 kg is above any team
    assert first[4] == "no hand team: a rated lifting aid"
    assert "15 % for frame and hardware" in second[2]
    cautions = " ".join(said(section(out, "order")["cautions"]))
    assert "approves no lift" in cautions
    assert "stand at the RIGHT end" in IN.say(section(out, "order")["notes"][0])
    both = said(section(setout(eight()), "order")["notes"])
    # what bears and how deep it stands at either end, and the way that is left: 31 ft less 8
    assert len(both) == 5 and "LEFT" in both[0] and "RIGHT" in both[2]
    assert both[1] == "The stack at the LEFT end is 4 ft deep."
    assert both[4].startswith("Open, 23 ft of way is left")


def test_anchors_as_running_dimensions():
    left, right, head = rows(setout(four()), "anchors")
    # 96 in, 6 in from the corner, 16 in at most: 7 at 14 in (trade arithmetic, computed)
    assert left[1] == "7"
    assert left[2] == '6", 1\' 8", 2\' 10", 4 ft, 5\' 2", 6\' 4", 7\' 6"'
    assert right[1:] == left[1:]
    assert head[2].startswith('6"') and head[2].endswith("15' 4\"")  # 190 - 6 = 184 in


def test_sill_screws_only_where_drawn():
    assert "none is drawn" in " ".join(said(section(setout(four()), "anchors")["notes"]))
    made = data([1, 2, 3, 4], "XXXO", "A")
    made["counts"]["sill_screws"] = "13"
    out = setout(Drawing(made))
    assert len(rows(out, "anchors")) == 4
    assert "tendons" in " ".join(said(section(out, "anchors")["cautions"]))
    assert out["questions"] == []
    made["counts"]["sill_screws"] = "5"
    assert "counts 5" in IN.say(setout(Drawing(made))["questions"][0])
    made["counts"]["sill_screws"] = ""
    assert "Screws through the sill" in " ".join(said(setout(Drawing(made))["missing"]))


def test_anchor_count_against_the_drawing():
    made = data([1, 2, 3, 4], "XXXO", "A")
    made["counts"]["frame_anchors"] = "27"  # 7 + 7 + 13
    assert setout(Drawing(made))["questions"] == []
    made["counts"]["frame_anchors"] = "20"
    assert "it takes 27" in IN.say(setout(Drawing(made))["questions"][0])


def test_bed_and_materials():
    out = setout(four(), Settings(waste=0))
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
    assert rows(setout(four()), "materials")[1][1] == "8"
    refused("waste-range", setout, four(), Settings(waste=200))
    refused("support-spacing", setout, four(), Settings(supports=0))


def test_missing_inputs_are_named_not_guessed():
    made = data([1, 2, 3, 4], "XXXO", "A")
    for field in ("bead_width", "anchor_end", "jamb_face"):
        made["lengths"][field] = ""
    made["set_from"] = ""
    out = setout(Drawing(made))
    assert [part["id"] for part in out["sections"]] == ["materials"]
    words = " ".join(said(out["missing"]))
    for title in ("Sealant bead in the bed, width", "First anchor from the corner", "jamb"):
        assert title in words
    made["lengths"]["jamb_face"] = str(2 * INCH)
    words = " ".join(said(setout(Drawing(made))["missing"]))
    assert "from which side" in words


def test_an_empty_drawing_is_no_error():
    out = setout(Drawing({}))
    assert out["sections"] == []
    assert "no panels" in IN.say(out["questions"][0])
    assert len(out["missing"]) >= 10


def test_what_cannot_be_built_is_a_question():
    out = setout(door([1, 2], "XO", "A", "right"))
    assert section(out, "order") is None
    assert "lock is drawn on the RIGHT" in IN.say(out["questions"][0])
    assert section(out, "bed") is not None


def test_positions_for_the_picture_of_the_sill():
    made = setout(four())
    assert made["sill"]["anchors"] == []  # no sill screws drawn
    # under the middles of the jambs (1 in) and of the interlocks, A to B at 2 + 48 - 1 = 49 in
    places = made["sill"]["supports"]
    assert places[0] == INCH and places[-1] == 189 * INCH and 49 * INCH in places
    assert max([high - low for low, high in zip(places, places[1:])]) <= 12 * INCH


def test_sentences():
    assert IN.say(sentences([Msg("One."), Msg("Two."), Msg("Three.")])) == "One. Two. Three."
