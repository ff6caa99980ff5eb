"""Every security control has its test, and the table is what the tests say."""

import pytest

from tests import security_table


def test_table_is_up_to_date() -> None:
    kept = security_table.TABLE.read_text(encoding="utf-8")
    assert security_table.table() == kept, "run: python -m tests.security_table --write"


@pytest.mark.parametrize("number", security_table.CONTROLS)
def test_every_control_is_shown(number: int) -> None:
    assert security_table.shown()[number], "no test is marked with this control"


def test_no_mark_is_of_no_control() -> None:
    assert set(security_table.shown()) == set(security_table.CONTROLS)
