"""The company's signing keys as its page shows them, so that a fingerprint can be compared."""

from collections.abc import Sequence
from datetime import UTC, datetime

from app.core.kinds import Json
from app.core.quantity.messages import Msg
from app.core.quantity.speaker import Speaker
from app.signing.certificate import certificate_of, name_on, since_when
from app.store.company_keys import CompanyKey


def published(keys: Sequence[CompanyKey], speaker: Speaker) -> list[Json]:
    """Return a label and a fingerprint for each key, the one that signs now first."""
    known = [certificate_of(key.certificate) for key in keys]
    out = []
    for at, (key, certificate) in enumerate(zip(keys, known, strict=True)):
        end = _day(since_when(known[at + 1])) if at + 1 < len(known) else ""
        named = {"company": name_on(certificate), "since": _day(since_when(certificate))}
        words = (
            Msg("{company}, from {since} to {end}", **named, end=end)
            if end
            else Msg("{company}, since {since}", **named)
        )
        out.append({"label": speaker.say(words), "words": _grouped(key.fingerprint)})
    return out[::-1]


def _day(seconds: int) -> str:
    return datetime.fromtimestamp(seconds, UTC).date().isoformat()


def _grouped(fingerprint: str) -> str:
    return " ".join(fingerprint[at : at + 4] for at in range(0, len(fingerprint), 4))
