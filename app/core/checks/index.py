"""Which module has which calculation; the name on the left is what a procedure's `calc:` says."""

from app.core.checks.base import Ask, Outcome, Spec
from app.core.kinds import Callable

CLOCK = "time-between"  # what a clock of a step is compiled into
CALCS = {
    "each-within": ("plain", "each_within"),
    "against-drawing": ("plain", "against_drawing"),
    "alike": ("alike", "alike"),
    "middle-of-ends": ("middle", "middle_of_ends"),
    "unchanged": ("alike", "unchanged"),
    "middle-of-three": ("middle", "middle_of_three"),
    "all-counted": ("plain", "all_counted"),
    "answered-yes": ("plain", "answered_yes"),
    "noted": ("plain", "noted"),
    "level-range": ("sill", "level_range"),
    "level-local": ("sill", "level_local"),
    "cross-fall": ("sill_across", "cross_fall"),
    "closing-error": ("sill", "closing_error"),
    "height-stack": ("sill_stack", "height_stack"),
    "fit": ("opening", "fit"),
    "lean": ("lean", "lean"),
    "square": ("frame", "square"),
    "twist": ("twist", "twist"),
    "jambs-twist": ("twist", "jambs_twist"),
    "head-sag": ("head", "head_sag"),
    "head-over-sill": ("head", "head_over_sill"),
    "roller-gap": ("rollers", "roller_gap"),
    "door-closes": ("door_closes", "door_closes"),
    "stiles-alike": ("stiles", "stiles_alike"),
    "panel-lift": ("lifted", "panel_lift"),
    "joint-depth": ("joint", "joint_depth"),
    "dew-window": ("dew", "dew_window"),
    CLOCK: ("clock", "time_between"),
}


# a page asks for them a thousand times
_LOADED: "dict[str, tuple[Callable[[Ask], Outcome], Spec]]" = {}


def spec_of(name: str) -> Spec:
    """Return the Spec of a calculation."""
    return load(name)[1]


def load(name: str) -> "tuple[Callable[[Ask], Outcome], Spec]":
    """Return a calculation and its Spec; only the module that has it is imported."""
    if name not in _LOADED:
        module_name, function = CALCS[name]
        module = __import__("app.core.checks." + module_name, None, None, [function])
        _LOADED[name] = getattr(module, function), getattr(module, function.upper() + "_SPEC")
    return _LOADED[name]
