"""What a roller carries, and what stands at each end. Sources stand beside the rows."""

from app.core.quantity.speaker import Speaker
from app.core.quantity.units import KILOGRAM
from app.core.trade import rollers_load
from app.core.trade.finding import INFORMATION
from app.core.trade.verdicts import OUT
from tests.core.doors import data, door
from tests.core.expect import refused
from tests.core.golden import checks

MM = 1000000
PANEL = 180 * KILOGRAM


def kilos(pair):
    return tuple([mass // KILOGRAM for mass in pair])


def test_two_rollers_share_by_their_distance():
    # R1 = W b / (a + b), statics; 0.6 and 0.6 m -> 90/90; 0.5 and 0.7 m -> 105/75 (computed)
    assert kilos(rollers_load.roller_shares(PANEL, 600 * MM, 600 * MM)) == (90, 90)
    assert kilos(rollers_load.roller_shares(PANEL, 500 * MM, 700 * MM)) == (105, 75)
    refused("rollers-needed", rollers_load.roller_shares, PANEL, 0, 0)
    refused("rollers-needed", rollers_load.roller_shares, PANEL, -1, 5)
    refused("mass-needed", rollers_load.roller_shares, 0, 1, 1)


def test_each_roller_is_rated_for_half():
    # three of four touching: two may carry all; W/2 each (statics)
    ours = rollers_load.needed_rating(PANEL) // KILOGRAM
    source = "statics: two of four rollers carry all"
    checks("roller-load", "180 kg", 90, ours, source, "computed", 0, "kg")
    assert rollers_load.needed_rating(3) == 2
    assert rollers_load.judge_rating(PANEL, 90 * KILOGRAM).verdict == INFORMATION
    found = rollers_load.judge_rating(PANEL, 90 * KILOGRAM - 1)
    assert found.verdict == OUT
    assert "90 kg of 180 kg" in Speaker(units="mm").say(found.says)
    refused("rating-needed", rollers_load.judge_rating, PANEL, 0)
    refused("mass-needed", rollers_load.needed_rating, 0)


def test_the_most_that_one_of_four_carries():
    # by hand: rollers at 0, 0.2, 1.0, 1.2 m, centre 0.6 m: an inner one with the far outer one
    # carries 0.6/(0.6 + 0.4) of the panel
    four = [0, 200 * MM, 1000 * MM, 1200 * MM]
    assert rollers_load.greatest_roller_load(PANEL, four, 600 * MM) == 108 * KILOGRAM
    assert rollers_load.greatest_roller_load(PANEL, [0, 1200 * MM], 500 * MM) == 105 * KILOGRAM
    assert rollers_load.greatest_roller_load(PANEL, [0, 600 * MM, 1200 * MM], 600 * MM) == PANEL
    refused("rollers-needed", rollers_load.greatest_roller_load, PANEL, [0, 100 * MM], 200 * MM)
    refused("rollers-needed", rollers_load.greatest_roller_load, PANEL, [], 200 * MM)
    uneven = rollers_load.judge_rating(PANEL, 100 * KILOGRAM, 105 * KILOGRAM)
    assert uneven.verdict == OUT


def test_what_stands_at_each_end():
    # four panels, the lead at the left: all that slide stack at the right, beside the fixed one
    made = data([1, 2, 3, 4], "XXXO", "A")
    for panel, mass in zip(made["panels"], (100, 110, 120, 130)):
        panel["mass"] = str(mass * KILOGRAM)
    from app.core.trade.drawing import Drawing

    found = rollers_load.stack_loads(Drawing(made))
    assert (found["right"].letters, found["right"].mass) == (["A", "B", "C", "D"], 460 * KILOGRAM)
    assert found["left"].letters == [] and found["left"].mass == 0
    words = [Speaker(units="mm").say(one) for one in rollers_load.about_stacks(Drawing(made))]
    assert words[0] == "Open, A, B, C, D stand at the RIGHT end: 460 kg bear there."
    # one behind the other on four tracks, 48 in each; 190 in less two jambs of 2 in less 48 in
    assert words[1] == "The stack at the RIGHT end is 1219 mm deep."
    assert words[2] == "Open, 3505 mm of way is left, less handles and stops."


def test_a_weight_that_nothing_gives_is_not_guessed():
    drawing = door([1, 2, 3, 4], "XXXO", "A")
    found = rollers_load.stack_loads(drawing)["right"]
    assert (found.mass, found.unknown) == (0, ["A", "B", "C", "D"])
    assert "weight not known: A, B, C, D" in Speaker().say(rollers_load.about_stacks(drawing))
