"""Thresholds, ways out, pools: rules that people ask about, as information only.

Each with whom it binds. Local code and its official decide; nothing here judges a door.
"""

from app.core.quantity.messages import Len, Msg, Qty
from app.core.quantity.units import FOOT, INCH, POUND_FORCE
from app.core.trade.finding import INFORMATION, Finding

# Each row is an id, a rule, and where it stands.
ROWS = (
    (
        "egress-landing",
        Msg(
            "A door that is the required way out: the landing not more than {size} below the top "
            "of the threshold; outside {deep} where no door swings over it.",
            size=Len(3 * INCH // 2),
            deep=Len(31 * INCH // 4),
        ),
        "IRC R311.3.1 (restated)",
    ),
    (
        "egress-other",
        Msg(
            "Other outside doors: a landing or step not more than {deep} below.",
            deep=Len(31 * INCH // 4),
        ),
        "IRC R311.3.2 (restated)",
    ),
    (
        "access-threshold",
        Msg(
            "Places of public access: a threshold of {size} at most; {old} where it is old and "
            "bevelled. A private house is none.",
            size=Len(INCH // 2),
            old=Len(3 * INCH // 4),
        ),
        "ADA Standards 404.2.5 (restated)",
    ),
    (
        "access-force",
        Msg(
            "Places of public access: inside sliding doors move with {force}. "
            "A private house is none.",
            force=Qty("force", 5 * POUND_FORCE),
        ),
        "ADA Standards 404.2.9 (restated)",
    ),
    (
        "multifamily",
        Msg(
            "Covered flats: an outside deck not more than {size} below the floor inside, "
            "{deep} where it is impervious.",
            size=Len(INCH // 2),
            deep=Len(4 * INCH),
        ),
        "HUD guidelines to the Fair Housing Act (seen)",
    ),
    (
        "pool",
        Msg(
            "A door from house to pool: a fence of {fence} round the pool, or an alarm of 85 dB at "
            "{far} within 7 s for 30 s. Local law decides; tell the owner in writing.",
            fence=Len(48 * INCH),
            far=Len(10 * FOOT, "place"),
        ),
        "CPSC guidelines for pools (restated)",
    ),
)


def threshold_rules() -> Finding:
    """Return all rows as information, each with its source.

    Example: threshold_rules().verdict -> "information"
    """
    return Finding(
        INFORMATION,
        [Msg("{rule} Source: {source}.", rule=rule, source=source) for _, rule, source in ROWS],
        cautions=[Msg("For information. The local code and its official decide.")],
    )
