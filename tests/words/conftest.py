"""The demo company, as the tests of the demo have it."""

from tests.demo.conftest import app

__all__ = ["app"]
