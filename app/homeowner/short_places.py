"""Where a reading was taken, as short as the heads of a table: the column, and the row.

A place's words say it from where a person stands. On paper one sentence says that for all of them:
every position is counted from the LEFT end, seen from outside.
"""

from app.core.kinds import Any, Json
from app.core.quantity.messages import Msg

NOTHING = Msg("")
X, Y, LEVEL, JAMB, LETTER = Msg("{x}"), Msg("{y}"), Msg("{level}"), Msg("{jamb}"), Msg("{letter}")
RISING, FALLING = Msg("LOW LEFT–HIGH RIGHT"), Msg("LOW RIGHT–HIGH LEFT")
# words of core/where -> what stands over the column, what stands beside the row
SHORT = {
    "{x} from LEFT jamb, {stand}": (X, NOTHING),
    "head: {x} from LEFT jamb, {stand}": (X, Msg("head")),
    "LEFT jamb, {stand}": (Msg("LEFT"), NOTHING),
    "RIGHT jamb, {stand}": (Msg("RIGHT"), NOTHING),
    "LEFT jamb, seen from outside": (Msg("LEFT"), NOTHING),
    "RIGHT jamb, seen from outside": (Msg("RIGHT"), NOTHING),
    "{level}, {y} up": (LEVEL, NOTHING),
    "{place}: {level}, {y} up": (LEVEL, Msg("{place}")),
    "{jamb}: {level}, {y} up": (LEVEL, JAMB),
    "{jamb}: anchor, {y} up": (Y, JAMB),
    "{jamb}: {y} up": (Y, JAMB),
    "{place}: {y} above the foot of the frame": (Y, Msg("{place}")),
    "LOW LEFT to HIGH RIGHT, {stand}": (RISING, NOTHING),
    "LOW RIGHT to HIGH LEFT, {stand}": (FALLING, NOTHING),
    "LOW LEFT corner, {stand}": (Msg("LOW LEFT"), NOTHING),
    "LOW RIGHT corner, {stand}": (Msg("LOW RIGHT"), NOTHING),
    "HIGH LEFT corner, {stand}": (Msg("HIGH LEFT"), NOTHING),
    "HIGH RIGHT corner, {stand}": (Msg("HIGH RIGHT"), NOTHING),
    "panel {letter}": (LETTER, NOTHING),
    "panel {letter}: LOW LEFT to HIGH RIGHT, {stand}": (LETTER, RISING),
    "panel {letter}: LOW RIGHT to HIGH LEFT, {stand}": (LETTER, FALLING),
    "panel {letter}, LEFT stile, {stand}": (LETTER, Msg("LEFT")),
    "panel {letter}, RIGHT stile, {stand}": (LETTER, Msg("RIGHT")),
    "panel {letter}, top": (LETTER, Msg("top")),
    "panel {letter}, bottom": (LETTER, Msg("bottom")),
    "panel {letter}, closing stile": (LETTER, Msg("closing stile")),
    "panel {letter}, opening": (LETTER, Msg("opening")),
    "panel {letter}, closing": (LETTER, Msg("closing")),
    "panel {letter}, opening, try {count}": (LETTER, Msg("opening, try {count}")),
    "panel {letter}, closing, try {count}": (LETTER, Msg("closing, try {count}")),
    "interlock {name}": (Msg("{name}"), NOTHING),
    "where the two leads meet": (Msg("meeting"), NOTHING),
    "{place} ({what})": (Msg("{place}"), NOTHING),
    "First mark again: {place}": (Msg("back again"), NOTHING),
    "track {number} from the room: {place}": (Msg("{place}"), Msg("track {number}")),
    "room-side line": (Msg("room side"), NOTHING),
    "weather-side line": (Msg("weather side"), NOTHING),
}
# interlocks and gaps stand over the columns, their heights beside the rows
LEVELS_DOWN = ("interlock {name}",)


def column_and_row(words: Any) -> tuple[Any, Any]:
    """Return what stands over the column and beside the row of a place; "" for nothing.

    words: of the place, as JSON. Words that are not in the table stand over the column as they are.
    """
    known = SHORT.get(words["msg"]) if isinstance(words, dict) and "msg" in words else None
    if known is None:
        return words, ""
    holes: Json = {name: short_words(part) for name, part in words.get("with", {}).items()}
    column, row = ({"msg": part.template, "with": holes} if part.template else "" for part in known)
    place = words.get("with", {}).get("place")
    if isinstance(place, dict) and place.get("msg") in LEVELS_DOWN:
        return row, column
    return column, row


def short_words(words: Any) -> Any:
    """Return the words of a place, short, in one: row and column."""
    column, row = column_and_row(words)
    return {"msg": "{row} {column}", "with": {"row": row, "column": column}} if row else column
