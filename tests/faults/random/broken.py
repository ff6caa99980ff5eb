"""Offices and phones that are broken on purpose: the run must find each, or it proves nothing."""

import functools
from collections.abc import Callable
from typing import Any

from app.store import log
from app.sync import server

# part of static/field -> what is replaced by what
PHONES: dict[str, dict[str, list[tuple[str, str]]]] = {
    # lets its entries go when it sends them, not when it has the receipts
    "hasty-phone": {
        "offer": [
            (
                'const answer = await sync.ask("/sync"',
                'await book.transact("readwrite", (tx) => { for (const { seq } of places) '
                'tx.objectStore("outbox").delete(seq); });\n'
                'const answer = await sync.ask("/sync"',
            )
        ]
    },
    # believes that it holds what the office holds, whatever epoch, count and digest say
    "trusting-phone": {
        "pull": [
            (
                'found.length === page.count && await ids.digest(lines.join("")) === page.digest',
                "true",
            ),
            ("if (news.epoch && news.epoch !== page.epoch)", "if (false)"),
        ],
        "offer": [("if (news.epoch && news.epoch !== epoch)", "if (false)")],
    },
}
FORGOTTEN = "task.ticked"  # by what an entry is, never by how many came before: that is chance


def break_office(variant: str) -> None:
    """Break this process's office in one way, where the variant is one of the office."""
    OFFICES.get(variant, _leave)()


def _leave() -> None:
    """Leave it whole."""


def _forget() -> None:
    """Give receipts, and lose what they are for: nothing of a batch with a tick is committed."""
    was = server.receive

    @functools.wraps(was)
    def receive(session: Any, device: Any, batch: Any, now: int) -> Any:
        if not any(event.get("kind") == FORGOTTEN for event in batch.events):
            return was(session, device, batch, now)
        with session.begin_nested() as lost:
            answer = was(session, device, batch, now)
            session.flush()
            lost.rollback()
        session.info.clear()
        return answer

    server.receive = receive


def _alter() -> None:
    """Write events down with another time than they came with."""
    was = log._event_row

    @functools.wraps(was)
    def row(*asked: Any, **more: Any) -> Any:
        made = was(*asked, **more)
        made["body"] = made["body"].replace('"at":"20', '"at":"19')
        return made

    log._event_row = row


OFFICES: dict[str, Callable[[], None]] = {"forgetful-office": _forget, "altering-office": _alter}
NAMES = (*PHONES, *OFFICES)
