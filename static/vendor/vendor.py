"""Re-makes and checks the files of others that this project carries.

    python static/vendor/vendor.py            fetch the packages, write the files, write the table
    python static/vendor/vendor.py --table    write the table alone, of the files as they are
    python static/vendor/vendor.py --check    compare every file with the table in VENDOR.md;
                                              where npm is there, also re-make them and compare
    … --offline                               leave npm alone
    … --from DIR                              take the packages (.tgz) from DIR, not from npm

Standard library only. A package is fetched by name and version from whatever
registry npm is set up for, and is refused unless its integrity hash is the one
below, so the result does not depend on where it came from.
"""

import argparse
import base64
import hashlib
import shutil
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TABLE = Path(__file__).with_name("VENDOR.md")
START, END = "<!-- table: written by vendor.py -->", "<!-- end of table -->"

Change = Callable[[bytes], bytes]


class VendorError(Exception):
    """Something is not as it must be; the text says what."""


def unchanged(content: bytes) -> bytes:
    """Return the file as the package has it."""
    return content


class Package:
    """One package of the registry, and which of its files become which of ours."""

    def __init__(
        self, name: str, version: str, licence: str, integrity: str, files: list[tuple[str, str, Change]]
    ) -> None:
        self.name = name
        self.version = version
        self.licence = licence
        self.integrity = integrity
        self.files = files  # path in the package, path in this project, what is changed


MICROPYTHON = "static/vendor/micropython/"
SOURCE_SANS = "static/vendor/source-sans/"
DEJAVU = "static/vendor/dejavu/"
PACKAGES = [
    Package(
        "htmx.org",
        "2.0.11",
        "0BSD",
        "sha512-Thx/WtpeOQqSrqBCw/A1cwGJGg4UrVa3+sW0GmrM3p4gJgO89ecH4qtbnyzDDWFvBTqjnIMCgELTNt636dtamA==",
        [
            ("dist/htmx.min.js", "static/vendor/htmx/htmx.min.js", unchanged),
            ("LICENSE", "static/vendor/htmx/LICENSE.txt", unchanged),
        ],
    ),
    Package(
        "@expo-google-fonts/source-sans-3",
        "0.4.1",
        "OFL-1.1",
        "sha512-sxsO4kfxQnVMT6ri/yWiBefkgem6suvc7KWJ4m/kWGTGqxkGouxG7MQsZ8XR6wqasxYZxdWK1gtusMBLSZDiiA==",
        [
            ("400Regular/SourceSans3_400Regular.ttf", SOURCE_SANS + "SourceSans3-Regular.ttf", unchanged),
            ("400Regular_Italic/SourceSans3_400Regular_Italic.ttf", SOURCE_SANS + "SourceSans3-Italic.ttf", unchanged),
            ("700Bold/SourceSans3_700Bold.ttf", SOURCE_SANS + "SourceSans3-Bold.ttf", unchanged),
            ("LICENSE_FONT", SOURCE_SANS + "LICENSE.txt", unchanged),
        ],
    ),
    Package(
        "dejavu-fonts-ttf",
        "2.37.3",
        "Bitstream Vera, Arev; changes public domain",
        "sha512-f1hd7jJbeQa1VWcw+K2KrTXS50zTMaHpVC4XIKJpNcDeYR5ajMtj/iLlQDYNvLOKamUB3ARVVCf79lNwNVztSQ==",
        [
            ("ttf/DejaVuSans.ttf", DEJAVU + "DejaVuSans.ttf", unchanged),
            ("ttf/DejaVuSansMono.ttf", DEJAVU + "DejaVuSansMono.ttf", unchanged),
            ("LICENSE", DEJAVU + "LICENSE.txt", unchanged),
        ],
    ),
    Package(
        "axe-core",
        "4.14.1",
        "MPL-2.0",
        "sha512-FHfa+lmNjQZfJz1q8wKqIDwC6DExcHt/pkjNQb09a3NPjCKg2rhu5qb2S4r76ASyFNNtuFooJpZe37OgudVGtQ==",
        [
            ("axe.min.js", "tests/vendor/axe/axe.min.js", unchanged),
            ("LICENSE", "tests/vendor/axe/LICENSE.txt", unchanged),
            ("LICENSE-3RD-PARTY.txt", "tests/vendor/axe/LICENSE-3RD-PARTY.txt", unchanged),
        ],
    ),
]
# Made by a script of its own, build.py beside them: hashed here, never re-made.
BUILT = Package("MicroPython's source", "1.27.0", "MIT", "", [])
WRITTEN = [
    (MICROPYTHON + "LICENSE.txt", BUILT, "no"),
    (MICROPYTHON + "build.py", BUILT, "written here"),
    (MICROPYTHON + "micropython.js", BUILT, "built, see below"),
    (MICROPYTHON + "micropython.patch", BUILT, "written here"),
    (MICROPYTHON + "micropython.wasm", BUILT, "built, see below"),
]


def digest(content: bytes) -> str:
    """Return the SHA-256 of a file's bytes, in hex."""
    return hashlib.sha256(content).hexdigest()


