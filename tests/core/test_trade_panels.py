"""Configuration, movement, order of setting, weights.

The rules are common practice without a published source, so the expected orders
are worked out by hand from the rule that stands beside each.
"""

from app.core.trade import moving, panels, setting, weight
from app.core.trade.drawing import Drawing
from tests.core.doors import INCH, data, door, eight, four
from tests.core.expect import refused
from tests.core.golden import checks


def codes(drawing):
    return [error.code for error in panels.panel_questions(drawing)]


def changed(which, **values):
    """Return the four-panel door with something of one panel changed."""
    made = data([1, 2, 3, 4], "XXXO", "A")
    for panel in made["panels"]:
        if panel["letter"] == which:
            panel.update(values)
    return Drawing(made)


def letters(drawing):
    return "".join([turn.panel.letter for turn in setting.setting_order(drawing)])


def reasons(drawing, letter):
    turns = [turn for turn in setting.setting_order(drawing) if turn.panel.letter == letter]
    return [reason.template for reason in turns[0].reasons]


def said(drawing, letter, words):
    return any(words in reason for reason in reasons(drawing, letter))


def test_doors_that_can_be_built():
    assert codes(four()) == []
    assert codes(eight()) == []
    assert codes(door([1, 2], "XO", "A")) == []
    assert codes(door([2, 1], "OX", "B", "right")) == []
    assert codes(door([1, 2, 3], "XXX", "A")) == []  # none fixed: C stays at the stack end
    assert codes(door([1, 2, 1], "XOX", "AC")) == []  # leads at both jambs, over a fixed one


def test_widths_must_add_up():
    error = panels.panel_questions(changed("B", width=str(49 * INCH)))[0]
    assert error.code == "panels-sum"
    # four panels 48 less three overlaps of 2 are 186: one more inch is 187
    assert error.details["row"] == 187 * INCH and error.details["clear"] == 186 * INCH
    assert "too much" in error.message.template
    assert "short" in panels.panel_questions(changed("B", width=str(47 * INCH)))[0].message.template
    off_by_a_nanometre = changed("B", width=str(48 * INCH + 1))
    assert codes(off_by_a_nanometre) == ["panels-sum"]


def test_drawing_that_leaves_widths_open():
    made = data([1, 2], "XO", "A")
    made["lengths"]["interlock_overlap"] = ""
    assert "drawing-silent" in codes(Drawing(made))
    made = data([1, 2], "XO", "A")
    made["counts"]["tracks"] = ""
    assert codes(Drawing(made)) == ["drawing-silent"]


def test_letters_from_the_left():
    assert codes(changed("B", letter="C")) == ["panel-letters"]
    assert "panel-kind" in codes(changed("B", kind="Y"))
    assert "panel-size" in codes(changed("B", height="0"))
    assert codes(door([1], "X", "A", panels=[])) == ["panels-none"]


def test_tracks():
    assert "panel-track" in codes(changed("D", track=5))
    assert "panels-not-hooked" in codes(changed("B", track=4))
    # neighbours on one track that are not two leads: nothing joins them
    assert "panels-same-track" in codes(door([1, 1], "XO", "A"))


def test_one_panel_of_a_track_at_a_place():
    made = data([1, 2, 1], "XXO", "A")
    made["panels"][1]["width"] = str(INCH)  # so narrow that A and C meet behind it
    assert "panels-collide" in codes(Drawing(made))


def test_leads():
    assert codes(changed("A", lead=False)) == ["lead-none"]
    assert codes(door([1, 2, 3], "XXO", "ABC")) == ["leads-many"]
    assert codes(door([1, 2, 3], "OXX", "A")) == ["lead-fixed"]
    assert "lead-place" in codes(door([1, 2, 3], "XXO", "B"))
    assert "lead-place" in codes(door([1, 2, 3, 2], "XXXX", "AD", "left"))  # none fixed between
    assert "lead-cannot-move" in codes(door([1], "X", "A"))


def test_sliding_panel_that_cannot_slide():
    # Three on one track fill it from jamb to jamb: B has no room either way.
    made = door([1, 1, 1], "XXX", "AC")
    assert "panel-cannot-move" in codes(made)
    assert moving.room_on_track(made, made.panels[1]) == (0, 0)
    # On a track of its own A moves to the right by everything but its own width: 186 - 48 in.
    four_wide = four()
    assert moving.room_on_track(four_wide, four_wide.panels[0]) == (0, 138 * INCH)


