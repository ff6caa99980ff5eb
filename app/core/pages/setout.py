"""/field/o/ID/setout: what can be worked out before work starts."""

from app.core import drawings, setout
from app.core.errors import AppError
from app.core.kinds import Json
from app.core.pages import common
from app.core.pages.request import Page, Request
from app.core.record.state import State, setting_letters
from app.core.trade import bed
from app.core.words import Msg


def get(request: Request) -> Page:
    """Return the set-out of an opening: its sections, and what the drawing leaves open."""
    id = request.parts[1]
    opening = request.opening(id)
    state = request.state(id)
    found = setout.setout(state.drawing)
    back = common.link(common.path_of(id), request.say(Msg("Opening")))
    sections = [_section(request, state, section, found["sill"]) for section in found["sections"]]
    for kind, title, sentences in (
        ("missing", Msg("Missing from the drawing"), found["missing"]),
        ("questions", Msg("To be questioned on the drawing"), found["questions"]),
    ):
        if sentences:
            open_ones = [request.say(sentence) for sentence in sentences]
            sections.insert(0, _block(kind, request.say(title), missing=open_ones))
    page = common.frame(request, request.say(Msg("Set-out")), opening, back)
    return Page("field/setout.html", {"page": page, "sections": sections})


def _section(request: Request, state: State, section: Json, sill: Json) -> Json:
    out = _block(
        section["id"],
        request.say(section["title"]),
        says=[request.say(note) for note in section["notes"]],
        heads=[request.say(head) for head in section["heads"]],
        rows=[[request.say(cell) for cell in row] for row in section["rows"]],
        cautions=[request.say(caution) for caution in section["cautions"]],
    )
    out["picture"] = _picture(request, state, section["id"], sill)
    return out


def _block(
    id: str,
    title: str,
    says: "list[str] | None" = None,
    heads: "list[str] | None" = None,
    rows: "list[list[str]] | None" = None,
    missing: "list[str] | None" = None,
    cautions: "list[str] | None" = None,
) -> Json:
    return {
        "id": id,
        "title": title,
        "says": says or [],
        "heads": heads or [],
        "rows": rows or [],
        "picture": None,
        "missing": missing or [],
        "cautions": cautions or [],
    }


def _picture(request: Request, state: State, id: str, sill: Json) -> "Json | None":
    try:
        if id == "order":
            letters = setting_letters(state.drawing)
            return drawings.plan(state.drawing, request.speaker, letters)
        if id == "bed":
            laid = bed.of_drawing(state.drawing)
            return drawings.sill_layout(laid, request.speaker, sill["anchors"], sill["supports"])
    except AppError:
        return None  # the section's own words say what is missing
    return None
