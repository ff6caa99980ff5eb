"""What the drawing of a door leaves open, though a crew's step cannot be signed without it."""

from app.core.checks.index import spec_of
from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.record import judge
from app.core.record.state import State
from app.core.trade.drawing import title_of
from app.office.pages import field_id

OF_PANELS = ("panel_width", "panel_height")  # each panel has its own, and must have it


def fields_that_stop(state: State) -> dict[str, list[str]]:
    """Return the fields of the drawing that are open and stop a crew, by the id of the step.

    A field stands with the first step that it stops.
    """
    out: dict[str, list[str]] = {}
    told: set[str] = set()
    for step in state.steps:
        for check in judge.checks_of(state, step):
            fresh = [name for name in _open_fields(state, check) if name not in told]
            told.update(fresh)
            if fresh:
                out.setdefault(step.id, []).extend(fresh)
    return out


def _open_fields(state: State, check: Json) -> list[str]:
    spec = spec_of(check["calc"])
    limits = [one for one in judge.limits_of(state, check) if one["name"] not in spec.aims]
    given = [one["field"] for one in limits if one["value"] is None]
    read = [*spec.needs, *([check["settings"].get("field", "")] if spec.drawn else [])]
    read = [name for name in read if name not in OF_PANELS]
    every = [*given, *(name for name in read if name and state.drawing.value(name) is None)]
    return [name for name in dict.fromkeys(every) if name]


def stops_shown(speaker: Speaker, state: State) -> Json:
    """Return which steps are stopped, in a line, and a line for each with links to the fields."""
    titles = {step.id: step.data["title"] for step in state.steps}
    stopped = fields_that_stop(state)
    words = Msg("It can be issued, but the crew is stopped at: {steps}", steps=", ".join(stopped))
    return {
        "title": speaker.say(words),
        "lines": [
            {
                "title": speaker.say(Msg("{id} {title}", id=step, title=Msg(titles[step]))),
                "fields": [_link_to(speaker, name, name == names[-1]) for name in names],
            }
            for step, names in stopped.items()
        ],
    }


def _link_to(speaker: Speaker, name: str, is_last: bool) -> Json:
    after = "" if is_last else ", "
    return {"text": speaker.say(Msg(title_of(name))), "href": "#" + field_id(name), "after": after}
