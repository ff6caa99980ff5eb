"""The one task of a server that works at the outbox: it takes what is due, sends it, notes it.

It sleeps until something is posted here, and looks now and then for what another server posted.
Whatever fails stays in the outbox: the task itself never ends before it is stopped.
"""

import logging
import time
from collections.abc import Callable
from threading import Event as Signal
from threading import Thread

from sqlalchemy.exc import SQLAlchemyError

from app.core.errors import AppError
from app.outbox import letters, reaching
from app.outbox.delivery import Delivery, failed, refused
from app.outbox.pushing import message_for, send_push
from app.outbox.webhooks import send_webhook
from app.settings import Settings
from app.store import notices, outbox, push
from app.store.database import Database
from app.store.notices import Webhook
from app.store.outbox import Outgoing

LOOKS = 10.0  # seconds between two looks
CHORES = 600.0  # seconds between two looks for silent phones and old rows
_LOG = logging.getLogger("sillbook.outbox")


class OutboxWorker:
    """Works at the outbox in a thread of its own. resolve: how names of webhooks are looked up."""

    def __init__(
        self,
        database: Database,
        settings: Settings,
        clock: Callable[[], float] = time.time,
        resolve: reaching.Resolve = reaching.resolved_addresses,
    ) -> None:
        self.database = database
        self.settings = settings
        self.clock = clock
        self.resolve = resolve
        self._stopped = Signal()
        self._chores = 0.0
        self._thread = Thread(target=self._run, name="outbox", daemon=True)

    def start(self) -> None:
        """Begin to work."""
        self._thread.start()

    def stop(self) -> None:
        """End, before the database is closed; what is being sent is tried again after its lease."""
        self._stopped.set()
        self.database.posted.set()
        self._thread.join(timeout=10)

    def _run(self) -> None:
        while not self._stopped.is_set():
            try:
                self.do_chores()
                while not self._stopped.is_set() and self.work_once():
                    pass
            except (SQLAlchemyError, AppError, OSError) as error:
                _LOG.error("the outbox waits: %s", type(error).__name__)
                self._stopped.wait(LOOKS)
            except Exception:  # noqa: BLE001  (a bug must not end what all mail goes through)
                _LOG.exception("the outbox waits: a bug")
                self._stopped.wait(LOOKS)
            self.database.posted.wait(LOOKS)
            self.database.posted.clear()

    def do_chores(self) -> None:
        """Note phones that fell silent, forget what is long over: now and then."""
        now = self.clock()
        if abs(now - self._chores) < CHORES:
            return
        self._chores = now
        with self.database.read() as session:
            idle = not notices.silent_phones(session, now) and not outbox.has_old(session, int(now))
        if idle:
            return
        with self.database.write() as session:
            notices.note_silence(session, now)
            outbox.forget_old(session, int(now))

    def work_once(self) -> bool:
        """Try what is due, a few at a time; returns whether there was anything."""
        now = int(self.clock())
        with self.database.read() as session:
            if not outbox.has_due(session, now):
                return False
        with self.database.write() as session:
            batches = outbox.take_batches(session, now)
        for rows in batches:
            if self._stopped.is_set():
                break
            self._note(rows, self._tried(rows))
        return bool(batches)

    def _tried(self, rows: list[Outgoing]) -> Delivery:
        try:
            if rows[0].channel == outbox.WEBHOOK:
                return self._webhook_tried(rows[0])
            if rows[0].channel == outbox.PUSH:
                return self._push_tried(rows[0])
            return letters.send_letter(self.database, self.settings, rows, self.clock())
        except Exception:  # noqa: BLE001  (whatever it is, the others are sent)
            _LOG.exception("%s could not be sent", rows[0].batch)
            return failed("bug")

    def _webhook_tried(self, row: Outgoing) -> Delivery:
        with self.database.read() as session:
            webhook = session.get(Webhook, row.receiver)
        if webhook is None or webhook.ended is not None:
            return refused("webhook-ended")
        now, settings = int(self.clock()), self.settings
        return send_webhook(
            webhook, row, now, settings.address, settings.webhook_host, self.resolve
        )

    def _push_tried(self, row: Outgoing) -> Delivery:
        with self.database.read() as session:
            living = push.living_subscription(session, row.receiver)
        if living is None:
            return refused("push-ended")
        subscription, person = living
        message = message_for(row, person)
        now = int(self.clock())
        delivery = send_push(subscription, message, self.settings, now, self.resolve)
        if delivery.why.startswith("push-gone"):
            with self.database.write() as session:
                push.end_subscription(session, row.receiver)
        return delivery

    def _note(self, rows: list[Outgoing], delivery: Delivery) -> None:
        ids, now = [row.id for row in rows], int(self.clock())
        about = (rows[0].channel, rows[0].receiver, rows[0].batch)
        with self.database.write() as session:
            if delivery.taken:
                outbox.note_sent(session, ids, now)
                _LOG.info("%s to %r: %s sent", *about)
            else:
                outbox.note_failure(session, ids, now, delivery.why, final=delivery.final)
                _LOG.warning("%s to %r: %s not sent: %s", *about, delivery.why)
