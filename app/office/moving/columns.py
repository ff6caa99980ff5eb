"""What the columns of the template mean, for the page that explains it."""

from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.trade.door_systems import DOOR_SYSTEMS
from app.core.trade.drawing import AMOUNTS, COUNTS, LENGTHS
from app.core.trade.planted import FAULTS

_SAID = (
    ("job", Msg("name of the job; rows with the same name and address are one job")),
    ("address", Msg("its address")),
    ("homeowner", Msg("may be empty")),
    ("builder", Msg("who built the opening; may be empty")),
    ("letter", Msg("letter of the opening, once in a job")),
    ("room", Msg("the room")),
    ("crew", Msg("the names that installers sign in with, a space between")),
    ("procedure", Msg("its id, or id@version; empty where there is only one")),
    ("depth", Msg("short or full; empty: as the job has it, else the company")),
    ("practice", Msg("empty for a door that is set; to practice on: table or mock-up")),
    (
        "faults",
        Msg("planted to practice on: kind; at; size, a | between two. Kinds: {kinds}",
            kinds=", ".join(FAULTS)),
    ),
    ("number", Msg("number of the drawing")),
    ("revision", Msg("may be empty")),
    ("author", Msg("may be empty")),
    ("date", Msg("year-month-day")),
    (
        "door",
        Msg(
            "one of: {words}",
            words=[Msg("{id} ({words})", id=id, words=words) for id, words in DOOR_SYSTEMS],
        ),
    ),
    ("lock", Msg("left or right, seen from outside")),
    ("set_from", Msg("outside or room")),
    ("rule", Msg("simple or guarded")),
    (
        "panel_1_kind … panel_12_mass",
        Msg("panels from the left: kind X, O or P, track, width, height, lead (yes), weight"),
    ),
)  # fmt: skip
_LISTS = (
    ("weeps", Msg("places from the LEFT end of the frame, a | between")),
    ("shims", Msg("sizes, a | between")),
    ("locks", Msg("heights up the jamb from the foot of the frame, a | between")),
    ("parts", Msg("mark; what; count; step, a | between two parts")),
    ("limits", Msg("check.limit = amount, a | between two limits")),
)


def described_columns(speaker: Speaker) -> list[Json]:
    """Return each column with what it means."""
    rows = [(name, words) for name, words in _SAID]
    rows += [(name, Msg(words)) for name, words, _ in LENGTHS]
    rows += [(name, Msg(words)) for name, words in COUNTS]
    rows += [(name, Msg(words)) for name, _, words in AMOUNTS]
    return [{"name": name, "text": speaker.say(words)} for name, words in [*rows, *_LISTS]]
