"""The procedures that openings use."""

import json

from sqlmodel import Session

from app.core.kinds import Json
from app.store.tables import Procedure

NAMING = ("opening.issued", "procedure.moved")


class Procedures:
    """Compiled procedures, parsed once: they never change."""

    def __init__(self) -> None:
        self._parsed: dict[tuple[str, int], Json] = {}

    def of(self, session: Session, events: list[Json]) -> list[Json]:
        """Return each procedure that one of these events issues an opening with, or moves it to.

        So they reach a phone in the same page as the event that needs them, and only then.
        """
        issued = [event["body"] for event in events if event["kind"] in NAMING]
        keys = dict.fromkeys((body["procedure"], body["version"]) for body in issued)
        return [self._one(session, key) for key in keys]

    def _one(self, session: Session, key: tuple[str, int]) -> Json:
        if key not in self._parsed:
            self._parsed[key] = json.loads(session.get_one(Procedure, key).text)
        return self._parsed[key]
