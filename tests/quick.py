"""python -m tests.quick: within a minute, the core and what you changed.

Changed is what differs from the branch that yours follows (else from main), and what is not
committed yet. Run are: the style, the tests of the core and their properties; test files that
changed; test files that name a changed module of the program; the pages' samples where templates
changed. Tests that drive browsers are left out, save those whose file changed itself. After a
minute no other test begins; how many were left out is said. `make test` is what must pass.
"""

import os
import re
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
ALWAYS = ("tests/core", "tests/properties", "tests/tooling/test_core_language.py")
PAGES = ("tests/pages/test_templates.py", "tests/templating/test_templates.py")
WITH_BROWSERS = tuple(
    f"tests/{name}/" for name in ("browser", "faults", "parity", "phone", "webkit", "firefox")
)
MOST_SECONDS = 52  # no test begins later; the last one, and pytest, end a little after


def git_lines(*words: str) -> list[str]:
    """Return what git answers, line by line; nothing where it answers with an error."""
    done = subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True, check=False)
    return done.stdout.splitlines() if done.returncode == 0 else []


def changed_files() -> list[str]:
    """Return the paths of files that are there and were changed, sorted."""
    bases = (git_lines("merge-base", "HEAD", base) for base in ("@{upstream}", "main"))
    base = next((lines[0] for lines in bases if lines), "HEAD")
    changed = git_lines("diff", "--name-only", base)
    changed += git_lines("ls-files", "--others", "--exclude-standard")
    return sorted({path for path in changed if (ROOT / path).is_file()})


def module_pattern(path: str) -> re.Pattern[str]:
    """Return what a test file says that imports the module of this path."""
    *package, name = path.removesuffix(".py").removesuffix("/__init__").split("/")
    dotted = re.escape(".".join(package))
    listed = rf"from {dotted} import (?:\([^)]*|[^\n(]*)\b{name}\b"
    return re.compile(rf"\b{dotted}\.{name}\b|{listed}")


def tests_of(changed: list[str], test_files: dict[str, str]) -> list[str]:
    """Return which tests to run for changed files: files of tests, path -> text."""
    modules = [module_pattern(p) for p in changed if p.startswith("app/") and p.endswith(".py")]
    chosen = [path for path in changed if path in test_files]
    for path, text in test_files.items():
        if not path.startswith((*WITH_BROWSERS, *ALWAYS)) and any(m.search(text) for m in modules):
            chosen.append(path)
    if any(path.startswith(("templates/", "static/css/")) for path in changed):
        chosen += PAGES
    return [*dict.fromkeys(chosen), *ALWAYS]


def main() -> int:
    """Run the style and the tests; returns the exit status of what failed first, or 0."""
    began = time.time()
    style = subprocess.run([sys.executable, "-m", "ruff", "check", "."], cwd=ROOT, check=False)
    if style.returncode:
        return style.returncode
    files = sorted((ROOT / "tests").rglob("test_*.py"))
    texts = {str(file.relative_to(ROOT)): file.read_text(encoding="utf-8") for file in files}
    chosen = tests_of(changed_files(), texts)
    print("Tests of", *chosen, flush=True)
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-n", "2", "--dist", "loadfile", *chosen],
        cwd=ROOT,
        env={**os.environ, "SILLBOOK_BEGIN_NONE_AFTER": str(began + MOST_SECONDS)},
        check=False,
    )
    print(f"{time.time() - began:.0f} s. `make test` is what must pass.")
    return done.returncode


if __name__ == "__main__":
    sys.exit(main())
