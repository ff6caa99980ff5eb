"""Notices and records by e-mail, through a real SMTP server (aiosmtpd)."""

import logging
import re
import time
from datetime import datetime

import pytest

from app.outbox import mail, worker
from app.outbox.mail import is_mail
from app.store import notices, outbox
from app.store.notices import next_digest
from app.store.outbox import LEASE, WAITS
from tests.homeowner.conftest import accept
from tests.office.conftest import errors, fields
from tests.outbox.conftest import Company


def test_a_query_is_told_at_once_as_text_and_html(company: Company) -> None:
    company.choose()
    company.ask("drawing says 96 <b>& more</b>")
    company.work()
    [made] = company.box.mails
    assert company.box.receivers == ["nadia@example.org"]
    assert made["Subject"] == "Question: Marrow Lane B"
    assert made["Auto-Submitted"] == "auto-generated"
    text, html = (made.get_body((kind,)).get_content() for kind in ("plain", "html"))  # type: ignore[union-attr]
    assert "drawing says 96 <b>& more</b>" in text
    assert "https://book.example.org/office/o/marrow-lane-b#queries-title" in text
    assert "drawing says 96 &lt;b&gt;&amp; more&lt;/b&gt;" in html
    company.work()
    assert len(company.box.mails) == 1


def test_what_is_told_is_kept_with_the_entry_or_not_at_all(company: Company) -> None:
    from app.core.record.events import new_event
    from app.store import log
    from app.store.devices import device_id
    from app.store.ids import uuid7

    company.choose()
    with pytest.raises(KeyError), company.database.write() as session:  # noqa: PT012
        before = log.events_of(session, ["marrow-lane-b"])["marrow-lane-b"]
        draft = {
            "id": uuid7(), "device": device_id(session, "web"), "opening": "marrow-lane-b",
            "seen": {}, "at": "2026-03-02T14:05:00-05:00", "person": "tobin-hale",
            "kind": "query.raised", "body": {"words": "which?", "bars": ["B1"]},
        }  # fmt: skip
        log.append_events(session, [new_event(before, draft)])
        raise KeyError
    assert company.rows() == []
    company.ask()
    company.ask()  # another question is another notice
    assert len(company.rows(kind="query")) == 2


def test_what_a_phones_entry_refused_in_a_batch_told_is_not_told(company: Company) -> None:
    """Several write together: what one of them noted and did not keep is not told."""
    company.choose()
    database = company.database

    def spoilt(session: object) -> None:
        about = notices.Notice(notices.QUERY, "no-such-entry", "marrow-lane-b")
        notices.note(session, about)  # type: ignore[arg-type]
        raise ValueError

    with pytest.raises(ValueError):  # noqa: PT011
        database.write_together(spoilt)
    assert company.rows() == []


def test_several_at_once_are_one_mail_and_none_to_whoever_did_it(company: Company) -> None:
    company.choose()
    company.ask("first question")
    company.ask("second question")
    accept(company.office)  # Nadia's own act
    company.work()
    [made] = company.box.mails
    assert made["Subject"] == "2 notices"
    assert {row.kind for row in company.rows()} == {"query"}


def test_an_acceptance_is_told_to_the_others(company: Company) -> None:
    path = "/office/notices"
    given = fields(company.keeper.get(path).text, path)
    company.keeper.post(path, data={**given, "mail": "oda@example.org", "how": "at-once"})
    accept(company.office)
    company.work()
    assert [made["Subject"] for made in company.box.mails] == ["Accepted: Marrow Lane A"]


def test_a_digest_waits_for_the_morning_and_holds_all(company: Company) -> None:
    company.choose("daily")
    company.ask("first question")
    company.ask("second question")
    company.work()
    assert company.box.mails == []
    page = company.office.get("/office/outbox").text
    assert len(re.findall("goes with the digest [^<]*06:00", page)) == 2
    company.clock.ahead = 24 * 3600.0
    company.work()
    [made] = company.box.mails
    text = made.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert "first question" in text
    assert "second question" in text


