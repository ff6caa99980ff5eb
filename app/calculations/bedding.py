"""Under the sill and in the wall: sealant bed, supports, anchors."""

from typing import Any

from app.calculations.calculation import Answer, Calculation
from app.calculations.fields import Field, group, length, lengths, maybe, one
from app.core.quantity.messages import Len, Msg
from app.core.trade import anchors, bed, sealant
from app.core.trade.finding import INFORMATION
from app.core.trade.verdicts import OUT

Given = dict[str, Any]


def _bed(given: Given) -> Answer:
    laid = bed.lay_bed({name: given[name] for name in bed.FIELDS}, given["weeps"] or [])
    volume = sealant.with_waste(laid.volume, given["waste"])
    return Answer(
        {
            "cross_lines": laid.cross,
            "length": laid.length,
            "narrowest_exit": min(bay.open_for for bay in laid.bays),
            "volume": laid.volume,
            "with_waste": volume,
            "containers": containers(volume),
        },
        OUT if laid.conflicts else INFORMATION,
        [Msg("Bays: {count}, each open at the outer edge.", count=len(laid.bays))],
        [conflict.says for conflict in laid.conflicts],
        _bed_cautions(bool(given["weeps"])),
    )


def _bed_cautions(weeps: bool) -> list[Msg]:
    """Return what goes with a bed; one laid out without its weeps is not to be gunned."""
    unknown = Msg("No weeps were given: no bead is kept clear of one. Find them on the drawing.")
    return [
        *([] if weeps else [unknown]),
        Msg("No bead along the outer edge. Every weep and every bay stays open."),
        Msg("Sealant is no support: fix the rigid supports first."),
    ]


def containers(volume: int) -> list[dict[str, Any]]:
    """Return each size that sealant is sold in, and how many hold the volume."""
    return [
        {"container": one.title, "count": sealant.container_count(volume, one)}
        for one in sealant.sealant_containers()
    ]


def _supports(given: Given) -> Answer:
    places = bed.support_places(given["width"], given["must"], given["spacing"])
    said = Msg("{places} from the LEFT end.", places=[Len(at, "place") for at in places])
    return Answer({"places": places, "count": len(places)}, says=[said])


def _anchors(given: Given) -> Answer:
    zones = [
        anchors.Zone(row["at"], row["clear"], Msg("a place kept clear"), bool(row["beside"]))
        for row in given["zones"] or []
    ]
    plan = anchors.anchor_plan(given["length"], given["end"], given["spacing"], zones)
    gaps = [high - low for low, high in zip(plan.points, plan.points[1:], strict=False)]
    return Answer(
        {
            "positions": plan.points,
            "count": len(plan.points),
            "widest": max(gaps) if gaps else None,
            "conflicts": [conflict.says for conflict in plan.conflicts],
        },
        OUT if plan.conflicts else INFORMATION,
        [Msg("{places} from the start.", places=anchors.running_dimensions(plan.points))]
        if plan.points
        else [],
        [conflict.says for conflict in plan.conflicts],
        [
            Msg(
                "The pattern of the drawing or of the product's approval wins. The distance from "
                "the edge of the concrete or timber has its own rule."
            )
        ],
    )


WASTE = maybe(one("waste", "count", "per cent more for waste: a job setting"), "0")
CONTAINERS: Field = group(
    "containers",
    "how many of each size hold it",
    one("container", "words", "size"),
    one("count", "count", "how many"),
)

CALCULATIONS = (
    Calculation(
        "sealant-bed",
        "The sealant bed under a sill: cross lines clear of weeps, length, volume, containers",
        ("app.core.trade.bed.lay_bed", "app.core.trade.sealant.container_count"),
        (
            length("frame_width", "outside width of the frame"),
            length("sill_depth", "depth of the sill"),
            length("bead_width", "width of a bead"),
            length("bead_height", "height of a bead"),
            length("bead_turn_up", "turned up each jamb"),
            length("cross_line_spacing", "cross lines, greatest spacing"),
            length("bead_weep_clear", "kept clear of a weep, each side"),
            maybe(lengths("weeps", "weeps from the LEFT end", least=0)),
            WASTE,
        ),
        (
            lengths("cross_lines", "middles of the cross lines from the LEFT end"),
            length("length", "all beads together"),
            length("narrowest_exit", "narrowest way out of a bay"),
            one("volume", "volume", "sealant in place"),
            one("with_waste", "volume", "with waste"),
            CONTAINERS,
        ),
        "common practice, no source; volumes by the US gallon of 231 in³ (NIST Handbook 44)",
        _bed,
    ),
    Calculation(
        "supports",
        "Rigid supports under a sill: at every place that needs one, and between",
        ("app.core.trade.bed.support_places",),
        (
            length("width", "length of the sill"),
            lengths("must", "middles of jambs, interlocks, meeting stiles and screws"),
            length("spacing", "greatest spacing"),
        ),
        (lengths("places", "supports from the LEFT end"), one("count", "count", "how many")),
        "common practice, no source",
        _supports,
    ),
    Calculation(
        "anchors",
        "Anchors of one member as running dimensions from one end",
        ("app.core.trade.anchors.anchor_plan",),
        (
            length("length", "length of the member"),
            length("end", "first anchor from the corner"),
            length("spacing", "greatest spacing"),
            maybe(
                group(
                    "zones",
                    "places to keep clear: weeps, mullions, locks",
                    length("at", "middle, from the start"),
                    length("clear", "kept clear on each side"),
                    maybe(one("beside", "flag", "an anchor must stand at each edge")),
                    least=0,
                )
            ),
        ),
        (
            lengths("positions", "anchors from the start"),
            one("count", "count", "how many"),
            length("widest", "widest gap"),
            one("conflicts", "sentences", "what cannot be kept"),
        ),
        "n = max(1, ceil((L - 2e)/s)), evenly spread; NHBC Standards 6.7.11 for the form",
        _anchors,
    ),
)