def test_lock():
    assert codes(door([1, 2], "XO", "A", "right")) == ["lock-side"]
    assert codes(door([1, 2], "XO", "A", "")) == ["lock-side"]
    assert moving.active_lead(eight()).letter == "D"
    assert (
        moving.active_lead(door([4, 3, 2, 1, 1, 2, 3, 4], "OXXXXXXO", "DE", "right")).letter == "E"
    )


def test_which_way_panels_go():
    assert moving.opens_to(four()) == ["right", "right", "right", ""]
    assert moving.opens_to(eight()) == ["", "left", "left", "left", "right", "right", "right", ""]
    assert moving.opens_to(door([2, 1], "OX", "B", "right")) == ["", "left"]
    assert moving.opens_to(door([1, 2, 1], "XOX", "AC")) == ["right", "", "left"]
    ends = moving.stacked_panels(eight())
    assert [panel.letter for panel in ends["left"]] == ["A", "B", "C", "D"]
    assert [panel.letter for panel in ends["right"]] == ["E", "F", "G", "H"]


def test_what_can_stack_over_a_fixed_panel_does():
    # Geometry on paper: panels 48 in, overlaps 2, jambs 2. XOX: A from 2, B from 48, C from 94 to
    # 142. On tracks 1, 2, 3 both go over B, and all but B's 48 in of the 140 is open.
    apart = door([1, 2, 3], "XOX", "AC")
    how = "three panels of 48 in, 2 in overlaps, worked on paper"
    lefts = moving.open_lefts(apart)
    what = "XOX, a track each: left edges"
    checks("panel-order", what, [48, 48, 48], in_inches(lefts), how, "computed")
    assert moving.clear_way(apart) == 92 * INCH
    assert moving.stack_edges(apart) == [48 * INCH, 96 * INCH]
    # A and C share track 1, lock left: A goes up to C, which stays; B and C are 94 in of the way.
    shared = door([1, 2, 1], "XOX", "AC")
    lefts = moving.open_lefts(shared)
    what = "XOX, leads on one track: left edges"
    checks("panel-order", what, [46, 48, 94], in_inches(lefts), how, "computed")
    assert moving.clear_way(shared) == (140 - 96) * INCH
    # XXOXX on tracks 1 2 3 4 5: everything over C, from 94 to 142
    wide = door([1, 2, 3, 4, 5], "XXOXX", "AE")
    assert in_inches(moving.open_lefts(wide)) == [94] * 5
    assert moving.clear_way(wide) == (5 * 48 - 4 * 2 - 48) * INCH
    assert [p.letter for p in moving.stacked_panels(wide)["middle"]] == ["A", "B", "C", "D", "E"]
    # and four tracks that go to one end, as ever
    assert in_inches(moving.open_lefts(four())) == [140] * 4
    assert moving.stack_edges(four()) == [140 * INCH]


