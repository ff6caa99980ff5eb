"""The plan for a sill in sentences: one verb, one place, one size."""

from app.core.checks.base import position_len, shim_len
from app.core.checks.sill_plan import SillPlan, Way
from app.core.checks.sill_survey import Survey
from app.core.kinds import Any, Json
from app.core.order import sort_by
from app.core.quantity.messages import Len, Msg
from app.core.quantity.units import half_up
from app.core.where.place import Place
from app.core.where.words import standpoint_words

MILLILITRE = 10**21  # cubic nanometres
CUBIC_INCH = 25400000**3


def sill_remedies(plan: SillPlan, inputs: "list[str]") -> "list[Msg]":
    """Return what to do, in order along the sill: what goes before, then place after place.

    A plan of many places comes in groups of equal work, each with its places.
    The work on the other of two lines comes behind: without it the fall across would be another.
    """
    way = plan.advised
    out = _before_words(plan, way)
    if way is not None and sum([work.places for work in way.works]) > MOST_LINES:
        return out + _grouped_words(plan, way, inputs)
    found, behind = [], []
    for i, survey in enumerate(plan.surveys):
        if survey.input in inputs:
            found.extend(_station_words(survey, i, way or plan.pack, way is not None))
        elif way is not None:
            line = Msg("Room-side line. {does}") if i == 0 else Msg("Weather-side line. {does}")
            behind.extend(
                [
                    (x, Msg(line.template, does=does))
                    for x, does in _station_words(survey, i, way, True)
                ]
            )
    return out + [pair[1] for part in (found, behind) for pair in sort_by(part, lambda one: one[0])]


FIRST = 10**12  # nm: ranks any grinding before any shim
MOST_LINES = 6  # places said one a line; a longer plan is said in groups: common practice


def _grouped_words(plan: SillPlan, way: Way, inputs: "list[str]") -> "list[Msg]":
    """Return a long plan in groups of equal work: grinding first, then thick shims before thin.

    The lines that the check judges come before the other one.
    """
    named = len(plan.surveys) > 1
    first, behind = [], []
    for i, survey in enumerate(plan.surveys):
        lines = _groups_of_line(survey, i, way, named)
        if survey.input in inputs:
            first.extend(lines)
        else:
            behind.extend(lines)
    head = Msg(
        "Places: {count}, from LEFT jamb, {stand}. Equal work together:",
        count=sum([work.places for work in way.works]),
        stand=standpoint_words(plan.ask.drawing),
    )
    return [head] + [words for _, words in sort_by(first, _key_of) + sort_by(behind, _key_of)]


def _key_of(pair: "tuple[int, Msg]") -> int:
    return pair[0]


def _groups_of_line(survey: Survey, i: int, way: Way, named: bool) -> "list[tuple[int, Msg]]":
    """Return (rank, words) of each amount of one line: what is ground ranks first."""
    work = way.works[i]
    rows: list[Any] = []
    for k in range(len(survey.xs)):
        amount = (work.grinds[k], work.packs[k])
        if amount in ((0, 0), (0, None)):
            continue
        groups = [row for row in rows if row[0] == amount]
        if not groups:
            rows.append((amount, []))
        (groups or rows[-1:])[0][1].append(position_len(survey.xs[k]))
    return [_group_line(amount, at, i, way, named) for amount, at in rows]


def _group_line(
    amount: "tuple[int, int | None]", at: "list[Any]", i: int, way: Way, named: bool
) -> "tuple[int, Msg]":
    grind, pack = amount
    pieces = [] if way.kind == "fill" else [shim_len(one) for one in way.ladder.pieces(pack or 0)]
    params: dict[str, Any] = {"size": Len(grind) if grind else shim_len(pack or 0), "places": at}
    words = Msg("Shim {size} at {places}.", **params)
    if grind:
        words = Msg("First grind {size} at {places}.", **params)
    elif way.kind == "fill":
        words = Msg("Fill {size} at {places}.", **params)
    elif len(pieces) > 1:
        words = Msg("Shim {size} ({pieces}) at {places}.", pieces=pieces, **params)
    if named:
        line = Msg("Room-side line. {does}") if i == 0 else Msg("Weather-side line. {does}")
        words = Msg(line.template, does=words)
    return (-grind - FIRST if grind else -(pack or 0)), words


