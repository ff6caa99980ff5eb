"""Every test file of the core, under the second interpreter as well."""

import pytest

from tests.parity.engine import Engine
from tests.parity.sources import test_files


@pytest.mark.parametrize("path", test_files())
def test_passes_under_micropython(second: Engine, path: str) -> None:
    report = second.run(path).report
    assert not report, report


def test_there_are_files_to_run() -> None:
    assert len(test_files()) >= 2
