"""A whole installation in Firefox with no office: the scenario of tests/webkit/test_main_job.py."""

from tests.webkit.test_main_job import test_a_whole_installation_with_no_office

__all__ = ["test_a_whole_installation_with_no_office"]