def _before_words(plan: SillPlan, way: "Way | None") -> "list[Msg]":
    if plan.head.why is not None:
        return [plan.head.why]
    if way is None:
        return _no_way(plan)
    if way.kind == "grind":
        return _why_not(plan, plan.pack) + [grinding_caution()]
    if way.kind == "fill":
        return _why_not(plan, plan.pack)
    return []


def _why_not(plan: SillPlan, way: Way) -> "list[Msg]":
    """Return why packing to the high point is not the way."""
    if not way.fits and plan.head.top is not None:
        after = max(plan.after(way)[0])
        return [
            Msg(
                "Do not shim to the high point: the frame would want {size} more under the head.",
                size=Len(after - plan.head.top),
            )
        ]
    if not way.possible:
        return [Msg("The shims in the box do not make every thickness that is needed here.")]
    return [
        Msg(
            "The thinnest shim in the box, {size}, is too thick here.",
            size=shim_len(way.ladder.step),
        )
    ]


def _no_way(plan: SillPlan) -> "list[Msg]":
    return _why_not(plan, plan.pack) + [
        Msg("No way found that serves: ask the office before anything is shimmed, ground or cut.")
    ]


def _station_words(survey: Survey, i: int, way: Way, advised: bool) -> "list[tuple[int, Msg]]":
    work = way.works[i]
    out = []
    for k, place in enumerate(survey.places):
        deviation = survey.heights[k] - work.level
        pack = work.packs[k]
        if pack != 0 or work.grinds[k]:
            does = (
                _work_words(place, deviation, pack, way)
                if advised
                else _stands_words(place, deviation)
            )
            out.append((survey.xs[k], _on_line(does, survey)))
    return out


def _on_line(does: Msg, survey: Survey) -> Msg:
    if survey.input == "room":
        return Msg("Room-side line. {does}", does=does)
    if survey.input == "weather":
        return Msg("Weather-side line. {does}", does=does)
    return does


def way_rows(plan: SillPlan) -> "list[Json]":
    """Return the ways side by side: figures as whole nanometres, sentences as Msgs."""
    return [_way_row(plan, way) for way in plan.ways]


def _way_row(plan: SillPlan, way: Way) -> Json:
    volume = plan.volume(way) if way.kind == "fill" else None
    return {
        "kind": way.kind,
        "title": way_title(way.kind),
        "advised": way is plan.advised,
        "good": way.good and plan.head.why is None,
        "places": sum([work.places for work in way.works]),
        "thickest": max([work.thickest for work in way.works]),
        "deepest": max([work.deepest for work in way.works]),
        "millilitres": None if volume is None else half_up(volume[0], volume[1] * MILLILITRE),
        "says": _way_figures(way, volume) + _sum_of(plan, way),
        "work": [_line_work(plan, way, i) for i in range(len(plan.surveys))],
    }


def _line_work(plan: SillPlan, way: Way, i: int) -> Json:
    """Return what a way does along one line: {"input", "stations"} from left to right.

    A station: "x", "pack" (None where the box cannot make it), "pieces" (shims, thickest
    first), "grind"; whole nanometres.
    """
    survey, work = plan.surveys[i], way.works[i]
    stations = [
        {
            "x": survey.xs[k],
            "pack": work.packs[k],
            "pieces": [] if way.kind == "fill" else list(way.ladder.pieces(work.packs[k] or 0)),
            "grind": work.grinds[k],
        }
        for k in range(len(survey.xs))
    ]
    return {"input": survey.input, "stations": stations}


def by_station(row: Json) -> "list[Msg]":
    """Return the work of a way of way_rows(), station by station, a sentence for each line.

    The first of two lines is the room side.
    """
    out = []
    for i, line in enumerate(row["work"]):
        done = [_done_at(row["kind"], one) for one in line["stations"] if _is_worked(one)]
        if done:
            out.append(_named_line(i, len(row["work"]), done))
    return out


def _is_worked(station: Json) -> bool:
    return station["pack"] != 0 or bool(station["grind"])


def _named_line(i: int, lines: int, done: "list[Msg]") -> Msg:
    if lines == 1:
        return Msg("From the LEFT end: {list}.", list=done)
    if i == 0:
        return Msg("Room-side line, from the LEFT end: {list}.", list=done)
    return Msg("Weather-side line, from the LEFT end: {list}.", list=done)


