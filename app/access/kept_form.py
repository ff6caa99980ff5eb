"""What was typed in a form that could not be kept: shown in words, and ready to be sent again."""

from starlette.requests import Request

from app.access.forms import BY
from app.core.entry import HIDDEN
from app.core.kinds import Json


def without_passwords(form: dict[str, str]) -> dict[str, str]:
    """Return the fields that may stand on a page again."""
    return {name: value for name, value in form.items() if "password" not in name}


def form_again(request: Request, id_: str, sent: dict[str, str]) -> Json:
    """Return a form that sends these fields to where they were sent."""
    hidden = [{"name": name, "value": value} for name, value in sent.items()]
    return {"id": id_, "action": request.url.path, "hidden": hidden, "error": "", "typed": {}}


def typed_fields(sent: dict[str, str]) -> list[Json]:
    """Return what a person typed, by the names of the fields."""
    own = [(name, value) for name, value in sent.items() if value and name not in (*HIDDEN, BY)]
    return [{"label": name, "words": value} for name, value in own]
