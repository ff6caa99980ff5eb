"""What the office issues and hands out is signed with the company's key, and checks show whose."""

import io
import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.cli import main
from app.core.kinds import Json
from app.core.quantity.speaker import Speaker
from app.core.record.canonical import canonical_bytes, digest
from app.homeowner import checking, company_signatures, export
from app.homeowner.commitments import snapshot_digest
from app.signing.certificate import certificate_of, short_fingerprint, signature_fits
from app.signing.company_key import FILE, rotate_key
from app.signing.key import SigningKey, make_key, read_key, write_key
from app.signing.messages import record_message
from app.signing.pins import Pins
from app.store.company_keys import company_keys
from app.store.records import revisions_of
from tests.demo.conftest import OURS, enter
from tests.homeowner.conftest import OPENING, served

PDF = f"/record/{OPENING}/r/1/letter.pdf"
EXPORT = f"/record/{OPENING}/r/1/export.json"


def key_of(app: FastAPI) -> SigningKey:
    found = read_key(app.state.server.database.path.parent / FILE)
    assert found is not None
    return found


@pytest.fixture
def start(accepted: Path) -> Path:
    """Every test here begins with the issued record."""
    return accepted


@pytest.fixture(scope="module")
def handed_out(accepted: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, bytes]:
    """The export and the PDF of the record, as the office hands them out."""
    folder = shutil.copytree(accepted, tmp_path_factory.mktemp("handed_out") / "data")
    app = served(folder)
    with TestClient(app):
        office = enter(app, "supervisor")
        return office.get(EXPORT).content, office.get(PDF).content


@pytest.fixture
def exported(handed_out: tuple[bytes, bytes]) -> bytes:
    return handed_out[0]


@pytest.fixture
def printed(handed_out: tuple[bytes, bytes]) -> bytes:
    return handed_out[1]


def test_the_issued_row_is_signed(app: FastAPI, office: TestClient) -> None:
    with app.state.server.database.read() as session:
        [row] = revisions_of(session, OPENING)
        [kept] = company_keys(session)
    assert row.key == kept.fingerprint == key_of(app).fingerprint
    certificate = certificate_of(kept.certificate)
    assert signature_fits(certificate, record_message(row.digest), row.signature)
    page = office.get(f"/record/{OPENING}").text
    assert short_fingerprint(row.key) in page


def test_an_export_shows_the_key_that_was_given(app: FastAPI, exported: bytes) -> None:
    fingerprint = key_of(app).fingerprint
    for pins in (Pins(), Pins((fingerprint,)), Pins(("0" * 20, fingerprint[:20]))):
        report = checking.check(exported, "", pins)
        assert report.faults == []
        assert report.signers == [fingerprint]
    assert checking.check(exported, "", Pins(("0" * 20,))).codes == ["key"]


def sealed_by_nobody(parts: Json) -> bytes:
    rest = {name: parts[name] for name in checking.PARTS} | {
        name: parts[name] for name in ("issued", "company_keys")
    }
    return export.sealed(rest)


@pytest.mark.control(32)
def test_made_anew_from_end_to_end_it_is_anothers(app: FastAPI, exported: bytes) -> None:
    """Who alters a record and signs all of it anew has another key; who signs nothing has none."""
    parts = json.loads(exported)
    forger = make_key("Quillfen Door Setters", 1_780_000_000)
    pins = Pins((key_of(app).fingerprint,))
    parts["issued"] = [
        {
            "key": forger.fingerprint,
            "signature": forger.sign(record_message(snapshot_digest(parts["snapshots"][0]))),
        }
    ]
    parts["company_keys"] = {forger.fingerprint: certificate_pem(forger)}
    rest = json.loads(sealed_by_nobody(parts))
    for name in ("seal", "seal_key", "seal_signature"):
        del rest[name]
    forged = export.sealed(rest, forger)
    assert checking.check(forged).faults == []
    assert checking.check(forged, "", pins).codes == ["key"]
    rest["issued"], rest["company_keys"] = [{"key": "", "signature": ""}], {}
    bare = export.sealed(rest)
    assert checking.check(bare).faults == []
    assert "Only the code" in Speaker().say(company_signatures.whose([], Pins()))
    assert checking.check(bare, "", pins).codes == ["key"]