def _done_at(kind: str, station: Json) -> Msg:
    x, pack = position_len(station["x"]), station["pack"]
    if station["grind"]:
        return Msg("{at} grind {size}", at=x, size=Len(station["grind"]))
    if pack is None:
        return Msg("{at} no shims of the box make it", at=x)
    if kind == "fill":
        return Msg("{at} fill {size}", at=x, size=shim_len(pack))
    if len(station["pieces"]) < 2:
        return Msg("{at} shim {size}", at=x, size=shim_len(pack))
    pieces = [shim_len(piece) for piece in station["pieces"]]
    return Msg("{at} shim {size} ({pieces})", at=x, size=shim_len(pack), pieces=pieces)


def _way_figures(way: Way, volume: "tuple[int, int] | None") -> "list[Msg]":
    thick = Len(max([work.thickest for work in way.works]))
    deep = Len(max([work.deepest for work in way.works]))
    count = sum([work.places for work in way.works])
    if way.kind == "pack":
        return [Msg("Places: {count}, {size} at most.", count=count, size=thick)]
    if way.kind == "grind":
        words = {"count": count, "deep": deep, "size": thick}
        said = Msg("Places: {count}. Grind {deep} at most, shim {size} at most.", **words)
        return [said, grinding_caution()]
    return [Msg("{size} deep at most.", size=thick), _volume_said(volume)]


def _sum_of(plan: SillPlan, way: Way) -> "list[Msg]":
    if plan.head.why is not None:
        return [plan.head.why]
    if plan.head.top is None:
        return []
    return plan.head.sums(plan.surveys[0], max(plan.after(way)[0]), plan.ask)


def head_sums(plan: SillPlan) -> "list[Msg]":
    """Return the sum under the head for the way that is advised, to be shown before its remedies.

    Where the check was not given the opening heights: what packing takes at most.
    """
    way = plan.advised or plan.pack
    if plan.head.why is not None:
        return []  # stands before the remedies
    if plan.head.top is None and way.kind == "pack":
        size = Len(way.works[0].thickest)
        return [Msg("Shims take up to {size} of the room under the head.", size=size)]
    return _sum_of(plan, way)


def way_title(kind: str) -> Msg:
    """Return the name of a way."""
    if kind == "pack":
        return Msg("Shim to the high point")
    if kind == "grind":
        return Msg("Grind the high places, then shim")
    return Msg("Fill to the high point")


def grinding_caution() -> Msg:
    """Return what comes before any grinding; structure is the engineer's."""
    return Msg(
        "Before grinding: the engineer's word for a post-tensioned, heated or topped slab, "
        "and the grinder's own dust control."
    )


def _volume_said(volume: "tuple[int, int] | None") -> Msg:
    if volume is None:
        return Msg("Amount of compound: the drawing does not give the depth of the sill.")
    return Msg(
        "About {ml} ml ({cubic} cubic inches) of compound, without waste.",
        ml=half_up(volume[0], volume[1] * MILLILITRE),
        cubic=half_up(volume[0], volume[1] * CUBIC_INCH),
    )


def _stands_words(place: Place, deviation: int) -> Msg:
    if deviation > 0:
        return Msg("{place}: {size} HIGH.", place=place.title, size=Len(deviation))
    return Msg("{place}: {size} LOW.", place=place.title, size=Len(-deviation))


def _work_words(place: Place, deviation: int, pack: "int | None", way: Way) -> Msg:
    words: dict[str, Any] = {"place": place.title, "off": Len(abs(deviation))}
    if deviation > 0:
        return Msg("{place}: {off} HIGH. Grind {size}.", size=words["off"], **words)
    size = shim_len(pack or 0)
    if way.kind == "fill":
        return Msg("{place}: {off} LOW. Fill {size}.", size=size, **words)
    pieces = [shim_len(piece) for piece in way.ladder.pieces(pack or 0)]
    if len(pieces) < 2:
        return Msg("{place}: {off} LOW. Shim {size}.", size=size, **words)
    words["pieces"] = pieces
    return Msg("{place}: {off} LOW. Shim {size}: {pieces}.", size=size, **words)
