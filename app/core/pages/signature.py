"""A signature on the screen: a typed name with consent, and where it can be drawn, the drawing.

The drawing is kept as points in a box 600 wide and 200 high. It proves nobody's identity:
it is what somebody drew, beside the name that somebody typed.
"""

from app.core.errors import InputError
from app.core.kinds import Any, Json
from app.core.pages import common
from app.core.pages.request import Request
from app.core.quantity.messages import Msg
from app.core.record.events import STROKE_HEIGHT, STROKE_WIDTH, are_strokes

FIELDS = ("name", "consent", "strokes", "words")
_DIGITS = "0123456789"


def strokes_of(text: str) -> "list[list[int]]":
    """Return the strokes that a hidden field holds: "x,y x,y;x,y x,y"; [] for "".

    Errors: InputError 'drawing-unreadable'.
    Example: strokes_of("1,2 3,4;5,6") -> [[1, 2, 3, 4], [5, 6]]
    """
    strokes = []
    for part in text.split(";") if text else []:
        stroke = []
        for pair in part.split(" "):
            x, comma, y = pair.partition(",")
            stroke.extend([_whole_of(x), _whole_of(y)] if comma else [-1, -1])
        strokes.append(stroke)
    if strokes and not are_strokes(strokes):
        raise _unreadable_error()
    return strokes


def _whole_of(text: str) -> int:
    if not text or len(text) > 4 or any([char not in _DIGITS for char in text]):
        raise _unreadable_error()
    return int(text)


def _unreadable_error() -> InputError:
    return InputError(
        "drawing-unreadable",
        Msg("The drawn signature arrived damaged. Draw it again, or sign with the typed name."),
    )


def signature_given(request: Request) -> Json:
    """Return what was signed with: name, consent, and strokes and words where there are any.

    Errors: InputError 'empty', 'consent-missing', 'drawing-unreadable', 'too-long'.
    """
    body: Json = {
        "name": request.required("name", Msg("Write the name of the person who signs.")),
        "consent": request.typed("consent") == "yes",
    }
    if not body["consent"]:
        raise InputError("consent-missing", Msg("The person who signs ticks the statement first."))
    strokes = strokes_of(request.typed("strokes", 30000))
    if strokes:
        body["strokes"] = strokes
    if request.typed("words"):
        body["words"] = request.typed("words")
    return body


def signature_picture(request: Request, body: Json) -> Any:
    """Return the drawn signature as a picture of core/pictures; None where there is none to show.

    Of one that was erased a record keeps that it was drawn: no list of strokes, but a commitment.
    """
    if not body.get("strokes") or isinstance(body["strokes"], dict):
        return None
    return {
        "title": request.say(Msg("Signature")),
        "description": request.say(Msg("Signature drawn by {name}", name=body["name"])),
        "width": STROKE_WIDTH,
        "height": STROKE_HEIGHT,
        "shapes": [_stroke_line(stroke) for stroke in body["strokes"]],
    }


def _stroke_line(stroke: "list[int]") -> Json:
    if len(stroke) == 2:  # a dot
        return {"kind": "circle", "class": "p-point", "x": stroke[0], "y": stroke[1], "radius": 3}
    pairs = [str(stroke[i]) + "," + str(stroke[i + 1]) for i in range(0, len(stroke), 2)]
    return {"kind": "polyline", "class": "p-ink", "points": " ".join(pairs)}


def signature_shown(request: Request, event: Json) -> Json:
    """Return a signature for a template: who signed, who held the screen, words, drawing."""
    body = event["body"]
    how = Msg("drawn on the screen") if body.get("strokes") else Msg("typed name, with consent")
    text = Msg(
        "Signed by {name} ({how}), written down by {who}",
        name=body["name"],
        how=how,
        who=common.who_when(request, event),
    )
    return {
        "text": request.say(text),
        "words": body.get("words", ""),
        "picture": signature_picture(request, body),
    }