def fetched(package: Package, folder: Path, given: "Path | None") -> bytes:
    """Return the package's archive, its integrity proven; raises VendorError."""
    name = package.name.replace("@", "").replace("/", "-") + f"-{package.version}.tgz"
    if given is None:
        _npm_pack(package, folder)
    archive = (given or folder) / name
    if not archive.is_file():
        raise VendorError(f"{archive} is not there")
    content = archive.read_bytes()
    found = "sha512-" + base64.b64encode(hashlib.sha512(content).digest()).decode()
    if found != package.integrity:
        raise VendorError(f"{name}: integrity is {found}, expected {package.integrity}")
    return content


class Unfetched(VendorError):
    """The package could not be fetched at all (no npm, no network)."""


def _npm_pack(package: Package, folder: Path) -> None:
    npm = shutil.which("npm")
    if npm is None:
        raise Unfetched("npm is not installed; install it, or give the packages with --from DIR")
    command = [npm, "pack", f"{package.name}@{package.version}", "--silent", "--ignore-scripts"]
    try:
        done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=120)
    except subprocess.TimeoutExpired as error:
        raise Unfetched(f"npm did not fetch {package.name} within 120 s") from error
    if done.returncode != 0:
        raise Unfetched(f"npm could not fetch {package.name}: {done.stderr.strip()[:300]}")


def made(given: "Path | None") -> "Iterator[tuple[str, bytes]]":
    """Yield (path in this project, content) for every file that comes from a package."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        for package in PACKAGES:
            (folder / "archive.tgz").write_bytes(fetched(package, folder, given))
            with tarfile.open(folder / "archive.tgz") as archive:
                for source, target, change in package.files:
                    member = archive.extractfile(f"package/{source}")
                    if member is None:
                        raise VendorError(f"{package.name} has no file {source}")
                    yield target, change(member.read())


def rows(root: Path) -> list[str]:
    """Return the lines of the table for the files as they are on disk."""
    lines = ["| file | from | version | licence | changed | SHA-256 |", "|---|---|---|---|---|---|"]
    entries = [
        (target, package, "no" if change is unchanged else "yes, see below")
        for package in PACKAGES
        for _, target, change in package.files
    ]
    for target, package, changed in sorted(entries + WRITTEN, key=lambda entry: entry[0]):
        what = f"{package.name} | {package.version} | {package.licence} | {changed}"
        lines.append(f"| {target} | {what} | {digest((root / target).read_bytes())} |")
    return lines


def recorded(text: str) -> dict[str, str]:
    """Return {file: SHA-256} as the table in VENDOR.md has it."""
    found = {}
    for line in text.split(START)[1].split(END)[0].splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split("|")]
        if len(cells) == 6 and len(cells[5]) == 64:
            found[cells[0]] = cells[5]
    return found


def compare(root: Path, table: str) -> list[str]:
    """Return what is wrong with the files under root, against the table; [] when all is well."""
    wrong = []
    expected = recorded(table)
    known = [target for package in PACKAGES for _, target, _ in package.files]
    known += [target for target, _, _ in WRITTEN]
    for target in sorted(set(known) | set(expected)):
        path = root / target
        if target not in expected:
            wrong.append(f"{target}: not in the table of VENDOR.md")
        elif target not in known:
            wrong.append(f"{target}: in the table, but vendor.py does not make it")
        elif not path.is_file():
            wrong.append(f"{target}: missing")
        elif digest(path.read_bytes()) != expected[target]:
            wrong.append(f"{target}: SHA-256 differs from the table of VENDOR.md")
    return wrong


def write(given: "Path | None") -> None:
    """Make every file anew and write the table."""
    for target, content in list(made(given)):
        path = ROOT / target
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    write_table()


def write_table() -> None:
    """Write the table of the files as they are."""
    before, rest = TABLE.read_text(encoding="utf-8").split(START)
    table = "\n".join([START, *rows(ROOT), END])
    TABLE.write_text(before + table + rest.split(END)[1], encoding="utf-8")


def check(given: "Path | None", offline: bool) -> list[str]:
    """Return what is wrong; says on standard output what could not be looked at."""
    wrong = compare(ROOT, TABLE.read_text(encoding="utf-8"))
    if offline:
        return wrong
    try:
        for target, content in made(given):
            path = ROOT / target
            if not path.is_file() or path.read_bytes() != content:
                wrong.append(f"{target}: differs from what its package makes")
    except Unfetched as error:
        print(f"not made anew, hashes only: {error}")
    return wrong


def main(arguments: list[str]) -> int:
    """Run the command; returns the exit status."""
    parser = argparse.ArgumentParser(description="Re-make or check the vendored files.")
    parser.add_argument("--check", action="store_true", help="compare, write nothing")
    parser.add_argument("--table", action="store_true", help="write the table alone")
    parser.add_argument("--offline", action="store_true", help="with --check: leave npm alone")
    parser.add_argument("--from", dest="given", type=Path, help="folder with the packages (.tgz)")
    chosen = parser.parse_args(arguments)
    try:
        if chosen.table:
            write_table()
            return 0
        if not chosen.check:
            write(chosen.given)
            return 0
        wrong = check(chosen.given, chosen.offline)
    except VendorError as error:
        print(error, file=sys.stderr)
        return 1
    for line in wrong:
        print(line, file=sys.stderr)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
