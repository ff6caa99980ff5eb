"""/field/o/ID/setout: what can be worked out before work starts."""

from app.core.errors import AppError
from app.core.kinds import Json
from app.core.layout import setout
from app.core.layout.surveyed import survey_so_far
from app.core.pages import common
from app.core.pages.request import Page, Request
from app.core.pictures import drawings
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.core.record.state import State, setting_letters
from app.core.trade import bed, setting
from app.core.trade.drawing import Drawing


def get(request: Request) -> Page:
    """Return the set-out of an opening: its sections, and what the drawing leaves open."""
    id = request.parts[1]
    opening = request.opening(id)
    _found, sections = worked_out(request.state(id), request.speaker)
    back = common.page_link(common.path_of(id), request.say(Msg("Opening")))
    page = common.page_frame(request, request.say(Msg("Layout")), opening, back)
    job = common.path_of(id, "setout", "job")
    return Page("field/setout.html", {"page": page, "sections": sections, "job": job})


def worked_out(state: State, speaker: Speaker) -> "tuple[Json, list[Json]]":
    """Return the set-out of an opening (layout/setout.py), and its sections for the template."""
    found = setout.setout_of(state.drawing, surveyed=survey_so_far(state))
    sections = [
        _section_shown(speaker, state, section, found["sill"]) for section in found["sections"]
    ]
    for kind, title, lead in _OPEN:
        if found[kind]:
            open_ones = [speaker.say(sentence) for sentence in found[kind]]
            block = _section_block(kind, speaker.say(title), missing=open_ones)
            block["lead"] = speaker.say(lead)
            sections.insert(0, block)
    return found, sections


_OPEN = (
    (
        "unmeasured",
        Msg("Still to measure"),
        Msg("Some of the material follows from readings that are still to be taken:"),
    ),
    (
        "missing",
        Msg("Missing from the drawing"),
        Msg("The drawing does not give what this needs. Ask for:"),
    ),
    (
        "questions",
        Msg("To be questioned on the drawing"),
        Msg("What is drawn cannot be, or does not add up. Ask the office:"),
    ),
)


def in_words(section: Json, speaker: Speaker) -> Json:
    """Return a section of layout/setout.py for the template, without a picture."""
    return _section_block(
        section["id"],
        speaker.say(section["title"]),
        says=[speaker.say(note) for note in section["notes"]],
        heads=[speaker.say(head) for head in section["heads"]],
        rows=[[unbroken_lengths(speaker.say(cell)) for cell in row] for row in section["rows"]],
        cautions=[speaker.say(caution) for caution in section["cautions"]],
    )


def unbroken_lengths(text: str) -> str:
    """Return a text in whose lengths no line ends: 1' 7 at the end of one, 13/16" on the next.

    Example: unbroken_lengths("1' 7 13/16 up") -> "1'\u00a07\u00a013/16 up"
    """
    out = list(text)
    for i in range(1, len(text) - 1):
        if text[i] == " " and text[i - 1] in "0123456789'" and text[i + 1] in "0123456789":
            out[i] = "\u00a0"
    return "".join(out)


def _section_shown(speaker: Speaker, state: State, section: Json, sill: Json) -> Json:
    out = in_words(section, speaker)
    out["picture"] = _section_picture(speaker, state, section["id"], sill)
    if section["id"] == "order":
        out["stages"] = _setting_stages(speaker, state.drawing)
        for row in [out["heads"]] + out["rows"]:
            del row[WHY]  # the reasons stand at the stages
    return out


WHY = 3  # column of the section "order"


def _setting_stages(speaker: Speaker, drawing: Drawing) -> "list[Json]":
    """Return for each turn of setting: what goes in, why now, and the tracks as they stand."""
    room = drawing.data.get("set_from") == "room"
    side = Msg("the room side") if room else Msg("outside")
    pictures = drawings.stage_pictures(drawing, speaker)
    return [
        {
            "id": str(turn.number),
            "title": speaker.say(
                Msg(
                    "{number}. Panel {letter}, from {side}",
                    number=turn.number,
                    letter=turn.panel.letter,
                    side=side,
                )
            ),
            "says": [speaker.say(reason) for reason in turn.reasons],
            "picture": picture,
        }
        for turn, picture in zip(setting.setting_order(drawing), pictures)
    ]


def _section_block(
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
        "stages": [],
        "lead": "",
        "missing": missing or [],
        "cautions": cautions or [],
    }


def _section_picture(speaker: Speaker, state: State, id: str, sill: Json) -> "Json | None":
    try:
        if id == "order":
            letters = setting_letters(state.drawing)
            return drawings.plan_picture(state.drawing, speaker, letters)
        if id == "bed":
            laid = bed.of_drawing(state.drawing)
            return drawings.sill_layout(laid, speaker, sill["anchors"], sill["supports"])
    except AppError:
        return None  # the section's own words say what is missing
    return None
