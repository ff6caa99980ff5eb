"""The one assertion that both interpreters lack a short form for."""

from app.core.errors import AppError
from app.core.kinds import Any, Callable


def refused(code: str, function: "Callable[..., Any]", *args: Any, **kwargs: Any) -> AppError:
    """Assert that the call raises an AppError of this code, and return it."""
    try:
        result = function(*args, **kwargs)
    except AppError as error:
        assert error.code == code, "refused with " + error.code + ", not " + code
        return error
    raise AssertionError("not refused: returned " + repr(result))