def certificate_pem(key: SigningKey) -> str:
    from app.signing.certificate import pem_of

    return pem_of(key.certificate)


def another_digest(parts: Json, _: SigningKey) -> None:
    parts["issued"][0]["signature"] = "A" * 86


def another_certificate(parts: Json, other: SigningKey) -> None:
    parts["company_keys"] = dict.fromkeys(parts["company_keys"], certificate_pem(other))


def no_certificate(parts: Json, _: SigningKey) -> None:
    parts["company_keys"] = {}


def a_broken_certificate(parts: Json, _: SigningKey) -> None:
    parts["company_keys"] = dict.fromkeys(parts["company_keys"], "no certificate")


def another_key_of_a_phone(parts: Json, _: SigningKey) -> None:
    parts["keys"] = {"web-demo": "{}"}


def signature_of_no_key(parts: Json, _: SigningKey) -> None:
    parts["issued"][0]["key"] = ""


@pytest.mark.parametrize(
    "alter",
    [another_digest, another_certificate, no_certificate, a_broken_certificate,
     another_key_of_a_phone, signature_of_no_key],
    ids=lambda one: one.__name__,
)  # fmt: skip
def test_altered_and_sealed_anew_it_does_not_fit(exported: bytes, alter: object) -> None:
    """The seal of a file is only a digest: who alters can make it anew, but not sign it."""
    parts = json.loads(exported)
    alter(parts, make_key("Somebody", 1_780_000_000))  # type: ignore[operator]
    rest = {k: v for k, v in parts.items() if k not in ("seal", "seal_key", "seal_signature")}
    kept = {"seal_key": parts["seal_key"], "seal_signature": parts["seal_signature"]}
    report = checking.check(canonical_bytes({**rest, "seal": digest(rest), **kept}))
    assert set(report.codes) & {"company-key", "company-signature", "unfit"}


def strip_phones(parts: Json) -> None:
    parts["signatures"], parts["keys"] = {}, {}


def another_procedure(parts: Json) -> None:
    for key, known in parts["procedures"].items():
        rest = {name: part for name, part in known.items() if name != "digest"}
        rest["title"] = "Another"
        parts["procedures"][key] = {**rest, "digest": digest(rest)}


@pytest.mark.control(32)
@pytest.mark.parametrize("alter", [strip_phones, another_procedure], ids=lambda one: one.__name__)
def test_a_file_around_a_revision_of_ours_is_not_ours(
    app: FastAPI, exported: bytes, alter: Callable[[Json], None]
) -> None:
    """The company's signature of a revision is true; who sealed the file anew is somebody else."""
    parts = json.loads(exported)
    ours = Pins((key_of(app).fingerprint,))
    alter(parts)
    rest = {k: v for k, v in parts.items() if k not in ("seal", "seal_key", "seal_signature")}
    assert "company-signature" in checking.check(export.sealed(rest)).codes
    forger = make_key("Quillfen Door Setters", 1_780_000_000)
    rest["company_keys"][forger.fingerprint] = certificate_pem(forger)
    forged = export.sealed(rest, forger)
    report = checking.check(forged, "", ours)
    assert "key" in report.codes
    assert report.signers == [forger.fingerprint]


def test_another_procedure_than_the_record_names_is_noticed(exported: bytes) -> None:
    parts = json.loads(exported)
    another_procedure(parts)
    assert "procedure" in checking.check(sealed_by_nobody(parts)).codes


