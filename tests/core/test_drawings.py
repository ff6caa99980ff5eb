"""The pictures: what they show, in words a person can check, and that nothing leaves the sheet.

Expected places follow from the geometry of a level (the bubble rises to the high side)
and from the drawing; they are worked out by hand beside each check.
"""

from app.core.pictures import drawings
from app.core.pictures.canvas import WIDTH, clean_text, label_width, spread_items, wrapped_lines
from app.core.pictures.closing import closing_on_card
from app.core.pictures.tools import BUBBLE, LINES, MIDDLE
from app.core.quantity.messages import Len, Msg
from app.core.quantity.speaker import PseudoSpeaker, Speaker
from app.core.trade import bed
from app.core.trade.door_model.door import Gap
from app.core.trade.door_model.plan import best_plan
from app.core.trade.drawing import Drawing
from app.core.where.place import Place
from tests.core.doors import INCH, data, door, eight, four
from tests.core.expect import refused
from tests.core.rigid_doors import rigid_door

IN = Speaker(units="in")
MM = Speaker(units="mm")
SIXTEENTH = INCH // 16


def texts(picture):
    return [shape["text"] for shape in picture["shapes"] if shape["kind"] == "text"]


def of_class(picture, style):
    return [shape for shape in picture["shapes"] if shape["class"] == style]


def text_at(picture, text):
    return [s["x"] for s in picture["shapes"] if s["kind"] == "text" and s["text"] == text]


def floor(heights, datum, limit=4):
    stations = [
        {
            "x": 12 * INCH * k,
            "h": h * SIXTEENTH,
            "pack": max(datum - h, 0) * SIXTEENTH,
            "grind": max(h - datum, 0) * SIXTEENTH,
            "title": "",
        }
        for k, h in enumerate(heights)
    ]
    limits = None if limit is None else limit * SIXTEENTH
    return {"stations": stations, "datum": datum * SIXTEENTH, "limit": limits}


def fit(places):
    return {
        "frame_width": 190 * INCH,
        "frame_height": 96 * INCH,
        "least": INCH // 4,
        "most": INCH // 2,
        "places": [
            {"side": side, "at": at * INCH, "gap": gap * SIXTEENTH} for side, at, gap in places
        ],
    }


