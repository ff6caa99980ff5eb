"""Panels that slide into a pocket in the wall: what is drawn, order, room, depth, plan.

Rules: common practice, no published source. Depths: the widths in the drawing, added by hand.
"""

from app.core.layout.setout import setout_of
from app.core.pictures import drawings
from app.core.quantity.speaker import Speaker
from app.core.trade import moving, panels, rollers_load, setting
from app.core.trade.drawing import Drawing
from tests.core.doors import INCH, data, eight, four
from tests.core.golden import checks

IN = Speaker(units="in")


def pocketed(tracks=(1, 2, 3), kinds="PPP", leads="A", lock="left", depth=60, **more):
    """Return a door of 48 in panels whose pocket is `depth` inches deep (0: not drawn)."""
    made = data(list(tracks), kinds, leads, lock)
    made["lengths"]["pocket_depth"] = str(depth * INCH) if depth else ""
    made.update(more)
    return Drawing(made)


def codes(drawing):
    return [error.code for error in panels.panel_questions(drawing)]


def order(drawing):
    return "".join([turn.panel.letter for turn in setting.setting_order(drawing)])


def why(drawing, letter):
    for turn in setting.setting_order(drawing):
        if turn.panel.letter == letter:
            return " ".join([IN.say(reason) for reason in turn.reasons])
    return ""


def test_a_pocketed_panel_is_a_kind_of_its_own():
    drawing = pocketed()
    assert drawing.configuration == "PPP" and codes(drawing) == []
    assert all(panel.slides and panel.pocketed for panel in drawing.panels)
    assert moving.opens_to(drawing) == ["right", "right", "right"]
    # one panel alone has no room between the jambs, but has its pocket
    assert codes(pocketed((1,), "P")) == []
    assert "lead-cannot-move" in codes(pocketed((1,), "X"))


def test_the_pocket_must_be_drawn_and_deep_enough():
    assert codes(pocketed(depth=0)) == ["drawing-silent"]
    assert codes(pocketed(depth=47)) == ["pocket-shallow"]
    assert codes(pocketed(depth=48)) == []  # exactly as deep as the panel is wide
    # A and C share track 1 and the pocket: they stand one behind the other, 96 in
    assert codes(pocketed((1, 2, 1), depth=95)) == ["pocket-shallow"]
    assert codes(pocketed((1, 2, 1), depth=96)) == []
    source = "widths of the panels on one track, added by hand"
    needed = (
        moving.stack_depth(moving.pocketed_panels(pocketed((1, 2, 1), depth=96), "right")) // INCH
    )
    checks("panel-order", "two of a track in one pocket, depth", 96, needed, source, "computed")


def test_nothing_may_stand_before_the_pocket():
    drawing = pocketed((1, 2, 1), "PXO", "A")
    assert "pocket-blocked" in codes(drawing)
    said = [IN.say(error.message) for error in panels.panel_questions(drawing)]
    assert any("C stands between panel A and its pocket" in words for words in said)


def test_order_of_setting_and_its_reasons():
    assert order(pocketed()) == "ABC"
    assert order(pocketed(set_from="room")) == "CBA"
    assert "slides into the pocket at the RIGHT end" in why(pocketed(), "B")
    assert "whole depth" in why(pocketed(), "B")
    # before what stays before the pocket: on track 2 B goes in ahead of the fixed D
    mixed = pocketed((1, 2, 3, 2), "XPXO", "A")
    assert "pocket-blocked" in codes(mixed)  # and is asked about, for D closes the way
    # on one track the one nearest to the pocket goes in first, after the lead is parked
    assert order(pocketed((1, 2, 1, 2), "PPPP", "A", depth=96)) == "ACDB"


def test_meeting_leads_have_a_pocket_at_each_end():
    drawing = pocketed((3, 2, 1, 1, 2, 3), "PPPPPP", "CD", depth=48)
    assert codes(drawing) == []
    assert [panel.letter for panel in moving.pocketed_panels(drawing, "left")] == ["A", "B", "C"]
    assert [panel.letter for panel in moving.pocketed_panels(drawing, "right")] == ["D", "E", "F"]
    assert "LEFT end" in why(drawing, "A") and "RIGHT end" in why(drawing, "F")


def test_depth_of_the_stack_and_the_way_that_is_left():
    # four tracks, 48 in each: one deep. 190 in less two jambs of 2 in less 48 in is 138 in
    assert moving.stack_depth(moving.stacked_panels(four())["right"]) == 48 * INCH
    assert moving.clear_way(four()) == 138 * INCH
    # eight in two halves: 48 in at either end of what is between the jambs
    row = eight().panels[-1].right - eight().panels[0].left
    assert moving.clear_way(eight()) == row - 96 * INCH
    # what stacks at a fixed panel between two leads: see tests/core/test_trade_panels.py
    # what goes into a pocket leaves all of it: 140 in between the jambs
    assert moving.clear_way(pocketed()) == 140 * INCH
    said = " ".join([IN.say(words) for words in rollers_load.about_stacks(pocketed())])
    assert "A, B, C go into the pocket at the RIGHT end: 4 ft of depth at least" in said
    assert "The stack at" not in said and "Open, 11' 8\" of way is left" in said


def test_set_out_of_a_pocketed_door():
    made = setout_of(pocketed())
    assert made["sections"][0]["id"] == "order"
    assert made["questions"] == []
    silent = setout_of(pocketed(depth=0))
    assert "Pocket in the wall" in IN.say(silent["missing"][0])
    assert silent["sections"][0]["id"] != "order"


def shape(picture, style):
    return [one for one in picture["shapes"] if one["class"] == style]


def test_a_plan_at_each_stage():
    for drawing in (four(), eight(), pocketed(), pocketed(set_from="room")):
        turns = setting.setting_order(drawing)
        for at, picture in enumerate(drawings.stage_pictures(drawing, IN)):
            assert len(shape(picture, "p-now")) == 1
            standing = shape(picture, "p-leaf") + shape(picture, "p-fixed")
            coming = [one for one in shape(picture, "p-ghost") if one["kind"] == "rect"]
            assert (len(standing), len(coming)) == (at, len(turns) - at - 1)
            assert turns[at].panel.letter + " on track" in picture["description"]
    first = drawings.stage_pictures(four(), IN)[0]
    assert first["description"] == (
        "Nothing stands yet. Going in now, from outside: A on track 1. To come: B, C, D."
    )
    last = drawings.stage_pictures(pocketed(set_from="room"), IN)[-1]
    assert "from the room side" in last["description"]
    assert last["description"].endswith("Nothing is left to set.")


def test_the_arrow_comes_from_the_crews_side():
    for side in ("outside", "room"):
        for picture in drawings.stage_pictures(pocketed(set_from=side), IN):
            for arrow in shape(picture, "p-arrow"):
                if arrow["kind"] == "line":
                    assert (arrow["y1"] > arrow["y2"]) == (side == "outside")


def test_the_pockets_are_drawn_beside_the_frame():
    walls = len(shape(drawings.plan_picture(four(), IN), "p-wall"))
    assert len(shape(drawings.plan_picture(pocketed(), IN), "p-wall")) == walls + 2
    said = drawings.elevation_picture(pocketed(), IN)["description"]
    assert "A slides into the pocket at the RIGHT" in said
