"""Webhooks to a real receiver, which checks them by another implementation (standardwebhooks).

Source of the signature: Standard Webhooks 1.0.0.
"""

import json
import shutil
import signal
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from standardwebhooks.webhooks import Webhook, WebhookVerificationError

from app.outbox.webhooks import fresh_secret, send_webhook, signature_of
from app.outbox.worker import OutboxWorker
from app.store import notices
from app.store.outbox import WAITS, Outgoing
from tests.browser.server import Served
from tests.office.conftest import errors, fields
from tests.outbox.conftest import Company
from tests.outbox.receivers import dripping_receiver, full_listener, webhook_receiver

ROW = Outgoing(
    id="7f21afc9", channel="webhook", receiver="w", kind="test", due=0, made=0,
    text='{"at": "2026-03-02T14:05:00-05:00", "opening": "op-1"}',
)  # fmt: skip


def hook(url: str) -> notices.Webhook:
    return notices.Webhook(
        id="w", url=url, secret=fresh_secret(), kinds="query", person="p", made=0
    )


def test_the_signature_is_the_one_of_the_standards_own_example() -> None:
    """Standard Webhooks, reference library: its test vector of the signature."""
    secret, id = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", "msg_p5jXN8AQM9LWM0D4loKWxJek"
    body = b'{"test": 2432232314}'
    wanted = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
    assert signature_of(secret, id, 1614265330, body) == wanted


def test_a_query_is_told_signed_and_the_receiver_can_check_it(company: Company) -> None:
    _, secret = company.add_webhook()
    company.ask("drawing says 96")
    company.work()
    [(path, headers, body)] = company.hook.calls
    assert path == "/hook"
    said = Webhook(secret).verify(body, headers)
    assert said["type"] == "query"
    assert said["data"]["words"] == "drawing says 96"
    assert said["data"]["link"] == "https://book.example.org/office/o/marrow-lane-b"
    assert "Tobin" not in body.decode()
    with pytest.raises(WebhookVerificationError):
        Webhook(secret).verify(body.replace(b"96", b"69"), headers)
    with pytest.raises(WebhookVerificationError):
        Webhook(fresh_secret()).verify(body, headers)


def test_a_receiver_that_fails_and_comes_back_gets_it_under_the_same_id(company: Company) -> None:
    company.add_webhook()
    company.hook.answers = [500, 503, 404]
    company.ask()
    for wait in WAITS[:3]:
        company.work()
        company.work()  # not before its time
        company.clock.ahead += wait + 1
    company.work()
    assert company.rows()[0].state == "sent"
    assert len({headers["webhook-id"] for _, headers, _ in company.hook.calls}) == 1
    times = [int(headers["webhook-timestamp"]) for _, headers, _ in company.hook.calls]
    assert times == sorted(set(times))
    assert len(times) == 4


def test_the_log_shows_what_was_sent_and_why_not(company: Company) -> None:
    id, _ = company.add_webhook()
    company.hook.answers = [500]
    company.keeper.post(f"/office/webhooks/{id}", data={"act": "test"})
    company.work()
    page = company.keeper.get(f"/office/webhooks/{id}").text
    assert "This is a test: messages arrive." in page
    assert "it answered 500 (1 try)" in page
    company.clock.ahead += WAITS[0] + 1
    company.work()
    assert "sent" in company.keeper.get(f"/office/webhooks/{id}").text
    assert json.loads(company.hook.calls[-1][2])["type"] == "test"


@pytest.mark.control(39)
def test_a_redirect_is_not_followed(company: Company) -> None:
    with webhook_receiver() as inside:
        company.hook.answers, company.hook.moved_to = [307, 302], inside.url
        company.add_webhook()
        company.ask()
        company.work()
        assert inside.calls == []
    assert company.rows()[0].why == "redirect|307"


def test_a_receiver_that_wants_no_more_is_left_alone(company: Company) -> None:
    company.add_webhook()
    company.hook.answers = [410]
    company.ask()
    company.work()
    assert (company.rows()[0].state, company.rows()[0].why) == ("failed", "gone|")


