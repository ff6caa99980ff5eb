"""Builds the MicroPython of this project from its source: python build.py SOURCE

SOURCE is a clone of MicroPython's repository that has its version 1.27.0. micropython.patch is
applied to that version; why, says VENDOR.md. Needs git, make and Emscripten 3.1.6 (Debian 12: the
packages emscripten and node-acorn); the same of each gives the same bytes. Writes micropython.js
and micropython.wasm beside this file; `vendor.py --table` then notes their hashes.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
COMMIT = "78ff170de9"  # the source's own name of its version 1.27.0
VERSION = "v1.27.0"
EMSCRIPTEN = "3.1.6"
BUILT = "ports/webassembly/build-field"
SETTINGS = {
    "EM_FROZEN_CACHE": "",  # Debian's says that nothing may be added to it
    "MICROPY_GIT_TAG": VERSION,
    "MICROPY_GIT_HASH": COMMIT,
    "SOURCE_DATE_EPOCH": "1765324800",  # 10 December 2025: no build has a day of its own
}


class BuildError(Exception):
    """Something is not as it must be; the text says what."""


def classic(text: str) -> str:
    """Return the module as a classic script.

    A service worker takes neither an `import` nor an `await` at the top level, and `import.meta`
    is a syntax error outside a module. The wrapping function runs to its end at once in a browser
    (its only `await` is in the branch for Node), so `loadMicroPython` is there as soon as the
    script has been read.
    """
    text = _replaced(text, "export default _createMicroPythonModule;", "", 1)
    text = _replaced(text, "export async function loadMicroPython", "async function loadMicroPython", 1)
    text = _replaced(text, "import.meta.url", "self.location.href", 3)
    head = "/* MicroPython 1.27.0, MIT licence, built and made a classic script: see VENDOR.md. */\n"
    return head + "(async function () {\n" + text + "\n})();\n"


def _replaced(text: str, old: str, new: str, times: int) -> str:
    if text.count(old) != times:
        raise BuildError(f"expected {old!r} {times} times, found {text.count(old)}")
    return text.replace(old, new)


def built(source: Path, folder: Path) -> tuple[str, bytes]:
    """Build in a folder; return script and program. Errors: BuildError, CalledProcessError."""
    said = subprocess.run(["emcc", "--version"], check=True, capture_output=True, text=True).stdout
    if f" {EMSCRIPTEN} " not in said.splitlines()[0]:
        raise BuildError(f"Emscripten {EMSCRIPTEN} is needed; here is {said.splitlines()[0]}")
    archive = subprocess.run(
        ["git", "archive", COMMIT], cwd=source, check=True, capture_output=True
    ).stdout
    subprocess.run(["tar", "x", "-C", str(folder)], input=archive, check=True)
    patch = ["git", "apply", str((HERE / "micropython.patch").resolve())]
    subprocess.run(patch, cwd=folder, check=True)
    settings = {**os.environ, "EM_CACHE": str(folder / "cache"), **SETTINGS}
    make = ["make", "-C", "ports/webassembly", "VARIANT=field", "FROZEN_MANIFEST="]
    subprocess.run([*make, f"-j{os.cpu_count() or 1}"], cwd=folder, env=settings, check=True)
    script = (folder / BUILT / "micropython.mjs").read_text("utf-8")
    return classic(script), (folder / BUILT / "micropython.wasm").read_bytes()


def main(arguments: list[str]) -> int:
    """Run the command; returns the exit status."""
    if len(arguments) != 1:
        print(__doc__, file=sys.stderr)
        return 2
    try:
        with tempfile.TemporaryDirectory() as folder:
            script, program = built(Path(arguments[0]), Path(folder))
    except (BuildError, OSError, subprocess.CalledProcessError) as error:
        print(error, file=sys.stderr)
        return 1
    (HERE / "micropython.js").write_text(script, "utf-8")
    (HERE / "micropython.wasm").write_bytes(program)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