def test_the_command_says_whose_it_is(
    app: FastAPI,
    exported: bytes,
    stranger: TestClient,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    file, keys = tmp_path / "record.json", tmp_path / "keys.pem"
    file.write_bytes(exported)
    keys.write_bytes(stranger.get("/verify/keys.pem").content)
    fingerprint = key_of(app).fingerprint
    assert main(["verify", str(file)]) == 0
    said = capsys.readouterr().out
    assert f"made by the holder of the key {short_fingerprint(fingerprint)}" in said
    for pin in (str(keys), fingerprint, short_fingerprint(fingerprint)):
        assert main(["verify", str(file), "--key", pin]) == 0
        assert "Signed with the key that was given" in capsys.readouterr().out
    assert main(["verify", str(file), "--key", "0" * 64]) == 1
    assert "not with the one given" in capsys.readouterr().out
    assert "is true" in said  # that nothing shows
    for option in ("--key", "--code"):
        with pytest.raises(SystemExit) as refused:
            main(["verify", str(file), option, " "])
        assert refused.value.code == 2
    for pin in ("xyz", str(tmp_path / "missing.pem"), str(file), "12"):
        assert main(["verify", str(file), "--key", pin]) == 2
        assert "Traceback" not in capsys.readouterr().err


def test_the_pdf_is_signed_whole(
    app: FastAPI, office: TestClient, printed: bytes, tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    data = printed
    assert data == office.get(PDF).content
    file = tmp_path / "record.pdf"
    file.write_bytes(data)
    fingerprint = key_of(app).fingerprint
    with app.state.server.database.read() as session:
        [row] = revisions_of(session, OPENING)
    assert main(["verify", str(file), "--key", fingerprint, "--code", row.code]) == 0
    said = capsys.readouterr().out
    assert "covers every byte" in said
    assert row.digest in said
    assert main(["verify", str(file)]) == 0
    said = capsys.readouterr().out
    assert "Compare the fingerprint" in said
    assert "is true" in said  # that nothing shows
    assert main(["verify", str(file), "--code", "00000-00000"]) == 1
    assert main(["verify", str(file), "--key", "0" * 20]) == 1
    capsys.readouterr()
    for at in range(100, len(data), len(data) // 40):
        file.write_bytes(data[:at] + bytes([data[at] ^ 4]) + data[at + 1 :])
        assert main(["verify", str(file)]) == 1
        assert "WRONG: This PDF was changed" in capsys.readouterr().out
    file.write_bytes(data + b"%")
    assert main(["verify", str(file)]) == 1
    assert "Something was added" in capsys.readouterr().out


def test_the_sheet_names_the_key(app: FastAPI, printed: bytes) -> None:
    from pypdf import PdfReader

    data = printed
    short = short_fingerprint(key_of(app).fingerprint)
    first = PdfReader(io.BytesIO(data)).pages[0].extract_text()
    assert short in re.sub(r"\s+", " ", first)
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert str(pdf.Root.AcroForm.Fields[0].TU).startswith("Signature of the company")


def test_a_company_without_a_key_names_none(waiting: Path, tmp_path: Path) -> None:
    app = served(shutil.copytree(waiting, tmp_path / "before"))
    with TestClient(app) as stranger:
        answer = stranger.get("/verify")
    assert answer.status_code == 200
    assert "keys.pem" not in answer.text


def test_the_page_of_checks_names_the_keys(app: FastAPI, stranger: TestClient) -> None:
    first = key_of(app).fingerprint
    with app.state.server.database.write() as session:
        second = rotate_key(session).fingerprint
    page = re.sub(r"[ \n]", "", stranger.get("/verify").text)
    assert page.index(second) < page.index(first)
    given = stranger.get("/verify/keys.pem")
    assert given.status_code == 200
    assert "PRIVATE" not in given.text
    assert given.text.count("BEGIN CERTIFICATE") == 2
    with app.state.server.database.read() as session:
        [row] = revisions_of(session, OPENING)
    assert first in stranger.get(f"/verify/{row.code}").text


def test_after_a_rotation_all_the_published_keys_serve(app: FastAPI, office: TestClient) -> None:
    """The record stays signed by the key of its day; the file is signed by the one that signs now.

    A PDF is made when it is asked for: by the key that signs then, at no time before that key.
    """
    first = key_of(app).fingerprint
    with app.state.server.database.write() as session:
        second = rotate_key(session).fingerprint
    data = office.get(EXPORT).content
    for pins in (Pins((second,)), Pins((first, second))):
        assert checking.check(data, "", pins).faults == []
    [(code, words)] = checking.check(data, "", Pins((first,))).faults
    assert code == "key"
    assert "keys.pem" in Speaker().say(words)
    assert checking.check(data).signers == [second]
    with pikepdf.open(io.BytesIO(office.get(PDF).content)) as pdf:
        named = str(pdf.Root.AcroForm.Fields[0].V.M)
    assert named >= key_of(app).certificate.not_valid_before_utc.strftime("D:%Y%m%d%H%M%S")


def test_a_strange_key_beside_the_data_is_not_used_for_old_records(
    app: FastAPI, exported: bytes, tmp_path: Path
) -> None:
    """The file is the key; what was signed before keeps its signature."""
    before = json.loads(exported)["issued"]
    write_key(app.state.server.database.path.parent / FILE, make_key("Else", 1_780_000_000))
    with app.state.server.database.read() as session:
        [row] = revisions_of(session, OPENING)
    assert [{"key": row.key, "signature": row.signature}] == before


def upload(stranger: TestClient, data: bytes) -> str:
    answer = stranger.post("/verify/file", files={"file": ("record.pdf", data)}, headers=OURS)
    assert answer.status_code in (200, 409), answer.text[:500]
    return answer.text


def test_a_pdf_proves_itself_and_so_does_an_export(
    stranger: TestClient, handed_out: tuple[bytes, bytes], printed: bytes, tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """The file alone: its signature, the facts in it, and that they are what the office issued."""
    for file in handed_out:
        page = upload(stranger, file)
        assert "The file is whole" in page
        assert "As issued" in page
        assert "Marrow" not in page  # nothing of the house
    (tmp_path / "record.pdf").write_bytes(printed)
    assert main(["verify", str(tmp_path / "record.pdf")]) in (0, None)
    assert "The facts in it are whole: record ML-A-" in capsys.readouterr().out
    with pikepdf.open(io.BytesIO(printed)) as pdf:  # another reader takes out the same
        facts = json.loads(pdf.attachments["record.json"].get_file().read_bytes())
    assert facts["snapshots"][0]["number"].startswith("ML-A-")
    assert "events" not in facts
    inside = json.dumps([{**one, "at": ""} for one in facts["snapshots"]])
    assert not re.search(r"\d\d:\d\d", inside)  # no minute of the crew


@pytest.mark.parametrize("at", [0.2, 0.5, 0.8, 0.97])
def test_a_byte_that_was_altered_is_seen(stranger: TestClient, printed: bytes, at: float) -> None:
    data = bytearray(printed)
    data[int(len(data) * at)] ^= 1
    assert "This file is not as it was issued." in upload(stranger, bytes(data))


def test_what_is_no_record_is_refused_in_words(stranger: TestClient) -> None:
    for data in (b"%PDF-1.7 nothing", b"\x00" * 1000, b"{}", b"[" * 100_000):
        assert "This file is not as it was issued." in upload(stranger, data)
    assert "Choose a file first." in stranger.post("/verify/file", headers=OURS).text


def test_facts_of_another_record_in_a_signed_pdf_are_named(
    app: FastAPI, office: TestClient
) -> None:
    """Who has the key signs sheets of one record around the facts of another, or altered ones."""
    from app.homeowner import issuing, signed_pdf, view
    from app.homeowner.pdf import paper

    key = key_of(app)
    with app.state.server.database.read() as session:
        [row] = revisions_of(session, OPENING)
        proof = export.proof_of(session, row)
    parts = json.loads(proof)
    other = json.loads(row.text) | {"at": "2026-04-01T09:00:00-05:00"}
    fresh = issuing.row_of(other, key)
    whole = {"v": parts["v"], "snapshots": [other], "company_keys": parts["company_keys"]}
    issued = [{"key": fresh.key, "signature": fresh.signature}]
    shown = view.RecordRevision(row, 1, {}, "")
    for inside, code in (
        (export.sealed({**whole, "issued": issued}, key), "embedded-other"),
        (export.sealed({**whole, "issued": parts["issued"]}, key), "company-signature"),
        (proof.replace(b'"revision":1', b'"revision":2', 1), "seal"),
        (b"", "embedded-missing"),
    ):
        plain = paper.make(shown, "letter", "en", "in", None, inside)
        signed = signed_pdf.signed(plain, shown, key, Speaker())
        assert code == signed_pdf.check(signed, "", Pins()).faults[0][0]
