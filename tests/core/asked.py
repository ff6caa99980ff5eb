"""An Ask as the gate makes it, from places, values and limits: short to write in a test."""

from app.core.checks.base import Ask
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.trade.drawing import Drawing
from app.core.where.place import Place

IN = 25400000
S16 = IN // 16


def place(id, x=None, y=None, panel="", side=""):
    """Return a place that is called by its id."""
    return Place(id, Msg(id), x, y, panel, side)


def up(*values, prefix="", x=None, panel="", heights=(6 * IN, 48 * IN, 90 * IN)):
    """Return [(place, value)] low, middle, high."""
    names = ("low", "middle", "high")
    return [
        (place(prefix + name, x, y, panel, name), value)
        for name, y, value in zip(names, heights, values)
    ]


def ask(inputs, limits, settings=None, drawing=None, panel="", gone=None, errors=None):
    """Return an Ask; inputs: name -> [(place, value, None for not measured)]."""
    return Ask(
        {input: [pair[0] for pair in pairs] for input, pairs in inputs.items()},
        {input: {p.id: v for p, v in pairs if v is not None} for input, pairs in inputs.items()},
        limits,
        settings or {},
        drawing or Drawing({}),
        gone,
        errors,
        panel,
    )


def said(messages, units="in"):
    """Return what the messages say, one a line."""
    return "\n".join([Speaker(units=units).say(one) for one in messages])