def in_inches(lefts):
    return [lefts[letter] // INCH for letter in sorted(lefts)]


def test_set_from_outside_the_innermost_track_comes_first():
    # Common practice: innermost track first, outermost last; the lead opens, the fixed one closes.
    rule = "innermost track first, the lead opens, a fixed panel closes"
    checks("panel-order", "from outside", "ABCD", letters(four()), rule, "common practice")
    assert said(four(), "A", "farthest")
    assert said(four(), "A", "park it")
    assert said(four(), "B", "hooks")
    assert said(four(), "D", "closes the sequence")


def test_set_from_the_room_it_turns_round():
    # Farthest track first: from the room that is the outermost.
    made = door([1, 2, 3, 4], "XXXO", "A", set_from="room")
    assert letters(made) == "DCBA"
    assert said(made, "D", "farthest")
    assert not said(made, "D", "closes the sequence")


def test_leads_that_meet():
    # The active one first, both parked with stops; track by track toward the crew.
    rule = "track by track toward the crew, the active lead first"
    checks("panel-order", "two leads", "DECFBGAH", letters(eight()), rule, "common practice")
    assert said(eight(), "D", "active")
    assert said(eight(), "E", "park it with a stop")
    right = door([4, 3, 2, 1, 1, 2, 3, 4], "OXXXXXXO", "DE", "right")
    assert letters(right) == "EDCFBGAH"


def test_a_fixed_panel_closes_its_track():
    # leads at both jambs on the inner track, B fixed on the outer one
    assert letters(door([1, 2, 1], "XOX", "AC")) == "ACB"


def test_the_drawing_may_give_an_order():
    made = door([1, 2, 3, 4], "XXXO", "A", order=["B", "A", "C", "D"])
    assert letters(made) == "BACD"
    assert said(made, "A", "drawing gives")
    assert said(made, "A", "out of the way")  # B is nearer to a crew outside
    refused("order-letters", setting.setting_order, door([1, 2], "XO", "A", order=["A"]))


def test_no_order_for_what_cannot_be_built():
    refused("lead-none", setting.setting_order, changed("A", lead=False))
    refused("set-from-unknown", setting.setting_order, door([1, 2], "XO", "A", set_from=""))
    refused("panels-none", panels.must_build, door([1], "X", "A", panels=[]))


KG = weight.KILOGRAM
MM = 1000000


def test_glass():
    # 2500 kg/m³ (EN 572-1, restated) is 2.5 kg/m² per mm: exact.
    for mm, hundredths in ((3, 750), (4, 1000), (5, 1250), (6, 1500), (8, 2000), (10, 2500)):
        ours = weight.glass_mass(1000 * MM, 1000 * MM, [mm * MM]) / KG
        what = "a square metre of " + str(mm) + " mm"
        source = "EN 572-1: 2500 kg/m³ (restated)"
        checks("panel-weight", what, hundredths / 100, ours, source, "restated", 1e-9, "kg")
    # 48 x 120 in, 6 + 6 mm: 3.7161 m² x 30 = 111.48 kg (computed)
    assert (
        weight.glass_mass(48 * INCH, 120 * INCH, [6 * MM, 6 * MM]) * 100 + KG // 2
    ) // KG == 11148
    # 1.5 x 3.0 m, 8 + 8: 180 kg exactly (computed)
    assert weight.glass_mass(1500 * MM, 3000 * MM, [8 * MM, 8 * MM]) == 180 * KG
    # 6 + 0.76 film + 6: 30.81 kg/m² (film 1070 kg/m³ from memory)
    film = weight.glass_mass(1000 * MM, 1000 * MM, [6 * MM, 6 * MM], 760000)
    assert (film * 100 + KG // 2) // KG == 3081
    refused("glass-size", weight.glass_mass, 0, MM, [MM])
    refused("glass-size", weight.glass_mass, MM, MM, [])


def test_weight_of_a_panel():
    panel = {"mass": "", "width": str(1500 * MM), "height": str(3000 * MM)}
    assert weight.of_panel(panel) is None
    panel["glass"] = {"lites": [str(8 * MM), str(8 * MM)]}
    found = weight.of_panel(panel)
    # 15 % more for frame and hardware (common practice): 180 -> 207 kg
    assert found.mass == 207 * KG and found.basis == "glass"
    panel["mass"] = str(190 * KG)
    assert weight.of_panel(panel).mass == 190 * KG  # the label wins
    assert weight.of_panel(panel).basis == "label"


def test_what_an_open_face_or_overlap_must_be():
    # four panels of 48 in, three overlaps of 2 in, a frame of 190 in: faces of 2 in by hand
    made = data([1, 2, 3, 4], "XXXX", "A")
    assert panels.implied_length(Drawing(made)) is None
    del made["lengths"]["jamb_face"]
    assert panels.implied_length(Drawing(made)) == ("jamb_face", 2 * INCH)
    made["lengths"]["frame_width"] = str(185 * INCH)
    assert panels.implied_length(Drawing(made)) == ("jamb_face", -INCH // 2)
    made = data([1, 2, 3, 4], "XXXX", "A")
    del made["lengths"]["interlock_overlap"]
    assert panels.implied_length(Drawing(made)) == ("interlock_overlap", 2 * INCH)
    del made["lengths"]["jamb_face"]
    assert panels.implied_length(Drawing(made)) is None
