"""Every code with which the office can refuse has words on the phone.

The codes are those that app/sync/PROTOCOL.md lists, what the phone says stands in the page that
pairs it and in app/core/pages/status.py.
"""

import re

from app.core.pages.person import STATES
from app.core.pages.status import TROUBLES
from tests.tooling.sources import ROOT

PAIRING = {"code-unfit", "key-unfit", "key-unproven", "phone-revoked", "too-many-tries", "not-kept"}
# To this a phone shows a picture that is not there, in words beside it.
OF_PICTURES = {"photo-unknown"}
# With these the office answers where a PIN is set: the page of PINs has words for them.
OF_PINS = {"person-unknown", "password-wrong"}


def codes() -> set[str]:
    """Return the codes of the table in PROTOCOL.md."""
    text = (ROOT / "app" / "sync" / "PROTOCOL.md").read_text("utf-8")
    rows = [line for line in text.splitlines() if re.match(r"\| `[a-z-]+`.*\| \d{3}", line)]
    return {code for row in rows for code in re.findall(r"`([a-z-]+)`", row.split("|")[1])}


def test_every_code_has_words_on_the_phone() -> None:
    known = codes()
    assert len(known) >= 18
    page = (ROOT / "templates" / "office" / "pairing_said.html").read_text("utf-8")
    shown = set(re.findall(r'data-when="([A-Za-z-]+)"', page))
    assert shown >= PAIRING | {"no-answer", "not-sillbook", "failed"}
    only_pairing = {"code-unfit", "key-unfit", "key-unproven", "phone-revoked"}
    assert known - only_pairing - OF_PICTURES - OF_PINS <= set(TROUBLES)
    script = (ROOT / "static" / "field" / "pins.js").read_text("utf-8")
    states = dict(re.findall(r'"([a-z-]+)": "([a-z-]+)"', script))
    assert {states[code] for code in OF_PINS} <= set(STATES)
