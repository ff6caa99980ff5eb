"""One small tree of errors.

An error carries a kebab-case code (tests assert it), the words for a person as
a message (see quantity/messages.py), details for a program, and a hint which HTTP status
an adapter may use. Single inheritance only: MicroPython allows no other.
"""

from app.core.quantity.messages import Msg


class AppError(Exception):
    """Something that a person or a program outside did, or asked for, is refused."""

    status = 400

    def __init__(self, code: str, message: Msg, **details: object) -> None:
        super().__init__(code)  # MicroPython has no Exception.__init__ to name
        self.code = code
        self.message = message
        self.details = details


class InputError(AppError):
    """What was typed cannot be taken; the form keeps it and shows the message."""

    status = 422


class MissingError(AppError):
    """What was asked for is not there, or not for this person."""

    status = 404


class RefusedError(AppError):
    """The rules bar it now; the message says what would open the way."""

    status = 409


class LentError(RefusedError):
    """The device is in the owner's hands: it shows their page alone until it is taken back."""

    status = 423

    def __init__(self) -> None:
        words = Msg("The owner has it in hand. Take it back first, then send it again.")
        super().__init__("lent", words)
