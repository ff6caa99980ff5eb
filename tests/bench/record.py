"""How long the completion record takes, and how large it is: python -m tests.bench.record

The page and the PDF of a finished opening, with 0 and 40 photos (invented pictures with grain, as
large as a phone's); the PDF as it is handed out, with the facts in it and signed. Times are of the
processor and of the clock; the first of each is not counted. Aims: page 100 ms, PDF 1 s without
photos, 1.5 s and 5 MB with 40; alone on the machine.
"""

import io
import os
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from random import Random

from PIL import Image, ImageFilter

from app.core.kinds import Json
from app.core.quantity.speaker import Speaker
from app.core.record.events import heads_of, new_event
from app.homeowner import export, issuing, signed_pdf, snapshot, view
from app.homeowner.commitments import public_form
from app.homeowner.pdf import paper
from app.homeowner.pdf import photos as renditions
from app.signing.certificate import pem_of
from app.signing.key import SigningKey, make_key
from app.store import photos
from app.templating.templates import render_page
from tests.homeowner.finished import ABOUT, PROCEDURES, Finished, finished, revision_of

SINCE = 1_770_000_000  # when the key was made, seconds since 1970: before the record
FRAME: Json = {
    "lang": "en", "title": "Record", "nav": [], "where": None, "notices": [], "person": "",
    "practice": "",
    "sign_out": None,
}  # fmt: skip


def picture(seed: int) -> bytes:
    """Return an invented photo: shapes with grain, 1600 by 1200."""
    chance = Random(seed)
    small = Image.frombytes("RGB", (40, 30), chance.randbytes(3600)).resize((1600, 1200))
    grain = Image.effect_noise((1600, 1200), 24).convert("RGB").filter(ImageFilter.SMOOTH)
    out = io.BytesIO()
    Image.blend(small, grain, 0.25).save(out, "JPEG", quality=82)
    return out.getvalue()


def with_photos(book: Finished, folder: Path, count: int) -> list[Json]:
    """Return a book's events with so many photos before its acceptance."""
    events = list(book.events[:-1])
    for n in range(count):
        data = picture(n)
        name = sha256(data).hexdigest()
        photos.keep_photo(folder, name, data)
        body = {
            "step": "J", "task": "j-photo", "sha256": name, "size": len(data), "width": 1600,
            "height": 1200,
        }  # fmt: skip
        events.append(_next(events, f"photo-{n}", "web-demo", "photo.taken", body))
    last = book.events[-1]
    return [*events, _next(events, "accepted", last["device"], last["kind"], last["body"])]


def _next(events: list[Json], id: str, device: str, kind: str, body: Json) -> Json:
    draft = {
        "id": id, "device": device, "opening": ABOUT["id"], "seen": heads_of(events),
        "at": "2026-03-12T10:00:00-05:00", "person": "tobin-hale", "kind": kind, "body": body,
    }  # fmt: skip
    return new_event(events, draft)


def page(revision: view.RecordRevision) -> bytes:
    """Return the record's page."""
    context = view.contents(revision, "en", "in")
    context |= {
        "page": FRAME,
        "number": revision.kept["number"],
        "stamp": view.stamp(revision, context["issued"], Speaker()),
        "running": view.where(revision.kept),
        "draft": "",
        "downloads": [],
        "download": None,
        "switches": [],
        "complain": None,
        "hand_on": "",
    }
    return render_page("record/record.html", context, Speaker()).encode()


def handed_out(revision: view.RecordRevision, size: str, folder: Path, key: SigningKey) -> bytes:
    """Return the PDF as the page's link gives it: its facts embedded, all of it signed."""
    body: Json = {
        "v": export.VERSION,
        "snapshots": [public_form(revision.kept)],
        "issued": [{"key": revision.row.key, "signature": revision.row.signature}],
        "company_keys": {key.fingerprint: pem_of(key.certificate)},
    }
    plain = paper.make(
        revision, size, "en", "in", photos.FolderPhotos(folder), export.sealed(body, key)
    )
    return signed_pdf.signed(plain, revision, key, Speaker())


def worked_so_far() -> float:
    """Return the seconds of processor that we and the processes we started have used."""
    return sum(os.times()[:4])


def timed(what: str, make: Callable[[], bytes], times: int = 3) -> None:
    """Print how long it takes, the median of several, and how large it is."""
    make()
    clock, work = [], []
    for _ in range(times):
        began, worked = time.perf_counter(), worked_so_far()
        made = make()
        clock.append(time.perf_counter() - began)
        work.append(worked_so_far() - worked)
    middle = times // 2
    print(
        f"{what:34} {1000 * sorted(work)[middle]:7.0f} ms of work "
        f"{1000 * sorted(clock)[middle]:7.0f} ms by the clock {len(made) / 1e6:6.2f} MB"
    )


def main() -> None:
    """Print the figures."""
    book = finished()
    key = make_key(ABOUT["company"], SINCE)
    with tempfile.TemporaryDirectory() as kept:
        folder = Path(kept)
        for count in (0, 40):
            events = with_photos(book, folder, count)
            made = snapshot.make(ABOUT, events, PROCEDURES)
            revision = replace(revision_of(made), row=issuing.row_of(made, key))
            named = f"{len(events)} entries, {count} photos"
            timed(f"page, {named}", lambda r=revision: page(r))  # type: ignore[misc]
            for how, words in (("letter", "PDF Letter"), ("a4", "PDF A4")):
                timed(
                    f"{words}, {named}",
                    lambda r=revision, p=how: handed_out(r, p, folder, key),  # type: ignore[misc]
                )
            renditions.small_photo.cache_clear()
            began = time.perf_counter()
            handed_out(revision, "a4", folder, key)
            print(f"   the first time, photos made small: {time.perf_counter() - began:.2f} s")


if __name__ == "__main__":
    main()