def test_the_digest_goes_at_six(company: Company) -> None:
    night = datetime(2026, 3, 2, 2, 30).timestamp()
    assert datetime.fromtimestamp(next_digest(night)) == datetime(2026, 3, 2, 6)
    assert datetime.fromtimestamp(next_digest(night + 4 * 3600)) == datetime(2026, 3, 3, 6)


def test_only_what_was_chosen_is_told_and_nothing_to_who_wants_none(company: Company) -> None:
    company.choose("at-once", "nadia@example.org", "review")
    company.ask()
    assert company.rows() == []
    company.choose("never")
    company.ask()
    assert company.rows() == []


def test_who_chooses_none_afterwards_or_is_shut_out_gets_nothing_more(company: Company) -> None:
    company.choose()
    company.ask()
    company.choose("never")
    company.work()
    assert company.box.mails == []
    [row] = company.rows()
    assert (row.state, row.why) == ("failed", "no-reader|")


def test_a_server_that_fails_is_asked_again_with_growing_waits(company: Company) -> None:
    company.choose()
    company.ask()
    company.box.says = "451 try later"
    for wait in WAITS[:3]:
        company.work()
        [row] = company.rows()
        assert row.state == "waiting"
        company.clock.ahead += wait - 2
        company.work()
        assert company.rows()[0].tries == row.tries  # not before its time
        company.clock.ahead += 4
    company.box.says = ""
    company.work()
    assert len(company.box.mails) == 1
    assert company.rows()[0].state == "sent"
    assert sorted(WAITS) == list(WAITS)


def test_it_is_given_up_in_the_end_seen_with_why_and_sent_again(company: Company) -> None:
    company.choose()
    company.ask()
    company.box.says = "451 try later"
    for wait in (*WAITS, 0):
        company.work()
        company.clock.ahead += wait + 1
    [row] = company.rows()
    assert (row.state, row.tries) == ("failed", len(WAITS) + 1)
    company.sign_in_again()
    assert "1 message was not sent" in company.office.get("/office/today").text
    page = company.office.get("/office/outbox").text
    assert "the mail server refused the receiver&#39;s address (451) (9 tries)" in page
    company.box.says = ""
    company.office.post("/office/outbox", data={**fields(page, "/office/outbox"), "act": "again"})
    company.work()
    assert len(company.box.mails) == 1
    assert "Nothing failed." in company.office.get("/office/outbox").text


def test_an_address_that_is_refused_for_good_is_not_tried_again_and_is_dropped(
    company: Company,
) -> None:
    company.choose()
    company.ask()
    company.box.says = "550 no such user nadia@example.org"
    company.work()
    [row] = company.rows()
    assert (row.state, row.tries, row.why) == ("failed", 1, "receiver-refused|550")
    company.office.post("/office/outbox", data={"act": "drop", "id": row.id})
    assert company.rows()[0].state == "dropped"


def test_a_server_that_dies_in_the_middle_sends_it_again_under_the_same_name(
    company: Company,
) -> None:
    company.choose()
    company.ask()
    with company.database.write() as session:  # taken, and then nothing more is heard of it
        [taken] = outbox.take_batches(session, int(company.clock()))
    company.work()
    assert company.box.mails == []  # another server leaves it alone
    company.ask("a later question")
    company.clock.ahead += LEASE + 1
    company.work()
    names = [made["Message-ID"] for made in company.box.mails]
    assert f"<{taken[0].batch}@example.org>" in names
    assert len(names) == 2  # what was tried together stays together


