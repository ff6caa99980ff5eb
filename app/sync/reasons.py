"""Why an event is held or set aside: a code that does not change, and words."""

from app.core.quantity.messages import Msg
from app.store import judging

HELD, ASIDE = "held", "set-aside"


class Reason:
    """state: held or set-aside. placed: the event has its place in its chain, so that what
    follows can be taken. named: an event of the office names it, so that every book leaves it out.
    again: offered again it is looked at afresh, for what was wrong may have been put right."""

    def __init__(
        self, code: str, words: Msg, placed: bool = False, named: bool = False, again: bool = False
    ) -> None:
        self.code = code
        self.words = words
        self.state = ASIDE
        self.placed = placed
        self.named = placed or named
        self.again = again


class HeldReason(Reason):
    """Held: taken as soon as it can be."""

    def __init__(self, code: str, words: Msg) -> None:
        super().__init__(code, words)
        self.state = HELD


UNKNOWN_VERSION = HeldReason(
    "version-unknown",
    Msg("From a version of Sillbook that this one cannot read: kept until it can be read."),
)
GAP = HeldReason("chain-gap", Msg("An earlier entry of this phone is still missing or held."))
UNSEEN = HeldReason(
    "seen-missing",
    Msg(
        "Waits for entries of another phone that it had seen. If that phone is lost, end its "
        "pairing."
    ),
)

UNREADABLE = Reason("event-unreadable", Msg("This entry cannot be read."))
OTHER_CONTENT = Reason("other-content", Msg("This entry's id already stands for something else."))
FOREIGN_DEVICE = Reason(
    "device-foreign",
    Msg("This entry was made on another phone than the one that sends it."),
    again=True,
)
BROUGHT_BACK = Reason(
    judging.BROUGHT_BACK,
    Msg("A judgement of the office that it had lost: the office goes by it again."),
)
FOREIGN_OPENING = Reason(
    "opening-foreign", Msg("Nobody of this phone ever had this opening."), again=True
)
NO_HEAD = Reason("head-missing", Msg("No signature of this phone covers this entry."), again=True)
BAD_HEAD = Reason("head-bad", Msg("The phone's signature over this entry is wrong."), again=True)

FORK = Reason(
    "chain-fork",
    Msg("This phone's book was copied: another entry already stands in this place."),
    named=True,
)
TOO_LARGE = Reason("event-too-large", Msg("This entry is larger than any can be."), placed=True)
NOT_THEIRS = Reason(
    "opening-not-theirs", Msg("The person named in this entry never had this opening."), placed=True
)
FOREIGN_PERSON = Reason(
    "person-foreign",
    Msg("The person named in this entry may not enter on this phone."),
    placed=True,
)
OFFICE_ONLY = Reason("office-only", Msg("Only the office may say this."), placed=True)
UNFIT = Reason("event-unfit", Msg("This entry does not have what its kind must have."), placed=True)
UNKNOWN_PART = Reason(
    "reference-unknown",
    Msg("This entry speaks of a step, point or check that the procedure lacks."),
    placed=True,
)
BAD_ORDER = Reason(
    "order-unfit", Msg("This entry's place among the others cannot be."), placed=True
)
TOO_MANY = Reason(
    "too-many",
    Msg("This phone has made more entries here than any work asks for."),
    placed=True,
)
NO_SIGNATURE = Reason("signature-missing", Msg("This sign-off is not signed."), placed=True)
BAD_SIGNATURE = Reason(
    "signature-bad", Msg("The signature of this sign-off is wrong."), placed=True
)

SPOKEN = Reason(
    "spoken-code-wrong", Msg("The code of this spoken concession is wrong."), placed=True
)

ALL = (
    UNKNOWN_VERSION, GAP, UNSEEN, UNREADABLE, OTHER_CONTENT, FOREIGN_DEVICE, FOREIGN_OPENING,
    NO_HEAD, BAD_HEAD, FORK, TOO_LARGE, NOT_THEIRS,
    FOREIGN_PERSON, OFFICE_ONLY, UNFIT, UNKNOWN_PART, BAD_ORDER, TOO_MANY, NO_SIGNATURE,
    BAD_SIGNATURE,
    SPOKEN, BROUGHT_BACK,
)  # fmt: skip
BY_CODE = {reason.code: reason for reason in ALL}
