"""A made-up survey to ask the sill's checks about."""

from app.core.checks.base import Ask
from app.core.quantity.messages import Msg
from app.core.trade.drawing import Drawing
from app.core.where.place import Place
from app.core.where.words import along_words

IN = 25400000
FOOT = 12 * IN
SIXTEENTH = IN // 16
BOX = (SIXTEENTH, 2 * SIXTEENTH, 4 * SIXTEENTH)


def drawing(width, box=BOX, **lengths):
    """Return a drawing with a frame of this width and these further lengths."""
    given = {"frame_width": str(width)}
    for name, nm in lengths.items():
        given[name] = str(nm)
    return Drawing({"set_from": "outside", "lengths": given, "shims": [str(nm) for nm in box]})


def stations(xs, plan):
    return [Place("x" + str(x), along_words(x, xs[-1], plan), x) for x in xs]


def closing():
    return Place("closing", Msg("Back to the first mark"), 0, side="closing")


def readings(places, values):
    """Return readings by place; None is a station that is not measured."""
    return {p.id: nm for p, nm in zip(places, values) if nm is not None}


def ask(xs, lines, limits, settings=None, plan=None, heights=None, **more):
    """Return an Ask: lines is {input: [height or None]}, heights is [(x, clear height or None)]."""
    plan = plan or drawing(xs[-1])
    places = {}
    taken = {}
    for input, values in lines.items():
        places[input] = stations(xs, plan)
        taken[input] = readings(places[input], values)
    if heights is not None:
        places["heights"] = stations([x for x, _ in heights], plan)
        taken["heights"] = readings(places["heights"], [nm for _, nm in heights])
    return Ask(places, taken, limits, settings or {}, plan, **more)


def feet(count):
    return [i * FOOT for i in range(count)]


def sixteenths(*counts):
    return [None if count is None else count * SIXTEENTH for count in counts]
