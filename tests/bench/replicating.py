"""1,000 entries to the office and from it, beside a general-purpose replicating JSON database.

`python -m tests.bench.replicating`, printed and never asserted. Two phones of one person: one
sends what lies in its outbox, the other fetches. Then the same entries as plain documents of
PouchDB, in the same browser, with its own server. Each goes through the same kind of line. Node and
npm are needed: the database's packages are fetched once, into build/.

Both keep in the browser's IndexedDB. The office checks chain, hash, rights and rules of every
entry, and writes to the disk before its receipt; the database does neither.
"""

import json
import shutil
import subprocess
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from app.core.kinds import Json
from app.main import create_app
from app.settings import Settings
from tests.bench import phone
from tests.browser.chromium import launch
from tests.phone.device import Device
from tests.phone.line import Line
from tests.phone.office import Office

HERE = Path(__file__).parent / "beside"
PACKAGES = ("express@4.22.3", "express-pouchdb@4.2.0", "pouchdb@9.0.0")
ROUNDS = 3

FETCH = """async () => {
  const begun = performance.now();
  await sync.run("asked");
  const took = performance.now() - begun;
  const { here } = await book.read((tx) => ({ here: tx.objectStore("events").count() }));
  return { took, here };
}"""
SEND_PLAIN = """async ({ name, documents }) => {
  const local = new PouchDB(name);
  await local.bulkDocs(documents);
  const begun = performance.now();
  await local.replicate.to(`${location.origin}/db/${name}`);
  return performance.now() - begun;
}"""
FETCH_PLAIN = """async (name) => {
  const local = new PouchDB(name);
  const begun = performance.now();
  await local.replicate.from(`${location.origin}/db/${name}`);
  const took = performance.now() - begun;
  return { took, here: (await local.info()).doc_count };
}"""


def packages() -> Path | None:
    """Return the folder with the database's packages; None where they cannot be had."""
    npm = shutil.which("npm")
    if npm is None or shutil.which("node") is None:
        return None
    folder = Path("build", "beside").resolve()
    if not (folder / "node_modules" / "express-pouchdb").exists():
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "package.json").write_text("{}", "utf-8")
        fetch = [npm, "install", "--no-audit", "--no-fund", "--ignore-scripts", *PACKAGES]
        if subprocess.run(fetch, cwd=folder, capture_output=True, check=False).returncode:
            return None
    shutil.copy(HERE / "server.js", folder)
    return folder


def ours(playwright: Any, folder: Path) -> tuple[float, float, list[Json]]:
    """Return the seconds out and back, and the entries that went."""
    line = Line()
    data = folder / "data"
    data.mkdir()
    database = create_app(Settings(data)).state.server.database
    phone.furnish(database)
    database.close()
    office = Office(data, line)
    office.start()
    first, second = (
        Device(playwright.chromium, folder / name, line.address) for name in ("first", "second")
    )
    try:
        for one in (first, second):
            phone.pair(one, phone.code_of(playwright, office, "tobin"))
            one.page.goto("/field/status")
        before = _worker(second).evaluate(FETCH)["here"]
        records = phone.records_to_send(first)
        out = _worker(first).evaluate(phone.FILL, records)
        back = _worker(second).evaluate(FETCH)
        missing = len(records) - (back["here"] - before)
        if out["kept"] != len(records) or missing:
            raise ValueError(f"{out['kept']} entries were kept, {missing} did not come back")
        entries = [record["event"] for record in records]
        return out["took"] / 1000, back["took"] / 1000, entries
    finally:
        for one in (first, second):
            one.close()
        office.stop()
        line.close()


def _worker(one: Device) -> Any:
    return one.context.service_workers[-1]


def plain(playwright: Any, packed: Path, folder: Path, entries: list[Json]) -> tuple[float, float]:
    """Return the seconds out and back of the same entries as plain documents."""
    documents = [{**entry, "_id": entry["id"]} for entry in entries]
    kept = folder / "plain"
    kept.mkdir()
    served = subprocess.Popen(
        ["node", "server.js", str(kept)], cwd=packed, stdout=subprocess.PIPE, text=True
    )
    line = Line()
    browser = launch(playwright)
    try:
        assert served.stdout is not None
        line.server = int(served.stdout.readline())
        first, second = (browser.new_context().new_page() for _ in range(2))
        for page in (first, second):
            page.goto(line.address)
        name = "door" + str(time.monotonic_ns())
        out = first.evaluate(SEND_PLAIN, {"name": name, "documents": documents})
        back = second.evaluate(FETCH_PLAIN, name)
        if back["here"] != len(documents):
            raise ValueError(f"{back['here']} of {len(documents)} documents came back")
        return out / 1000, back["took"] / 1000
    finally:
        browser.close()
        served.terminate()
        served.wait(timeout=30)
        line.close()


def main() -> None:
    """Print both, and the shares, round by round."""
    packed = packages()
    if packed is None:
        print("  not measured: node and npm, or the database's packages, cannot be had")
        return
    with sync_playwright() as playwright:
        for turn in range(ROUNDS):
            with tempfile.TemporaryDirectory() as folder:
                out, back, entries = ours(playwright, Path(folder))
                plain_out, plain_back = plain(playwright, packed, Path(folder), entries)
            size = sum(len(json.dumps(entry)) for entry in entries) / 1000
            print(
                f"  round {turn + 1}, {len(entries)} entries of {size:.0f} KB: "
                f"out {out:.2f} s beside {plain_out:.2f} ({out / plain_out:.2f} times), "
                f"back {back:.2f} s beside {plain_back:.2f} ({back / plain_back:.2f} times)",
                flush=True,
            )


if __name__ == "__main__":
    main()
