"""What matters to whoever lives with the door: a row a thing, the worst figure, limit, verdict."""

from app.core.kinds import Json
from app.core.pages import common
from app.core.quantity.messages import Msg
from app.core.record.matters import MATTERS
from app.homeowner import figures
from app.homeowner.wording import Teller

LEFT = Msg("left as it is")


def table(teller: Teller, known: Json) -> Json | None:
    """Return the table of what matters; None where the procedure's checks name no row."""
    checks = [check for step in known["steps"] for check in step["checks"]]
    rows = [
        _row(teller, title, here)
        for name, title in MATTERS
        if (here := [check for check in checks if check.get("matters") == name])
    ]
    heads = (Msg("What matters"), Msg("Worst measured"), Msg("Allowed"), Msg("Verdict"))
    return {"heads": [teller.say(words) for words in heads], "rows": rows} if rows else None


def _row(teller: Teller, title: Msg, checks: list[Json]) -> Json:
    worst = figures.worst_of(checks)
    return {
        "title": teller.say(title),
        "worst": figures.figure_text(teller, worst) or "–",
        "allowed": figures.allowed_text(teller, worst) or "–",
        "badge": verdict_of(teller, worst),
    }


def verdict_of(teller: Teller, check: Json) -> Json:
    """Return a check's verdict as a badge; what was conceded is never shown as within."""
    if "conceded" in check or "provisional" in check:
        return {"kind": "info", "word": teller.say(LEFT)}
    if check.get("only_noted"):
        return {"kind": "info", "word": teller.say(Msg("noted"))}
    return common.verdict_badge(teller, check["verdict"])