def test_an_ended_webhook_gets_nothing_more_and_a_secret_made_anew_holds(company: Company) -> None:
    id, secret = company.add_webhook()
    page = company.keeper.post(f"/office/webhooks/{id}", data={"act": "renew"}).text
    renewed = "whsec_" + page.partition("<strong>whsec_")[2].partition("<")[0]
    assert renewed != secret
    assert renewed not in company.keeper.get(f"/office/webhooks/{id}").text  # shown once
    company.ask()
    company.work()
    _, headers, body = company.hook.calls[0]
    Webhook(renewed).verify(body, headers)
    company.ask("one more")
    company.keeper.post(f"/office/webhooks/{id}", data={"act": "end"})
    company.ask("and another")
    company.work()
    assert len(company.hook.calls) == 1
    assert [row.why for row in company.rows(state="failed")] == ["webhook-ended|"]


@pytest.mark.control(39)
@pytest.mark.parametrize(
    "url",
    ["https://localhost/in", "https://127.1/in", "https://[::ffff:10.0.0.1]/", "http://x.org/"],
)
def test_a_private_address_is_refused_where_it_is_typed(company: Company, url: str) -> None:
    path = "/office/webhooks"
    given = fields(company.keeper.get(path).text, path)
    answer = company.keeper.post(path, data={**given, "url": url})
    assert answer.status_code == 422
    assert list(errors(answer.text)) == ["f-url"]
    assert f'value="{url}"' in answer.text


@pytest.mark.control(39)
def test_a_name_that_turns_private_later_is_refused_when_it_is_sent(company: Company) -> None:
    id, _ = company.add_webhook()
    with company.database.write() as session:
        row = session.get_one(notices.Webhook, id)
        row.url = f"https://turned.invalid:{company.hook.port}/hook"
        session.add(row)
    company.worker = OutboxWorker(
        company.database, company.settings, company.clock, lambda host, port: ["127.0.0.1"]
    )
    company.ask()
    company.work()
    assert company.hook.calls == []
    assert (company.rows()[0].state, company.rows()[0].why) == (
        "failed",
        "webhook-private|turned.invalid",
    )


@pytest.mark.control(39)
def test_it_is_sent_to_the_address_that_was_looked_at_and_to_no_other(company: Company) -> None:
    """No system knows this name: it arrives, so nothing but our one look-up was asked."""
    looked: list[str] = []

    def resolve(host: str, port: int) -> list[str]:
        looked.append(host)
        return ["127.0.0.1"] if len(looked) == 1 else ["192.0.2.1"]

    place = f"hooks.invalid:{company.hook.port}"
    delivery = send_webhook(hook(f"http://{place}/in?to=us"), ROW, 1, "", place, resolve)
    assert delivery.taken
    assert looked == ["hooks.invalid"]
    path, headers, _ = company.hook.calls[0]
    assert (path, headers["host"]) == ("/in?to=us", place)


def certificate(folder: Path, name: str) -> str:
    """Return a file with a key and a certificate for a name, signed by itself."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    now = datetime.now(UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(name)]), critical=False)
        .sign(key, hashes.SHA256())
    )
    file = folder / f"{name}.pem"
    secret = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    file.write_bytes(secret + made.public_bytes(serialization.Encoding.PEM))
    return str(file)


@pytest.mark.control(39)
@pytest.mark.parametrize(("name", "taken"), [("hooks.invalid", True), ("other.invalid", False)])
def test_the_certificate_must_be_the_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, taken: bool
) -> None:
    file = certificate(tmp_path, name)
    monkeypatch.setenv("SSL_CERT_FILE", file)
    with webhook_receiver(file) as got:
        place = f"hooks.invalid:{got.port}"
        url = f"https://{place}/in"
        made = send_webhook(hook(url), ROW, 1, "", place, lambda host, port: ["127.0.0.1"])
        assert made.taken is taken
        assert len(got.calls) == int(taken)
    assert taken or made.why == "no-answer|SSLCertVerificationError"


def test_a_receiver_that_never_answers_holds_the_task_only_so_long(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import time

    monkeypatch.setattr("app.outbox.webhooks.SECONDS", 0.5)
    with webhook_receiver() as got:
        got.hold = Event()
        began = time.monotonic()
        made = send_webhook(hook(got.url), ROW, 1, "", f"127.0.0.1:{got.port}")
        assert time.monotonic() - began < 5
        got.hold.set()
    assert not made.taken
    assert made.why.startswith("no-answer|")


@pytest.mark.control(39)
def test_a_receiver_that_drips_after_a_dead_address_holds_the_task_no_longer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The name's first address takes no connection, the second answers a byte at a time."""
    import time

    monkeypatch.setattr("app.outbox.webhooks.SECONDS", 0.5)
    with dripping_receiver() as port, full_listener(port):
        place = f"hooks.invalid:{port}"
        began = time.monotonic()
        made = send_webhook(
            hook(f"http://{place}/in"), ROW, 1, "", place, lambda *_: ["127.0.0.2", "127.0.0.1"]
        )
        assert time.monotonic() - began < 3
    assert not made.taken
    assert made.why.startswith("no-answer|")


