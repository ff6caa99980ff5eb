"""Places of readings.

Where a count is checked, its source stands beside it: the shipped procedure's own
table of the trade ("common practice, no source") or plain counting on paper.
"""

from app.core.layout.setout import setout_of
from app.core.quantity.speaker import Speaker
from app.core.trade.drawing import Drawing
from app.core.where.places import KINDS, places_of
from tests.core import doors
from tests.core.expect import refused

IN = 25400000
FOOT = 12 * IN
STATIONS = {"kind": "stations", "spacing": str(FOOT), "merge": str(3 * IN)}


def panel(letter, kind, track, inches_x2, lead=False):
    """Return a panel's JSON; the width in half inches."""
    return {
        "letter": letter,
        "kind": kind,
        "track": track,
        "width": str(inches_x2 * IN // 2),
        "height": str(92 * IN),
        "lead": lead,
        "mass": "",
    }


def drawing(panels, width, **more):
    """Return a drawing of a frame `width` inches wide and 96 in high, 2 in overlaps."""
    data = {
        "set_from": "outside",
        "panels": panels,
        "lengths": {
            "frame_width": str(width * IN),
            "frame_height": str(96 * IN),
            "jamb_face": str(3 * IN // 2),
            "interlock_overlap": str(2 * IN),
            "anchor_end": str(6 * IN),
            "anchor_spacing": str(16 * IN),
        },
    }
    data.update(more)
    return Drawing(data)


def four():
    """Four stacking panels, lead on the left: 4 x 48 1/2 - 3 x 2 = 188 = 191 - 2 x 1 1/2."""
    row = [panel("A", "X", 1, 97, True), panel("B", "X", 2, 97), panel("C", "X", 3, 97)]
    return drawing(row + [panel("D", "X", 4, 97)], 191)


def six():
    """Two leads that meet: 6 x 41 - 4 x 2 = 238 = 241 - 3."""
    tracks = (3, 2, 1, 1, 2, 3)
    row = [panel("ABCDEF"[i], "X", tracks[i], 82, i in (2, 3)) for i in range(6)]
    return drawing(row, 241)


def fixed_right():
    """Two sliding panels and a fixed one: 3 x 49 - 2 x 2 = 143 = 146 - 3."""
    row = [panel("A", "X", 1, 98, True), panel("B", "X", 2, 98), panel("C", "O", 3, 98)]
    return drawing(row, 146, set_from="room")


def found(where, plan, panel="", closing=False):
    return places_of({"where": where, "closing": closing}, plan, panel)


def ids(where, plan, panel=""):
    return [place.id for place in found(where, plan, panel)]


def said(place):
    return Speaker().fill(place.title.template, dict(place.title.params))


def test_a_16_ft_sill_has_17_stations():
    # Counted on paper: foot marks 0 … 15 (15 ft = 180 in) and the right end at 191 in; the
    # interlocks at 49, 95 1/2 and 142 in are within 3 in of the marks 48, 96 and 144.
    spots = found(STATIONS, four())
    assert [place.x for place in spots] == [k * FOOT for k in range(16)] + [191 * IN]
    assert spots[0].side == "left" and spots[-1].side == "right"
    assert len({place.id for place in spots}) == 17


def test_no_gap_is_wider_than_the_spacing_and_none_is_crowded():
    for width in range(40, 330, 7):
        spots = [p.x for p in found(STATIONS, drawing([], width))]
        gaps = [right - left for left, right in zip(spots, spots[1:])]
        assert max(gaps) <= FOOT
        assert min(gaps) >= 3 * IN
        assert spots[0] == 0 and spots[-1] == width * IN


def test_interlock_away_from_a_mark_is_a_station_of_its_own():
    # A: 1 1/2 … 50 1/2, B from 48 1/2: interlock 49 1/2, merged with the mark at 48 in.
    # B: … 97 1/2, C from 95 1/2: interlock 96 1/2, merged with 96 in. Move the merge to 1/4 in:
    narrow = {"kind": "stations", "spacing": str(FOOT), "merge": str(IN // 4)}
    spots = [p.x for p in found(narrow, fixed_right())]
    assert 99 * IN // 2 in spots and 193 * IN // 2 in spots


def test_meeting_stiles_and_both_stack_edges_are_stations():
    titles = [place.title for place in found(STATIONS, six())]
    notes = [title.params.get("what", []) for title in titles]
    words = [note.template for group in notes for note in group]
    assert words.count("meeting stiles") == 1
    assert words.count("stack edge") == 2
    assert words.count("interlock") == 4


def test_a_stack_over_a_fixed_panel_has_its_edges_among_the_stations():
    # XOX on tracks 1, 2, 3: all stand over B, from 48 to 96 in (on paper).
    spots = found(STATIONS, doors.door([1, 2, 3], "XOX", "AC"))
    edges = [place.x for place in spots if "stack edge" in noted(place)]
    assert edges == [48 * IN, 96 * IN]


def noted(place):
    """Return the words of what a station also stands for."""
    return [note.template for note in place.title.params.get("what", [])]


def test_closing_is_the_first_station_again():
    spots = found(STATIONS, four(), closing=True)
    assert len(spots) == 18
    last = spots[-1]
    assert (last.id, last.side, last.x) == ("closing", "closing", 0)


def test_station_ids_do_not_move_with_their_number():
    wide = ids(STATIONS, four())
    narrow = ids(STATIONS, fixed_right())
    assert wide[1] == narrow[1] == "x3048"  # 12 in = 304.8 mm, exact by definition


def test_heights_keep_off_the_corners():
    spots = found({"kind": "heights", "jamb": "right", "margin": str(6 * IN)}, four())
    assert [p.y for p in spots] == [6 * IN, 48 * IN, 90 * IN]
    assert [p.side for p in spots] == ["low", "middle", "high"]
    assert [p.x for p in spots] == [191 * IN] * 3
    both = found({"kind": "heights", "jamb": "both", "margin": str(6 * IN)}, four())
    assert [p.side for p in both] == ["left"] * 3 + ["right"] * 3


def test_across_is_ends_quarters_middle():
    spots = found({"kind": "across"}, four())
    quarter = 191 * IN // 4
    assert [p.x for p in spots] == [0, quarter, 2 * quarter, 3 * quarter, 4 * quarter]


def test_ends_middle_interlocks_of_meeting_leads():
    # Middle of the frame and the meeting stiles are one place: 120 1/2 in.
    where = {"kind": "ends-middle-interlocks", "merge": str(3 * IN)}
    assert len(found(where, six())) == 7


def test_interlock_belongs_to_the_panel_set_later():
    where = {"kind": "interlock-heights", "margin": str(6 * IN)}
    assert len(found(where, four())) == 9
    # From outside the innermost track is set first (common practice): A, then B …
    assert ids(where, four(), "A") == []
    assert ids(where, four(), "B") == ["A-B-low", "A-B-middle", "A-B-high"]
    # From the room side the farthest track is the outermost: C first, A last.
    assert ids(where, fixed_right(), "C") == []
    assert ids(where, fixed_right(), "A") == ["A-B-low", "A-B-middle", "A-B-high"]
    # An order that the drawing gives wins.
    fixed_right_ordered = fixed_right()
    fixed_right_ordered.data["order"] = ["A", "B", "C"]
    assert ids(where, fixed_right_ordered, "A") == []
    assert ids(where, fixed_right_ordered, "C") == ["B-C-low", "B-C-middle", "B-C-high"]
    whole = ids(where, six())
    apart = []
    for letter in "ABCDEF":
        apart.extend(ids(where, six(), letter))
    assert sorted(whole) == sorted(apart) and len(whole) == 12


def test_stiles_strokes_and_panels():
    assert ids({"kind": "stiles", "which": "sliding"}, fixed_right()) == [
        "A-left",
        "A-right",
        "B-left",
        "B-right",
    ]
    assert ids({"kind": "panels", "which": "fixed"}, fixed_right()) == ["C"]
    assert ids({"kind": "panels", "which": "fixed"}, four()) == []
    assert ids({"kind": "panels"}, four(), "C") == ["C"]
    assert ids({"kind": "panels", "which": "lead"}, six()) == ["C", "D"]
    assert len(found({"kind": "strokes"}, four())) == 4 * 2 * 3
    sides = {"kind": "panel-sides", "which": "fixed", "at": ["top", "bottom", "left", "right"]}
    assert len(found(sides, fixed_right())) == 4
    assert len(found({"kind": "panel-diagonals"}, four())) == 8
    # one panel of a batch tells of them all, also where two leads meet
    one = {"kind": "panel-diagonals", "which": "one-lead"}
    expected = ["C-low-left-high-right", "C-low-right-high-left"]
    assert ids(one, six()) == expected
    assert len(ids({"kind": "panel-diagonals", "which": "lead"}, six())) == 4
    assert [name[0] for name in ids(one, four())] == ["A", "A"]


def test_a_point_may_ask_for_some_heights_alone():
    ends = {"kind": "heights", "margin": str(6 * IN), "jamb": "left", "levels": ["low", "high"]}
    assert ids(ends, four()) == ["low", "high"]
    middle = {"kind": "interlock-heights", "margin": str(6 * IN), "levels": ["middle"]}
    assert ids(middle, four()) == ["A-B-middle", "B-C-middle", "C-D-middle"]
    ends = {"kind": "closing-gap", "margin": str(6 * IN), "levels": ["low", "high"]}
    assert ids(ends, six()) == ["meeting-low", "meeting-high"]


def test_one_try_of_the_lead_and_anchors_of_a_member():
    once = {"kind": "strokes", "which": "lead", "tries": "one"}
    assert ids(once, four()) == ["A-open-1", "A-close-1"]
    assert ids(once, six()) == ["C-open-1", "C-close-1", "D-open-1", "D-close-1"]
    assert len(found({"kind": "strokes"}, fixed_right())) == 2 * 2 * 3  # the fixed one has none
    every = ids({"kind": "anchors"}, four())
    head = ids({"kind": "anchors", "member": "head"}, four())
    jambs = ids({"kind": "anchors", "member": "jambs"}, four())
    assert head and jambs and sorted(head + jambs) == sorted(every)
    assert all(name.startswith("head-") for name in head)


def test_where_the_stack_bears():
    # four panels of 48 1/2 in stack at the right: 191 - 1 1/2 - 48 1/2 = 141 in
    assert [p.x for p in found({"kind": "stack"}, four())] == [141 * IN]
    # two halves: 1 1/2 + 41 in from either end of 241 in
    assert [p.x for p in found({"kind": "stack"}, six())] == [85 * IN // 2, 397 * IN // 2]
    row = [panel(letter, "P", k + 1, 97, k == 0) for k, letter in enumerate("ABCD")]
    pocketed = drawing(row, 191)
    assert [p.x for p in found({"kind": "stack"}, pocketed)] == [191 * IN]
    assert ids({"kind": "locks", "only": "jamb"}, six()) == []
    assert ids({"kind": "locks", "only": "jamb"}, four()) == ["left"]


def test_closing_gap_at_a_lock_jamb_or_where_leads_meet():
    where = {"kind": "closing-gap", "margin": str(6 * IN)}
    assert ids(where, four()) == ["left-low", "left-middle", "left-high"]
    assert found(where, four())[0].x == 3 * IN // 2
    assert ids(where, six()) == ["meeting-low", "meeting-middle", "meeting-high"]
    only = {"kind": "closing-gap", "margin": str(6 * IN), "only": "meeting"}
    assert ids(only, four()) == []
    assert ids({"kind": "locks"}, six()) == ["meeting"]
    stile = {"kind": "lead-stiles", "margin": str(6 * IN), "only": "meeting"}
    assert ids(stile, four()) == []
    meeting = found(stile, six())
    assert [p.panel for p in meeting] == ["C"] * 3 + ["D"] * 3
    assert meeting[0].x == meeting[3].x == 241 * IN // 2


def test_two_panels_that_meet():
    row = [panel("A", "X", 1, 98, True), panel("B", "X", 1, 98, True)]
    assert ids({"kind": "locks"}, drawing(row, 101)) == ["meeting"]


def test_what_is_measured_at_an_anchor_is_where_the_set_out_puts_it():
    """A lock at 49 in keeps 3 in clear: the anchor due at 48 in of its jamb stands elsewhere."""
    drawn = doors.door([1, 2, 3, 4], "XXXO", "A", locks=[str(49 * IN)])
    planned = [section for section in setout_of(drawn)["sections"] if section["id"] == "anchors"]
    left, right, head = [[at.nm for at in row[2]] for row in planned[0]["rows"]]
    spots = found({"kind": "anchors"}, drawn)
    assert [p.y for p in spots if p.side == "left"] == left
    assert [p.y for p in spots if p.side == "right"] == right
    assert [p.x for p in spots if p.side == "top"] == head
    assert min([abs(at - 49 * IN) for at in left]) >= 3 * IN and 48 * IN in right
    plumb = {"kind": "jamb-anchors", "jamb": "left", "margin": str(6 * IN), "merge": str(IN)}
    assert [p.y for p in found(plumb, drawn)] == left


def test_anchors_of_a_jamb():
    # 96 in, 6 in from the corners, 16 in at most: 7 anchors at 14.000 in (computed by hand:
    # 84 in between the outer two, six equal spaces).
    where = {"kind": "anchors"}
    left = [p.y for p in found(where, four()) if p.side == "left"]
    assert left == [(6 + 14 * k) * IN for k in range(7)]
    plumb = {"kind": "jamb-anchors", "jamb": "left", "margin": str(6 * IN), "merge": str(3 * IN)}
    spots = found(plumb, four())
    assert [p.y for p in spots] == left
    assert spots[0].id == "low" and spots[-1].id == "high"


def test_joint_stations_are_at_most_4_ft_apart():
    spots = found({"kind": "joint", "spacing": str(4 * FOOT)}, four())
    left = [p.y for p in spots if p.side == "left"]
    head = [p.x for p in spots if p.side == "top"]
    assert left == [0, 48 * IN, 96 * IN]
    line = [0] + head + [191 * IN]
    assert max([b - a for a, b in zip(line, line[1:])]) <= 4 * FOOT


def test_diagonals_and_corners():
    assert ids({"kind": "diagonals"}, four()) == ["low-left-high-right", "low-right-high-left"]
    assert ids({"kind": "corners"}, four()) == ["low-left", "low-right", "high-right", "high-left"]


def test_words_tell_where_the_person_stands():
    assert said(found({"kind": "diagonals"}, four())[0]) == "LOW LEFT to HIGH RIGHT, you outside"
    assert said(found({"kind": "diagonals"}, fixed_right())[0]).endswith("seen from outside")


def test_listed_places_keep_their_order_and_side():
    items = [{"id": "b", "title": "before"}, {"id": "a", "title": "after", "side": "low"}]
    spots = found({"kind": "listed", "items": items}, four())
    assert [(p.id, p.side) for p in spots] == [("b", ""), ("a", "low")]
    assert ids({"kind": "one"}, four()) == ["1"]


def test_a_single_reading_is_called_by_its_point():
    spot = places_of({"where": {"kind": "one"}, "title": "Time the water stood"}, four())[0]
    assert said(spot) == "Time the water stood"


def test_a_list_of_places_can_be_told_apart():
    spots = found(STATIONS, fixed_right())
    text = Speaker().say([place.title for place in spots[:2]])
    assert text == "LEFT jamb, seen from outside; 1 ft from LEFT jamb, seen from outside"


def test_every_kind_can_be_loaded():
    for kind in KINDS:
        module, function, _ = KINDS[kind]
        loaded = __import__("app.core.where." + module, None, None, [function])
        assert getattr(loaded, function)


def test_refusals():
    refused("where-unknown", found, {"kind": "moon"}, four())
    silent = Drawing({"panels": [], "lengths": {}})
    refused("drawing-silent", found, STATIONS, silent)
    bare = drawing([], 100, lengths={"frame_height": "1"})
    refused("drawing-silent", found, {"kind": "anchors"}, bare)
    refused("panel-unknown", found, {"kind": "panels"}, four(), "Z")
