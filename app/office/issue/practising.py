"""An opening to practise on, as the form and the columns of a CSV have it.

practice    "" for a door that is set, else where it is practised: mock-up
"""

from collections.abc import Callable

from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.record.events import MOCK_UP
from app.office.pages import form_field

WAYS = {
    "": Msg("No: a door that is set"),
    MOCK_UP: Msg("Yes, on a mock-up in the shop"),
}
_HINT = Msg("cannot be changed later; counts in no figure, and no owner is written to")


def way_field(say: Callable[[Msg], str], texts: dict[str, str], error: str) -> Json:
    """Return the field that says whether an opening is to practise on."""
    now = texts.get("practice", "")
    choices = [
        {"value": way, "text": say(words), "chosen": way == now} for way, words in WAYS.items()
    ]
    label = say(Msg("To practice on"))
    return form_field(
        "practice", label, now, kind="select", hint=say(_HINT), error=error, choices=choices
    )


def read_practice(texts: dict[str, str]) -> tuple[Json | None, dict[str, Msg]]:
    """Return what is said of practice, None for a door that is set; and what is wrong, by field."""
    way = texts.get("practice", "").strip().casefold()
    if way not in WAYS:
        choices = ", ".join(name for name in WAYS if name)
        return None, {"practice": Msg("Choose one of: {choices}.", choices=choices)}
    return ({"way": way, "faults": []} if way else None), {}


def texts_of(practice: Json | None) -> dict[str, str]:
    """Return what is said of practice as flat texts, read again as the same."""
    return {} if practice is None else {"practice": practice["way"]}
