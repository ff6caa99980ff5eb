"""Sealant by volume, joints for movement, weather for sealing."""

from typing import Any

from app.calculations.bedding import CONTAINERS, WASTE, containers
from app.calculations.calculation import Answer, Calculation, of_finding
from app.calculations.fields import Field, choice, length, maybe, one
from app.calculations.limits import limit
from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.trade import dew, heat, joint, sealant
from app.core.trade.anchors import ceil_div
from app.core.trade.heat import Difference, Expansion

Given = dict[str, Any]

SECTION: tuple[Field, ...] = (
    choice("shape", "joint (filled), fillet (triangle) or round", "joint", "fillet", "round"),
    length("size", "width of the joint, leg of the fillet, or diameter"),
    maybe(length("depth", "depth of a filled joint")),
)


def _section(given: Given) -> int:
    if given["shape"] == "joint":
        if given["depth"] is None:
            raise InputError("input-missing", Msg("“depth” is missing: depth of a filled joint."))
        return sealant.rectangular_section(given["size"], given["depth"])
    return (sealant.fillet_section if given["shape"] == "fillet" else sealant.round_bead)(
        given["size"]
    )


def _reach(given: Given) -> Answer:
    section = _section(given)
    rows = [
        {"container": each.title, "length": sealant.bead_reach(section, each.volume)}
        for each in sealant.sealant_containers()
    ]
    return Answer({"reach": rows}, cautions=[_fillet_caution()])


def _fillet_caution() -> Msg:
    return Msg("A filled joint takes twice what a fillet of the same size does: mind the chart.")


def _volume(given: Given) -> Answer:
    volume = _section(given) * given["length"]
    wasted = sealant.with_waste(volume, given["waste"])
    return Answer({"volume": volume, "with_waste": wasted, "containers": containers(wasted)})


def _movement(given: Given) -> Answer:
    difference = Difference(given["difference"], "F" if given["units"] == "in" else "C")
    if given["coefficient"] is not None:
        own = _own_expansion(given["coefficient"]).per(difference.unit)
        grown = heat.thermal_movement(given["length"], own, difference)
        return Answer({"movement": grown, "coefficient_source": "the request"})
    grown = heat.material_growth(given["length"], given["material"], difference)
    source = heat.MATERIALS[given["material"]].source
    return Answer({"movement": grown, "coefficient_source": source})


def _own_expansion(text: str) -> Expansion:
    """Return a coefficient as typed: 23.6 /K, 23.6 /°C or 13.1 /°F, in millionths.

    Errors: InputError 'coefficient-unread'.
    """
    amount, _, degree = text.replace(" ", "").partition("/")
    unit = {"K": "C", "°C": "C", "C": "C", "°F": "F", "F": "F"}.get(degree)
    whole, _, part = amount.partition(".")
    digits = (whole + part).isascii() and (whole + part).isdigit() and len(amount) <= 12
    if unit is None or not digits:
        raise InputError(
            "coefficient-unread",
            Msg("“{text}” is no coefficient. Write it like 23.6 /K or 13.1 /°F.", text=text),
            field="coefficient",
        )
    return Expansion(ceil_div(int(whole + part) * heat.MICRO, 10 ** len(part)), unit)


def _moisture(given: Given) -> Answer:
    moved = heat.moisture_movement(given["size"], given["wood"], given["first"], given["second"])
    return Answer({"movement": moved})


def _width(given: Given) -> Answer:
    needed = joint.joint_width(
        given["thermal"], given["other"], given["tolerance"], given["capability"]
    )
    if given["measured"] is None:
        return Answer({"needed": needed})
    return of_finding(joint.judge_width(given["measured"], needed), needed=needed)


def _depth(given: Given) -> Answer:
    width = given["width"]
    narrow, wide = (None, None)
    if given["capability"] is not None:
        narrow, wide = joint.range_of(width, given["capability"])
    found = joint.depth_and_rod(width)
    return of_finding(
        found,
        depth=joint.sealant_depth(width),
        rod=joint.backer_rod(width),
        narrowest=narrow,
        widest=wide,
    )


def _shear(given: Given) -> Answer:
    width, shift, capability = given["width"], given["shift"], given["capability"]
    return of_finding(
        joint.judge_shear(width, shift, capability),
        stretched=joint.joint_elongation(width, shift),
        needed=joint.shear_width(shift, capability),
    )


def _dew(given: Given) -> Answer:
    limits = dew.Limits(
        given["margin"], given["humidity_most"], given["surface_least"], given["surface_most"]
    )
    air, humidity = given["air"], given["humidity"]
    found = dew.sealing_window(given["surface"], air, humidity, limits, given["hottest"])
    point, taken = dew.dew_point_taken(air, humidity)
    return of_finding(found, dew_point=point, taken_as_zero=taken, needed=point + given["margin"])


def _cure(given: Given) -> Answer:
    depth = given["depth"]
    found = dew.cure_estimate(depth, given["air"], given["humidity"])
    return of_finding(
        found,
        fast=dew.cure_time(depth, dew.CURE_FAST),
        slow=dew.cure_time(depth, dew.CURE_SLOW),
        days=(ceil_div(10 * dew.cure_time(depth, dew.CURE_SLOW), dew.DAY), 1),
    )


_CAPABILITY = one("capability", "fraction", "movement capability of the sealant, such as 25 %")