def rigid_doors():
    """Return doors as they close: even, with turns, beyond their limits, fixed, of eight panels."""
    fixed = rigid_door(3, -SIXTEENTH)
    fixed.panels[2].fixed = True
    apart = rigid_door(1, 0, -INCH // 2, INCH // 2)
    eight_panels = rigid_door(8, INCH // 64, INCH // 8, -SIXTEENTH)
    for panel in eight_panels.panels:
        panel.trial = (INCH // 24, INCH // 20)
    pocket = rigid_door(2, -SIXTEENTH)
    pocket.gaps[0] = Gap("pocket")
    return [rigid_door(), fixed, apart, eight_panels, pocket]


def every(speakers=(IN, MM)):
    """Return one of each picture, and the hard cases: many panels, one panel, both units."""
    twelve = door([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12], "XXXXXXXXXXXO", "A")
    narrow = door([1, 2], "XO", "A")
    places = [("left", 6, 4), ("left", 90, 9), ("right", 6, 3), ("right", 90, -2), ("head", 48, 5)]
    out = []
    for speaker in speakers:
        for made in (eight(),) if speaker is MM else (twelve, narrow):
            order = [panel.letter for panel in made.panels]
            laid = bed.of_drawing(made)
            points = [6 * INCH, 20 * INCH, laid.width - 6 * INCH]
            out.append(drawings.elevation_picture(made, speaker))
            out.append(drawings.plan_picture(made, speaker, order))
            out.append(drawings.plan_picture(made, speaker))
            out.extend(drawings.stage_pictures(made, speaker))
            out.append(drawings.sill_layout(laid, speaker, points, [0, laid.width]))
            out.append(drawings.sill_layout(laid, speaker))
        out.append(drawings.floor_profile(floor([0, 1, 2, 5, 2, 0, -3, 1], 2), speaker))
        out.append(drawings.floor_profile(floor([0, 0], 0, None), speaker))
        out.append(drawings.opening_picture(fit(places), speaker))
        out.append(drawings.opening_picture(fit([]), speaker))
        out.extend([drawings.closing(one, best_plan(one), speaker) for one in rigid_doors()])
        out.append(drawings.reading_way("down", speaker))
        out.append(drawings.reading_way("up", speaker))
        for tilt in (-5000, -1000, 0, 1000, 1001):
            out.append(drawings.vial_picture(tilt, speaker))
            out.append(drawings.bar_picture(tilt, None, 1000, speaker))
            out.append(drawings.bar_picture(tilt, 0, None, speaker))
            out.append(drawings.bar_picture(tilt, 0, 1000, speaker))
    return out


def corners(shape):
    kind = shape["kind"]
    if kind == "line":
        return [(shape["x1"], shape["y1"]), (shape["x2"], shape["y2"])]
    if kind == "rect":
        x, y = shape["x"], shape["y"]
        return [(x, y), (x + shape["width"], y + shape["height"])]
    if kind == "circle":
        x, y, r = shape["x"], shape["y"], shape["radius"]
        return [(x - r, y - r), (x + r, y + r)]
    if kind == "text":
        return ends_of_text(shape)
    if kind == "polyline":
        return [tuple([int(n) for n in pair.split(",")]) for pair in shape["points"].split(" ")]
    assert kind == "path"
    pairs = shape["d"][1:-2].split(" L")
    return [tuple([int(n) for n in pair.split(" ")]) for pair in pairs]


def ends_of_text(shape):
    """Return where a text begins and ends, each character taken on the wide side."""
    x, y, long = shape["x"], shape["y"], label_width(shape["text"])
    before = {"start": 0, "middle": long // 2, "end": long}[shape["anchor"]]
    if shape["turn"]:  # reads upward
        return [(x, y + before), (x, y + before - long)]
    return [(x - before, y), (x - before + long, y)]


def is_whole(picture):
    assert picture["title"] and picture["description"] and picture["shapes"]
    for shape in picture["shapes"]:
        assert shape["class"].startswith("p-")
        for x, y in corners(shape):
            assert type(x) is int and type(y) is int
            assert 0 <= x <= picture["width"], (picture["title"], shape)
            assert 0 <= y <= picture["height"], (picture["title"], shape)


def test_nothing_leaves_the_sheet_and_all_numbers_are_whole():
    for picture in every():
        is_whole(picture)


def test_every_word_went_through_translation():
    speaker = PseudoSpeaker()
    pictures = [
        drawings.elevation_picture(four(), speaker),
        drawings.plan_picture(four(), speaker, ["A", "B", "C", "D"]),
        drawings.stage_pictures(four(), speaker)[1],
        drawings.sill_layout(bed.of_drawing(four()), speaker, [INCH], [INCH]),
        drawings.floor_profile(floor([0, 5, 2], 2), speaker),
        drawings.opening_picture(fit([("left", 6, 4), ("right", 6, 3)]), speaker),
        drawings.vial_picture(300, speaker),
        drawings.closing(rigid_door(1, -SIXTEENTH), best_plan(rigid_door(1)), speaker),
        drawings.reading_way("up", speaker),
    ]
    for picture in pictures:
        said = " ".join(texts(picture) + [picture["title"], picture["description"]])
        rest = outside_brackets(said).replace("ft", "")
        assert all(mark in "ABCDXO0123456789/'\". ," for mark in rest), rest
        assert "⟦" in picture["description"]


def outside_brackets(text):
    """Return what stands in no ⟦ ⟧: panel letters and lengths, nothing else."""
    depth = 0
    out = []
    for mark in text:
        depth += {"⟦": 1, "⟧": -1}.get(mark, 0)
        if depth == 0 and mark != "⟧":
            out.append(mark)
    return "".join(out)


def test_elevation():
    picture = drawings.elevation_picture(four(), IN)
    said = texts(picture)
    assert "SEEN FROM OUTSIDE" in said and "Lock at the LEFT jamb, panel A" in said
    assert said.count("X") == 3 and said.count("O") == 1
    places = [text_at(picture, letter)[0] for letter in "ABCD"]
    assert places[0] < places[1] < places[2] < places[3]
    lock = of_class(picture, "p-lock")[0]
    assert lock["x"] < places[0]  # at the left jamb
    arrows = [s for s in of_class(picture, "p-arrow") if s["kind"] == "line"]
    assert len(arrows) == 3
    assert all(arrow["x2"] > arrow["x1"] for arrow in arrows)  # away from the lock
    assert "A slides to the right" in picture["description"]
    assert "D is fixed" in picture["description"]


def test_elevation_of_leads_that_meet():
    picture = drawings.elevation_picture(eight(), IN)
    arrows = [s for s in of_class(picture, "p-arrow") if s["kind"] == "line"]
    ways = {arrow["x1"]: arrow["x2"] > arrow["x1"] for arrow in arrows}
    middle = WIDTH // 2 + 10
    for start, right in ways.items():
        assert right == (start > middle)
    # the sentence may stand on two lines
    assert "Lock in panel D, where the leading panels meet" in " ".join(texts(picture))
    refused("panels-none", drawings.elevation_picture, door([1], "X", "A", panels=[]), IN)


def test_units():
    assert "Frame 190 in wide" not in texts(drawings.elevation_picture(four(), IN))
    # 4 x 48 - 3 x 2 + 2 x 2 = 190 in = 15 ft 10 in = 4826 mm
    assert "Frame 15' 10\" wide" in texts(drawings.elevation_picture(four(), IN))
    assert "Frame 4826 mm wide" in texts(drawings.elevation_picture(four(), MM))


def test_plan():
    picture = drawings.plan_picture(eight(), IN, list("DECFBGAH"))
    circles = of_class(picture, "p-number")
    assert len(circles) == 8
    # numbers stand on the crew's side: outside is the foot of the picture
    leaves = of_class(picture, "p-leaf") + of_class(picture, "p-fixed")
    assert min([c["y"] for c in circles]) > max([leaf["y"] for leaf in leaves])
    inside = drawings.plan_picture(door([1, 2], "XO", "A", set_from="room"), IN, ["B", "A"])
    assert max([c["y"] for c in of_class(inside, "p-number")]) < of_class(inside, "p-leaf")[0]["y"]
    # the room is at the top, so a higher track lies lower
    assert of_class(inside, "p-leaf")[0]["y"] < of_class(inside, "p-fixed")[0]["y"]
    assert "Set in the order B, A." in inside["description"]
    refused("panel-unknown", drawings.plan_picture, four(), IN, ["Q"])


def test_sill_layout():
    laid = bed.of_drawing(four())
    picture = drawings.sill_layout(laid, IN, [6 * INCH, 184 * INCH], [INCH, 95 * INCH])
    beads = [s for s in of_class(picture, "p-bead") if s["kind"] == "line"]
    sill = of_class(picture, "p-sill")[0]
    level = [s for s in beads if s["y1"] == s["y2"] and s["x2"] - s["x1"] > 100]
    assert len(level) == 1 and level[0]["y1"] < sill["y"] + 10  # only along the room side
    across = [s for s in beads if s["x1"] == s["x2"]]
    assert len(across) == len(laid.cross) + 2
    assert len(of_class(picture, "p-weep")) == 2 + 1  # two weeps and the legend's sign
    assert "OUTSIDE: no bead along this edge" in texts(picture)


def test_floor_profile():
    picture = drawings.floor_profile(floor([0, 2, 3, -1], 2), IN)
    said = texts(picture)
    # packed to 2/16: 1/8, nothing, one sixteenth ground off, 3/16
    assert said.count("0") >= 1 and '1/8"' in said and '3/16"' in said
    assert 'grind 1/16"' in said
    line = next(s for s in of_class(picture, "p-floor") if s["kind"] == "polyline")
    heights = [y for _, y in corners(line)]
    assert heights[2] < heights[1] < heights[0] < heights[3]  # higher is nearer the top
    assert 'highest at 2 ft, lowest at 3 ft, 1/4" between them' in picture["description"]


def test_opening():
    picture = drawings.opening_picture(fit([("left", 6, 4), ("left", 90, 10), ("right", 6, 2)]), IN)
    said = texts(picture)
    assert '1/4"' in said and '5/8"' in said and '1/8"' in said
    assert said.count("wide") == 1 and said.count("tight") == 1
    assert len(of_class(picture, "p-out")) == 2 + 1  # with the legend's sign
    assert 'from 1/8" to 5/8"' in picture["description"]


def bubble(tilt):
    picture = drawings.vial_picture(tilt, IN)
    found = of_class(picture, "p-bubble") + of_class(picture, "p-bubble-out")
    return found[0]["x"], found[0]["x"] + found[0]["width"], found[0]["class"]


def test_bubble_rises_to_the_high_side():
    # Trade fact: in a vial the bubble goes to the high end.
    assert bubble(0)[:2] == (MIDDLE - BUBBLE, MIDDLE + BUBBLE)
    assert bubble(-500)[0] < MIDDLE - BUBBLE  # left is high
    assert bubble(500)[0] > MIDDLE - BUBBLE


def test_bubble_on_the_line_is_within():
    left, right, style = bubble(1000)
    assert right == MIDDLE + LINES and style == "p-bubble"
    left, right, style = bubble(-1000)
    assert left == MIDDLE - LINES and style == "p-bubble"
    for tilt in (1001, 1500, 99999):
        left, right, style = bubble(tilt)
        assert right > MIDDLE + LINES + 4 and style == "p-bubble-out"
        left, right, style = bubble(-tilt)
        assert left < MIDDLE - LINES - 4 and style == "p-bubble-out"


def test_vial_in_words():
    assert "left is too high" in drawings.vial_picture(-1001, IN)["description"]
    sides = (Msg("the room side"), Msg("the weather side"))
    assert "toward the weather side" in drawings.vial_picture(10, IN, sides)["description"]
    assert drawings.vial_picture(0, IN)["description"] == "The bubble is in the middle: level."


def mark(value, low, high):
    picture = drawings.bar_picture(value, low, high, IN)
    found = of_class(picture, "p-pointer") + of_class(picture, "p-pointer-out")
    return corners(found[0])[2][0], found[0]["class"]


def lines(low, high):
    return [s["x1"] for s in of_class(drawings.bar_picture(0, low, high, IN), "p-mark")]


def test_bar():
    (line,) = lines(None, 1000)
    assert mark(1000, None, 1000) == (line, "p-pointer")  # on the limit is within
    assert mark(1001, None, 1000)[0] > line and mark(1001, None, 1000)[1] == "p-pointer-out"
    assert mark(999, None, 1000)[0] <= line
    (line,) = lines(500, None)
    assert mark(500, 500, None) == (line, "p-pointer")
    assert mark(499, 500, None)[0] < line and mark(499, 500, None)[1] == "p-pointer-out"
    left, right = lines(250, 500)
    assert mark(249, 250, 500)[0] < left and mark(501, 250, 500)[0] > right
    assert mark(250, 250, 500)[0] == left and mark(500, 250, 500)[0] == right
    assert mark(0, None, 0)[1] == "p-pointer"
    says = drawings.bar_picture(INCH, None, INCH // 2, IN, Len(INCH))["description"]
    assert says == '1". More than the limit allows.'


def test_reading_way():
    assert "bigger reading is lower" in drawings.reading_way("down", IN)["description"]
    assert "bigger reading is higher" in drawings.reading_way("up", IN)["description"]
    refused("way-unknown", drawings.reading_way, "sideways", IN)


def test_text_is_cleared_of_what_no_xml_may_hold():
    assert clean_text("a\x00b\x0bc\x1bd\ufffee") == "a b c d e"
    assert clean_text('<é 3/16">') == '<é 3/16">'
    made = data([1, 2], "XO", "A")
    made["panels"][0]["letter"] = "<b>\x07"
    assert "<b> " in texts(drawings.elevation_picture(Drawing(made), IN))


def test_labels():
    assert wrapped_lines("one two three", 7) == ["one two", "three"]
    assert wrapped_lines("unbreakable", 3) == ["unbreakable"]
    assert [x for x, _ in spread_items([(0, "a"), (5, "b"), (20, "c"), (28, "d")], 14)] == [0, 28]
    assert [x for x, _ in spread_items([(0, "a"), (14, "b"), (28, "c")], 14)] == [0, 14, 28]


def test_a_door_that_closes_is_drawn_with_its_gaps_and_turns():
    # sill falls 1/16 in 48: one panel needs its right roller 3/64 up; both gaps are even then
    door = rigid_door(1, -SIXTEENTH)
    plan = best_plan(door, 0.0)
    picture = drawings.closing(door, plan, IN)
    assert texts(picture).count("0") == 2 and '3/64" up' in texts(picture)
    rollers = [shape for shape in picture["shapes"] if shape["kind"] == "circle"]
    assert [shape["class"] for shape in rollers] == ["p-number", "p-now"]
    panel = of_class(picture, "p-leaf")[0]["d"]
    left, left_top = corners({"kind": "path", "d": panel})[0:2]
    assert left[0] == left_top[0]  # it stands plumb


def test_a_gap_that_tapers_is_drawn_so():
    # jambs lean apart by 1/2 each: both gaps of the one panel open by 7/16 over 84, beyond 1/16
    door = rigid_door(1, 0, -INCH // 2, INCH // 2)
    picture = drawings.closing(door, best_plan(door), IN)
    gaps = of_class(picture, "p-out")
    assert len([shape for shape in gaps if shape["kind"] == "path"]) == 2
    for shape in gaps[:2]:
        foot, top, top_end, foot_end = corners(shape)
        assert top_end[0] - top[0] > foot_end[0] - foot[0]
    assert '7/16"' in texts(picture)


def test_on_a_card_every_roller_that_is_turned_has_an_arrow_and_no_text_is_small():
    """The only text are letters 19 units high; at 340 units on 320 px that is more than 17 px."""
    for panels in (1, 4, 6, 8):
        door = rigid_door(panels, -SIXTEENTH)
        plan = best_plan(door, 0.0)
        picture = closing_on_card(door, plan, IN)
        words = [shape for shape in picture["shapes"] if shape["kind"] == "text"]
        assert [shape["text"] for shape in words] == [panel.letter for panel in door.panels]
        assert all(shape["class"] == "p-big" and not shape["turn"] for shape in words)
        assert picture["height"] <= 100
        now = [shape for shape in of_class(picture, "p-now") if shape["kind"] == "circle"]
        arrows = [shape for shape in of_class(picture, "p-arrow") if shape["kind"] == "line"]
        assert [shape["x"] for shape in now] == [shape["x1"] for shape in arrows]
        assert len(arrows) == len(plan.moves) > 0
        ways = sorted([(move.letter, move.side, move.rise > 0) for move in plan.moves])
        for shape, way in zip(arrows, ways):
            assert (shape["y2"] < shape["y1"]) == way[2]  # y grows downward
        places = sorted([shape["x1"] for shape in arrows])
        assert all(after - before >= 10 for before, after in zip(places, places[1:]))


# ---- the door so far


def _paths(drawn):
    paths = [shape for shape in drawn["shapes"] if shape["kind"] == "path"]
    return {shape["class"].split(" ")[1]: shape["d"] for shape in paths}


def test_the_door_so_far_lights_what_is_signed_and_marks_what_is_out():
    states = {"A": "signed", "B1": "out", "E:A": "signed", "E:B": "open", "F": "barred"}
    steps = [{"key": key, "state": states[key]} for key in ("A", "B1", "E:B", "E:A", "F")]
    drawn = drawings.progress_picture(steps, "Signed: A, E A. Out: B1.", IN)
    assert drawn["description"] == "Signed: A, E A. Out: B1."
    assert _paths(drawn) == {
        "p-step-lit": "M9 86 154 86 154 9",
        "p-step-bad": "M151 6 6 6 6 83",
        "p-step-left": "M19 76 144 76 144 16 16 16 16 73",
        "p-panel-lit": "M25 24 79 24 79 68 25 68Z",  # A, the left one
        "p-panel-left": "M81 24 135 24 135 68 81 68Z",
    }
    assert [s["text"] for s in drawn["shapes"] if s["kind"] == "text"] == ["A", "B"]
    bare = drawings.progress_picture(steps, "Signed: A, E A. Out: B1.", IN, False)
    assert bare["shapes"] == [s for s in drawn["shapes"] if s["kind"] != "text"]


def test_the_parts_of_the_frame_go_round_it_and_stand_apart():
    steps = [{"key": key, "state": "open"} for key in ("A", "B", "E:A")]
    drawn = drawings.progress_picture(steps, "Nothing signed yet.", IN)
    # 148 along the sill, then up; half of 2 * (148 + 80) is the far corner
    assert _paths(drawn)["p-step-left"] == "M9 86 154 86 154 9M151 6 6 6 6 83"


def test_numbers_at_one_corner_hide_nothing_of_each_other():
    """Circles of radius 10 hide nothing where their middles are 20 apart; all stay on the sheet."""
    drawn = four()
    frame = drawn.length("frame_width")
    for corner in (0, frame):
        at_corner = [(n, Place(f"p{n}", Msg("here"), x=corner, y=0)) for n in range(1, 7)]
        beside = [(7, Place("p7", Msg("near"), x=abs(corner - INCH), y=2 * INCH))]
        picture = drawings.marked_places(drawn, at_corner + beside, IN, [Msg("all")])
        middles = [(shape["x"], shape["y"]) for shape in of_class(picture, "p-spot")]
        assert len(middles) == 7
        for at, (x, y) in enumerate(middles):
            assert 10 <= x <= WIDTH - 10
            for other_x, other_y in middles[:at]:
                assert (x - other_x) ** 2 + (y - other_y) ** 2 >= 20**2
        assert texts(picture)[-7:] == ["1", "2", "3", "4", "5", "6", "7"]
