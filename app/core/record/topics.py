"""What an event is about, as its procedure has it: more names that the ledger files it under.

A correction says which check it was about; which points' readings it spoils is in the procedure.
Who asks for one topic is not troubled by events about others.
"""

from app.core.kinds import Json

KINDS_WITH_TOPICS = (
    "photo.taken",
    "setup.tied",
    "correction.made",
    "adjustment.made",
    "judgement.given",
    "concession.given",
    "opening.reviewed",
)


class Topics:
    """The topics of events on openings of one procedure."""

    def __init__(self, procedure: Json) -> None:
        self.checks: dict[str, Json] = {}
        self.adjustments: dict[str, Json] = {}
        for step in procedure["steps"]:
            for check in step["checks"]:
                self.checks.setdefault(check["id"], check)
            for adjustment in step["adjustments"]:
                self.adjustments.setdefault(adjustment["id"], adjustment)

    def of(self, event: Json) -> "list[str]":
        """Return the topics of an event that counts; none of most."""
        kind, body = event["kind"], event["body"]
        if kind == "photo.taken":
            return [photo_topic(body["step"], body["task"])]
        if kind == "setup.tied":
            return [tie_topic(body["point"], body["panel"])]
        if kind == "correction.made":
            own = correction_topic(body["check"], body["panel"])
            return [own] + _spoil_topics(self.spoiled_by_correction(body))
        if kind == "adjustment.made":
            own = adjustment_topic(body["step"])
            return [own] + _spoil_topics(self.spoiled_by_adjustment(body))
        if kind in ("judgement.given", "concession.given", "opening.reviewed"):
            lines = [written_topic(v["check"], v["panel"]) for v in body.get("verdicts", [])]
            return lines + _spoil_topics(body.get("again", []))
        return []

    def spoiled_by_adjustment(self, body: Json) -> "list[str]":
        """Return the points, and clocks, of which an adjustment may spoil entries."""
        moved = self.adjustments.get(body["adjustment"])
        return [] if moved is None else list(moved["stale"])

    def spoiled_by_correction(self, body: Json) -> "list[str]":
        """Return the same of a correction."""
        if "places" in body:
            return [key.partition("|")[0] for key in body["places"]]
        check = self.checks.get(body["check"])
        if check is None:
            return []
        clock = [check["id"]] if check.get("clock") else []
        return clock + [check["points"][input] for input in check["points"]]


def _spoil_topics(points: "list[str]") -> "list[str]":
    out: list[str] = []
    for point in points:
        if spoil_topic(point) not in out:
            out.append(spoil_topic(point))
    return out


def spoil_topic(point: str) -> str:
    """Return the topic of what may spoil the entries of a point, or of a clock."""
    return "spoils|" + point


def photo_topic(step: str, task: str) -> str:
    """Return the topic of the photos of a task."""
    return "photo|" + step + "|" + task


def tie_topic(point: str, panel: str) -> str:
    """Return the topic of the new set-ups of a level line."""
    return "tie|" + point + "|" + panel


def correction_topic(check: str, panel: str) -> str:
    """Return the topic of what was done about a check."""
    return "correction|" + check + "|" + panel


def adjustment_topic(step: str) -> str:
    """Return the topic of the adjustments that were made in a step."""
    return "adjustment|" + step


def written_topic(check: str, panel: str) -> str:
    """Return the topic of the verdicts that the office wrote for a check."""
    return "written|" + check + "|" + panel
