"""What became of a try to send something, and the reasons why it could not be sent."""

from dataclasses import dataclass

from app.core.quantity.messages import Msg

# code -> words; they are kept by code, so that each reader gets them in their language
REASONS = {
    "bug": Msg("something in Sillbook went wrong; the log says what"),
    "gone": Msg("it wants no more messages (410)"),
    "name-unknown": Msg("its name leads nowhere"),
    "no-address": Msg("a link needs the address of this server (SILLBOOK_ADDRESS)"),
    "no-answer": Msg("no answer ({what})"),
    "no-owner": Msg("the job has no e-mail address of the owner any more"),
    "no-reader": Msg("this person wants no notices by e-mail any more"),
    "no-server": Msg("no mail server is set (SILLBOOK_SMTP, SILLBOOK_SENDER)"),
    "password-refused": Msg("the mail server refused our password (SILLBOOK_SMTP)"),
    "push-ended": Msg("this browser is told no more"),
    "push-gone": Msg("its push service knows this browser no more ({what})"),
    "push-off": Msg("no key for messages to browsers is set (SILLBOOK_PUSH)"),
    "receiver-refused": Msg("the mail server refused the receiver's address ({what})"),
    "redirect": Msg("it sends us elsewhere ({what}); that is not followed"),
    "server-said": Msg("the mail server answered {what}"),
    "server-unusable": Msg("the mail server could not be used ({what})"),
    "status": Msg("it answered {what}"),
    "webhook-address": Msg("nothing is sent to such an address"),
    "webhook-ended": Msg("this webhook was ended"),
    "webhook-private": Msg("{what} leads into a private network"),
}


@dataclass(frozen=True)
class Delivery:
    """Whether a receiver took it; else why not, and whether another try is of no use.

    why: a code of REASONS, what it is about after a |; "" where it was taken. No secret in it.
    """

    taken: bool
    why: str = ""
    final: bool = False


TAKEN = Delivery(True)


def refused(code: str, what: str | int = "") -> Delivery:
    """Return that no further try helps."""
    return Delivery(False, f"{code}|{what}", True)


def failed(code: str, what: str | int = "") -> Delivery:
    """Return that it did not arrive now."""
    return Delivery(False, f"{code}|{what}")


def reason_words(why: str) -> Msg:
    """Return why something was not sent, in words."""
    code, _, what = why.partition("|")
    return Msg(REASONS[code].template, what=what)
