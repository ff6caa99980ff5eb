"""A phone asks whether a password is right, to set a PIN by it; the answer opens nothing."""

import pytest

from app.access import passwords
from app.store.database import Database
from app.store.tables import Person
from tests.sync.client import Phone, Refused

WORDS = "rain on the tin roof"


@pytest.mark.control(15, 17)
def test_the_answer_opens_nothing_and_tries_slow_down(phone: Phone, database: Database) -> None:
    with database.write() as session:
        session.get_one(Person, "inga").password = passwords.hash_password(WORDS)
    asked = {"person": "inga", "password": WORDS}
    assert phone._ask("POST", "/sync/password", json=asked) == {"person": "inga"}
    for person, password, code in (
        ("inga", "wrong", "password-wrong"), ("otto", WORDS, "person-unknown"),
    ):  # fmt: skip
        with pytest.raises(Refused) as refused:
            phone._ask("POST", "/sync/password", json={"person": person, "password": password})
        assert refused.value.code == code
    codes = []
    for _ in range(7):
        with pytest.raises(Refused) as refused:
            phone._ask("POST", "/sync/password", json={"person": "inga", "password": "wrong"})
        codes.append(refused.value.code)
    assert codes[-1] == "too-many-tries"
