"""The words of a limit: "max 1/16 in any 1 ft"."""

from app.core.checks.index import spec_of
from app.core.kinds import Any, Json
from app.core.quantity.messages import Len, Msg

# limit's name -> the setting that says over which length it holds, or ""; words
LIMIT_WORDS = {
    "most": ("", Msg("max {value}")),
    "least": ("", Msg("at least {value}")),
    "plus_minus": ("", Msg("±{value}")),
    "count": ("", Msg("exactly {value}")),
    "middle": ("", Msg("middle within {value} of ends' mean")),
    "target": ("", Msg("as drawn {value}")),
    "alike": ("", Msg("even within {value}")),
    "off": ("", Msg("max {value} off the drawn figure")),
    "off_half": ("", Msg("within {value} of half the width")),
    "gap_least": ("", Msg("gap each side at least {value}")),
    "gap_most": ("", Msg("gap each side max {value}")),
    "changed": ("", Msg("max {value} change")),
    "alike_large": ("large", Msg("even within {value} in frames over {over}")),
    "agree": ("", Msg("agree within {value}")),
    "most_over": ("over", Msg("max {value} in any {over}")),
    "most_tall": ("tall", Msg("max {value} on panels over {over}")),
    "most_large": ("large", Msg("max {value} in frames over {over}")),
    "level": ("", Msg("level within {value}")),
    "rack": ("over", Msg("rack max {value} in {over} of height")),
    "rack_any": ("", Msg("max {value} in any case")),
    "margin": ("", Msg("at least {value} above dew point")),
    "humidity_most": ("", Msg("humidity max {value}")),
    "reveal": ("", Msg("gap even within {value}")),
    "interlock": ("", Msg("interlocks even within {value}")),
    "plumb": ("", Msg("meeting stiles plumb within {value}")),
    "clearance_least": ("", Msg("stiles at least {value} over sill")),
    "clearance_most": ("", Msg("stiles max {value} over sill")),
    "free": ("", Msg("lifted stiles at least {value} over sill")),
    "pressed": ("", Msg("lowered stiles max {value} over sill")),
    "surface_least": ("", Msg("surface at least {value}")),
    "surface_most": ("", Msg("surface max {value}")),
}


LEAST = ("least", "gap_least", "clearance_least", "free", "surface_least", "margin")
NEITHER = ("count", "target")


# the words of a least and a most together, as they are called out: "1/4 to 1/2"
RANGE_WORDS = {
    "least": ("most", Msg("{least} to {most}")),
    "gap_least": ("gap_most", Msg("gap each side {least} to {most}")),
    "clearance_least": ("clearance_most", Msg("stiles {least} to {most} over sill")),
    "surface_least": ("surface_most", Msg("surface {least} to {most}")),
}


def joined_limits(check: Json, values: "list[tuple[str, Any]]") -> "list[Msg]":
    """Return the limits of a check in words, a least and its most as one; values: name, amount."""
    named = spec_of(check["calc"]).limit_words
    known = {named.get(name, name): value for name, value in values}
    out = []
    for name, value in values:
        key = named.get(name, name)
        range_of = RANGE_WORDS.get(key)
        if range_of is not None and range_of[0] in known:
            least, most = _rounded(key, value), _rounded(range_of[0], known[range_of[0]])
            out.append(Msg(range_of[1].template, least=least, most=most))
        elif not any([RANGE_WORDS[least][0] == key for least in RANGE_WORDS if least in known]):
            out.append(limit_words(check, name, value))
    return out


def _rounded(key: str, value: Any) -> Any:
    """Return a length that is never shown laxer than it is."""
    if isinstance(value, Len) and key not in NEITHER:
        return Len(value.nm, "least" if key in LEAST else "most")
    return value


def limit_words(check: Json, name: str, value: Any) -> Msg:
    """Return one limit of a check in words; a limit over a stretch says over which."""
    settings = check["settings"]
    key = spec_of(check["calc"]).limit_words.get(name, name)
    over, shape = LIMIT_WORDS[key]
    value = _rounded(key, value)
    stretch = Len(int(settings[over]), "place") if over and settings.get(over) else ""
    return Msg(shape.template, value=value, over=stretch)