CALCULATIONS = (
    Calculation(
        "sealant-reach",
        "How far each size of container reaches at a section",
        ("app.core.trade.sealant.bead_reach",),
        SECTION,
        (
            Field(
                "reach",
                "group",
                "reach of each size",
                many=True,
                fields=(one("container", "words", "size"), length("length", "how far it reaches")),
            ),
        ),
        "length = volume / section; 1 US gallon = 231 in³ (NIST Handbook 44, appendix C)",
        _reach,
    ),
    Calculation(
        "sealant-volume",
        "Sealant for a length of joint, with waste, in each size of container",
        ("app.core.trade.sealant.with_waste", "app.core.trade.sealant.container_count"),
        (*SECTION, length("length", "length of the joint"), WASTE),
        (
            one("volume", "volume", "in place"),
            one("with_waste", "volume", "with waste"),
            CONTAINERS,
        ),
        "volume = section x length; 1 US gallon = 231 in³ (NIST Handbook 44, appendix C)",
        _volume,
    ),
    Calculation(
        "movement",
        "How much heat moves a length",
        ("app.core.trade.heat.material_growth",),
        (
            length("length", "length of the member"),
            choice("material", "what it is made of", *sorted(heat.MATERIALS)),
            maybe(one("coefficient", "text", "its own, in millionths, like 23.6 /K or 13.1 /°F")),
            one("difference", "temperature-difference", "from coldest to hottest", signed=True),
        ),
        (
            length("movement", "by how much it grows or shrinks"),
            one("coefficient_source", "text", "source of the coefficient"),
        ),
        "e L ΔT, the form of ASTM C1472; each coefficient names its source",
        _movement,
    ),
    Calculation(
        "moisture-movement",
        "How much wood swells or shrinks with moisture",
        ("app.core.trade.heat.moisture_movement",),
        (
            length("size", "size across the grain"),
            choice("wood", "kind and grain", *sorted(heat.WOOD)),
            one("first", "fraction", "moisture content before, 6 to 14 %"),
            one("second", "fraction", "moisture content after, 6 to 14 %"),
        ),
        (length("movement", "by how much it changes"),),
        "Wood Handbook FPL-GTR-190 table 13-5 (seen)",
        _moisture,
    ),
    Calculation(
        "joint-width",
        "Least width of a sealant joint that takes its movement",
        ("app.core.trade.joint.joint_width", "app.core.trade.joint.judge_width"),
        (
            length("thermal", "movement by heat"),
            maybe(length("other", "other movement: moisture, drift"), "0 in"),
            maybe(length("tolerance", "tolerance of the opening"), "0 in"),
            _CAPABILITY,
            maybe(length("measured", "width of the joint as it is, to be judged")),
        ),
        (length("needed", "least width"),),
        "W = (100/X)(e L ΔT + M) + t, the form of ASTM C1472, as taught in a university course",
        _width,
    ),
    Calculation(
        "joint-depth",
        "Depth of sealant and backer rod for a width, and how far the joint may move",
        (
            "app.core.trade.joint.sealant_depth",
            "app.core.trade.joint.backer_rod",
            "app.core.trade.joint.range_of",
        ),
        (length("width", "width of the joint"), maybe(_CAPABILITY)),
        (
            length("depth", "depth of sealant"),
            length("rod", "backer rod"),
            length("narrowest", "as narrow as it may get"),
            length("widest", "as wide as it may get"),
        ),
        "a county government's project specification 07 92 00 (seen); classes of ISO 11600",
        _depth,
    ),
    Calculation(
        "joint-shear",
        "A joint whose sides slide along each other",
        ("app.core.trade.joint.joint_elongation", "app.core.trade.joint.shear_width"),
        (
            length("width", "width of the joint"),
            length("shift", "how far the sides slide"),
            _CAPABILITY,
        ),
        (
            one("stretched", "fraction", "by how much the sealant is stretched"),
            length("needed", "least width for that"),
        ),
        "sqrt(w² + s²)/w - 1 (Pythagoras)",
        _shear,
    ),
    Calculation(
        "dew-window",
        "Whether a joint may be sealed by temperature and humidity",
        ("app.core.trade.dew.sealing_window", "app.core.trade.dew.dew_point_taken"),
        (
            one("surface", "temperature", "surface, its coldest place"),
            maybe(one("hottest", "temperature", "surface, its hottest place")),
            one("air", "temperature", "air"),
            one("humidity", "fraction", "relative humidity of the air"),
        ),
        (
            one("dew_point", "temperature", "dew point to work with"),
            one("taken_as_zero", "flag", "whether 0 °C was taken for a lower one"),
            one("needed", "temperature", "surface that is warm enough"),
        ),
        "WMO No. 8 annex 4.B (restated); below zero 0 °C is taken, on the safe side",
        _dew,
        (
            limit("dew-window", "margin", "over the dew point, least", "temperature-difference"),
            limit("dew-window", "humidity_most", "relative humidity, most", "fraction"),
            maybe(limit("dew-window", "surface_least", "the product's coldest", "temperature")),
            maybe(limit("dew-window", "surface_most", "the product's hottest", "temperature")),
        ),
    ),
    Calculation(
        "cure",
        "An estimate of how long sealant takes; it never says that it is cured",
        ("app.core.trade.dew.cure_estimate", "app.core.trade.dew.cure_time"),
        (
            length("depth", "from the open face to the farthest sealant"),
            maybe(one("air", "temperature", "air")),
            maybe(one("humidity", "fraction", "relative humidity")),
        ),
        (
            one("fast", "duration", "at 3 mm in the first day"),
            one("slow", "duration", "at 2 mm in the first day"),
            one("days", "decimal", "the slow one in days"),
        ),
        "2 to 3 mm in the first 24 h at 23 °C and 50 %, then with the root of time: from memory",
        _cure,
    ),
)
