"""The store in both databases: a test that asks for it runs twice, once in each."""

from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest

from app.settings import Settings
from app.store.database import Database
from app.store.migrate import migrate_database
from tests.store import postgres

_NUMBERS = count(1)


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """The address of a PostgreSQL that runs for the tests of this process."""
    if postgres.programs() is None:
        pytest.skip(postgres.HINT)
    with postgres.cluster() as server:
        yield server


@pytest.fixture(scope="session")
def with_tables(postgres_server: str, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The name of a database with all tables and nothing in them: to be copied."""
    address = postgres.make_database(postgres_server, "with_tables")
    opened = Database(tmp_path_factory.mktemp("tables") / "sillbook.db", address)
    migrate_database(opened)
    opened.close()
    return "with_tables"


@pytest.fixture
def postgres_address(postgres_server: str) -> str:
    """The address of an empty database."""
    return postgres.make_database(postgres_server, f"sillbook_{next(_NUMBERS)}")


@pytest.fixture
def postgres_store(postgres_server: str, with_tables: str, tmp_path: Path) -> Settings:
    """Settings with a PostgreSQL store that has nothing in its tables, for several servers."""
    name = f"sillbook_{next(_NUMBERS)}"
    address = postgres.make_database(postgres_server, name, template=with_tables)
    return Settings(tmp_path, postgres=address)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run what asks for a store in both databases; what is marked sqlite in SQLite alone."""
    if "store" in metafunc.fixturenames:
        alone = metafunc.definition.get_closest_marker("sqlite")
        metafunc.parametrize(
            "store", ["sqlite"] if alone else ["sqlite", "postgresql"], indirect=True
        )


@pytest.fixture
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Settings:
    """Settings with a store that has nothing in its tables."""
    if request.param == "sqlite":
        return Settings(tmp_path)
    made: Settings = request.getfixturevalue("postgres_store")
    return made
