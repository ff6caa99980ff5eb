"""What an interpreter knows of a book from one request to the next.

Whoever keeps the book (a phone's worker) tells what is new since the last request, and how many
events of each opening there are by now; where that does not add up, nothing is answered and all
must be told anew. What was folded of an opening's events is carried forward (fold.py).
"""

from app.core.kinds import Json
from app.core.record.state import State


class Shelf:
    """The book as it was told, and what was worked out of it."""

    def __init__(self) -> None:
        self._clear({})

    def _clear(self, told: Json) -> None:
        self.openings: list[Json] = told.get("openings", [])
        self.procedures: dict[str, Json] = told.get("procedures", {})
        self.people: dict[str, str] = told.get("people", {})
        self.instruments: list[Json] = told.get("instruments", [])
        self.truths: dict[str, bool] = told.get("truths", {})
        self.events: dict[str, list[Json]] = {}
        self.folds: dict[str, State] = {}
        self._known = dict(self.truths)

    def take(self, news: Json) -> bool:
        """Take what is new; return whether it adds up to what the book holds.

        news: "anew": forget all, and take "openings", "procedures", "people", "instruments" and
        "truths" as they stand; "events": opening -> those that are new, in no order; "counts":
        opening -> how many there must be by now.
        """
        if news.get("anew"):
            self._clear(news)
        for opening in news["events"]:
            self.events.setdefault(opening, []).extend(news["events"][opening])
        counts = news["counts"]
        return all([len(self.events.get(opening, [])) == counts[opening] for opening in counts])

    def lend(self, request: Json, news: Json) -> Json:
        """Return the request with the book of the openings that were counted, and the folds."""
        out = dict(request)
        held = {opening: self.events.get(opening, []) for opening in news["counts"]}
        out["book"] = {
            "openings": self.openings, "procedures": self.procedures, "events": held,
            "instruments": self.instruments,
        }  # fmt: skip
        out["people"] = self.people
        out["truths"] = self.truths
        out["folds"] = self.folds
        out["summaries"] = dict(news.get("summaries", {}))
        return out

    def learned(self, request: Json, news: Json) -> Json:
        """Return what was worked out and is worth keeping in the book: new truths, summaries."""
        truths = {id: self.truths[id] for id in self.truths if id not in self._known}
        self._known.update(truths)
        before = news.get("summaries", {})
        made = request["summaries"]
        return {"truths": truths, "summaries": {id: made[id] for id in made if id not in before}}
