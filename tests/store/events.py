"""Complete events for tests, made by the core as the field pages make them."""

from app.core.kinds import Json
from app.core.record.events import heads_of, new_event
from app.store.ids import uuid7


def tick(before: list[Json], task: str = "t-1", device: str = "web-00000001", **more: str) -> Json:
    """Return the next event of a device in an opening: a task ticked."""
    draft: Json = {
        "id": uuid7(),
        "device": device,
        "opening": "op-1",
        "seen": heads_of(before),
        "at": "2026-03-02T14:05:00-05:00",
        "person": "inga",
        "kind": "task.ticked",
        "body": {"step": "A", "task": task, "done": True},
    }
    return new_event(before, {**draft, **more})