def test_a_server_that_is_killed_while_it_sends_sends_it_again(
    waiting: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A real server, killed in the middle of a request; the next one begins where it stopped."""
    data = tmp_path / "data"
    shutil.copytree(waiting, data)
    with webhook_receiver() as got:
        monkeypatch.setenv("SILLBOOK_WEBHOOKS", f"127.0.0.1:{got.port}")
        got.hold = Event()
        server = Served(data)
        try:
            with sqlite3.connect(data / "sillbook.db", timeout=10) as database:
                database.execute(
                    "INSERT INTO webhook VALUES ('w', ?, ?, 'query', 'oda-lindquarry', 1, NULL)",
                    (got.url, fresh_secret()),
                )
            _ask(server.address)
            assert got.came.wait(30)
        finally:
            server.stop(signal.SIGKILL)
        got.hold.set()
        with sqlite3.connect(data / "sillbook.db", timeout=10) as database:
            rows = database.execute("SELECT state, tries FROM outbox").fetchall()
            assert rows == [("waiting", 1)]
            database.execute("UPDATE outbox SET lease = 0")  # as if it had ended: two minutes
        got.came.clear()
        server = Served(data)
        try:
            assert got.came.wait(30)
        finally:
            server.stop()
    ids = [headers["webhook-id"] for _, headers, _ in got.calls]
    assert len(ids) == 2
    assert len(set(ids)) == 1
    with sqlite3.connect(data / "sillbook.db", timeout=10) as database:
        assert database.execute("SELECT state FROM outbox").fetchall() == [("sent",)]


def _ask(address: str) -> None:
    from httpx2 import Client

    from tests.demo.conftest import OURS, PEOPLE

    with Client(base_url=address, headers=OURS, follow_redirects=True, timeout=60) as crew:
        raw = PEOPLE["installer"]
        crew.post("/sign-in", data={"name": raw["login"], "password": raw["password"]})
        path = "/field/o/marrow-lane-b/queries"
        given = fields(crew.get(path).text, path)
        crew.post(path, data={**given, "what": "which way up?", "bars.B1": "yes"})


def test_it_leaves_by_itself_soon_after_it_was_posted(company: Company) -> None:
    """The application's own task, woken by the commit."""
    company.add_webhook()
    company.worker.start()
    company.ask()
    assert company.hook.came.wait(5)
    company.worker.stop()
    assert company.rows()[0].state == "sent"


@pytest.mark.control(40)
def test_no_secret_of_a_webhook_comes_into_the_log(
    company: Company, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level("DEBUG")
    id, secret = company.add_webhook(company.hook.url + "?key=in-the-address")
    company.hook.answers = [500]
    company.keeper.post(f"/office/webhooks/{id}", data={"act": "test"})
    company.work()
    said = [one.getMessage() for one in caplog.records if one.name.startswith("sillbook")]
    assert [line for line in said if id in line]
    assert not [line for line in said if secret in line or "in-the-address" in line]