def test_nothing_goes_beyond_this_machine_without_tls(
    company: Company, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(mail, "is_here", lambda host: False)
    company.choose()
    company.ask()
    company.work()
    assert company.box.mails == []
    assert company.rows()[0].why == "server-unusable|SMTPNotSupportedError"


def test_without_a_mail_server_it_says_so(company: Company) -> None:
    object.__setattr__(company.settings, "smtp", "")
    assert "No mail server is set" in company.choose()
    company.ask()
    company.work()
    assert company.rows()[0].why == "no-server|"
    assert "no mail server is set (SILLBOOK_SMTP" in company.office.get("/office/outbox").text


def test_a_test_arrives(company: Company) -> None:
    assert "Send me a test" in company.choose("never")
    company.office.post("/office/notices", data={"act": "test"})
    company.work()
    assert [made["Subject"] for made in company.box.mails] == ["This is a test: messages arrive."]


@pytest.mark.parametrize(
    ("address", "fits"),
    [
        ("ines@example.org", True), ("ines+door@mail.example.org", True), ("ines", False),
        ("ines@localhost", False), ("Ines <ines@example.org>", False),
        ("ines@example.org\r\nBcc: x@example.org", False), ("a@b.c, d@e.f", False),
        ("@example.org", False), ("x" * 250 + "@e.org", False), ("é@example.org", False),
    ],
)  # fmt: skip
def test_one_address_and_nothing_else_is_taken(address: str, fits: bool) -> None:
    assert is_mail(address) is fits


def test_a_wrong_address_is_said_where_it_was_typed(company: Company) -> None:
    html = company.choose("at-once", "nadia at home")
    assert errors(html) == {"f-mail": "Give one address, as name@example.org."}
    assert 'value="nadia at home"' in html
    assert "f-mail" in errors(company.choose("at-once", ""))


def own(company: Company, address: str) -> str:
    path = "/office/jobs/marrow-lane/change"
    given = fields(company.office.get(path).text, path)
    return company.office.post(path, data={**given, "mail": address}).text


@pytest.mark.control(40)
def test_an_owner_gets_number_and_link_and_no_table_holds_the_link(
    company: Company, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    own(company, "ada@example.net")
    accept(company.office)
    company.work()
    [made] = company.box.mails
    assert company.box.receivers == ["ada@example.net"]
    text = made.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    token = re.findall(r"https://book\.example\.org/mine/([\w-]{22})\s", text)[0]
    assert not list(made.iter_attachments())
    page = company.crew.get(f"/mine/{token}")  # whoever has it, signed in or not
    assert page.status_code == 200
    number = re.findall(r"Record ([\w-]+)", text)[0]
    assert number in page.text
    with company.database.read() as session:
        dump = "\n".join(session.connection().connection.iterdump())  # type: ignore[attr-defined]
    assert token not in dump
    kept = [line for line in dump.splitlines() if "ada@example.net" in line]
    assert len(kept) == 1  # the job's own row, from which it is erased
    ours = [one.getMessage() for one in caplog.records if one.name.startswith("sillbook")]
    assert ours
    assert not [line for line in ours if token in line or "ada@example.net" in line]


def test_a_link_in_a_mail_that_was_not_taken_leads_nowhere(company: Company) -> None:
    from app.store.records import record_links

    own(company, "ada@example.net")
    accept(company.office)
    company.box.says = "451 later"
    company.work()
    with company.database.read() as session:
        assert all(one.withdrawn for one in record_links(session, "marrow-lane-a"))
    company.box.says = ""
    company.clock.ahead += WAITS[0] + 1
    company.work()
    with company.database.read() as session:
        assert [one.withdrawn is None for one in record_links(session, "marrow-lane-a")].count(
            True
        ) == 1
    assert len(company.box.mails) == 1


def test_without_an_address_no_owner_is_written_to_and_a_wrong_one_is_said(
    company: Company,
) -> None:
    assert errors(own(company, "ada")) == {"f-mail": "Give one address, as name@example.org."}
    accept(company.office)
    assert company.rows(channel="owner") == []


def test_a_bug_in_between_does_not_end_the_worker(
    company: Company, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """Whatever fails is logged, and what waits is sent after it."""
    company.choose()
    company.ask()
    monkeypatch.setattr(worker, "LOOKS", 0.1)
    broken = [True]

    def clock() -> float:
        if broken:
            broken.pop()
            raise ZeroDivisionError
        return company.clock()

    working = worker.OutboxWorker(company.database, company.settings, clock)
    working.start()
    late = time.monotonic() + 10
    while not company.box.mails and time.monotonic() < late:
        time.sleep(0.05)
    working.stop()
    assert len(company.box.mails) == 1
    assert "ZeroDivisionError" in caplog.text
