"""The words of a limit: "at most 1/16 in any 1 ft"."""

from app.core.checks.index import spec_of
from app.core.kinds import Any, Json
from app.core.quantity.messages import Len, Msg

# limit's name -> the setting that says over which length it holds, or ""; words
LIMIT_WORDS = {
    "most": ("", Msg("at most {value}")),
    "least": ("", Msg("at least {value}")),
    "count": ("", Msg("exactly {value}")),
    "middle": ("", Msg("middle within {value} of the ends' mean")),
    "target": ("", Msg("as drawn {value}")),
    "alike": ("", Msg("even within {value}")),
    "off": ("", Msg("at most {value} off the drawn figure")),
    "off_half": ("", Msg("within {value} of half the width")),
    "gap_least": ("", Msg("gap at each side at least {value}")),
    "gap_most": ("", Msg("gap at each side at most {value}")),
    "changed": ("", Msg("changed by at most {value}")),
    "alike_large": ("large", Msg("even within {value} in frames over {over}")),
    "agree": ("", Msg("readings agree within {value}")),
    "most_over": ("over", Msg("at most {value} in any {over}")),
    "most_tall": ("tall", Msg("at most {value} on panels over {over}")),
    "most_large": ("large", Msg("at most {value} in frames over {over}")),
    "level": ("", Msg("level within {value}")),
    "rack": ("over", Msg("rack at most {value} in {over} of height")),
    "rack_any": ("", Msg("rack at most {value} in any case")),
    "margin": ("", Msg("at least {value} warmer than the dew point")),
    "humidity_most": ("", Msg("humidity at most {value}")),
    "reveal": ("", Msg("closing gap even within {value}")),
    "interlock": ("", Msg("interlocks even within {value}")),
    "plumb": ("", Msg("meeting stiles plumb within {value}")),
    "clearance_least": ("", Msg("stiles at least {value} over the sill")),
    "clearance_most": ("", Msg("stiles at most {value} over the sill")),
    "free": ("", Msg("lifted stiles at least {value} over the sill")),
    "pressed": ("", Msg("lowered stiles at most {value} over the sill")),
    "surface_least": ("", Msg("surface at least {value}")),
    "surface_most": ("", Msg("surface at most {value}")),
}


LEAST = ("least", "gap_least", "clearance_least", "free", "surface_least", "margin")
NEITHER = ("count", "target")


def limit_words(check: Json, name: str, value: Any) -> Msg:
    """Return one limit of a check in words; a limit over a stretch says over which."""
    settings = check["settings"]
    key = spec_of(check["calc"]).limit_words.get(name, name)
    over, shape = LIMIT_WORDS[key]
    if isinstance(value, Len) and key not in NEITHER:
        value = Len(value.nm, "least" if key in LEAST else "most")
    stretch = Len(int(settings[over]), "place") if over and settings.get(over) else ""
    return Msg(shape.template, value=value, over=stretch)
