"""What these tests ask for."""

from tests.phone.fixtures import site

__all__ = ["site"]
