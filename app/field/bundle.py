"""What a phone takes with it: the core, the pages, the words, the interpreter, the static files.

One version stands for all of it: the same sources give the same version, wherever and whenever
they are put together. `python -m app.field.bundle` prints what it weighs.
"""

import hashlib
import json
import mimetypes
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

from app.core.kinds import Json
from app.field.reach import reached_sources
from app.field.strip import compact_source, stripped_source
from app.packing import packed_content
from app.procedures.compiler import compile_file
from app.templating.compiler import Family, compiled_modules
from app.templating.compiler.expressions import literal_source
from app.words.catalogs import compiled
from app.words.collect import of_procedure, of_python, of_tables, of_template

ROOT = Path(__file__).resolve().parents[2]
WORKER = ROOT / "static" / "field" / "sw.js"  # served as /sw.js, never from here
PAIR = "pair.js"  # of the office's page that pairs a phone: there is a network then
NOTIFY = ROOT / "static" / "field" / "notify.js"  # a part of it, and the office's own worker
CODE = "/code.json"
CROSSING = "app/core/phone.py"
# What the pages of the field ask for, below static/.
SHEETS = ("cards", "paper", "phone", "pictures", "sillbook", "themes")
CSS = tuple(f"css/{name}.css" for name in SHEETS)
STATIC = (*CSS, "field/*.js", "icons/*.png", "img/*", "vendor/htmx/*.js", "*.webmanifest")
MACHINE = ("vendor/micropython/micropython.js", "vendor/micropython/micropython.wasm")
# The few kinds there are: tables of the machine must not change what is served.
KINDS = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
}


@dataclass(frozen=True)
class File:
    """One file: path is what a page asks for, part is code, words, static or vm."""

    path: str
    part: str
    content: bytes

    @property
    def kind(self) -> str:
        """Return its media type."""
        suffix = Path(self.path).suffix
        return KINDS.get(suffix) or mimetypes.guess_type(self.path)[0] or "application/octet-stream"

    @cached_property
    def sha256(self) -> str:
        """Return the hash of its content, in hexadecimal."""
        return hashlib.sha256(self.content).hexdigest()

    def packed(self, coding: str) -> bytes:
        """Return its content as it goes over the line: "br", "gzip", or "" for as it is."""
        if coding not in self._forms:
            self._forms[coding] = packed_content(self.content, coding, "/bundle" + self.path)
        return self._forms[coding]

    @cached_property
    def _forms(self) -> dict[str, bytes]:
        return {}


@dataclass(frozen=True)
class Bundle:
    """All files, sorted by path."""

    files: tuple[File, ...]

    @cached_property
    def version(self) -> str:
        """Return the hash over paths, parts and hashes of all files, in hexadecimal."""
        lines = [f"{file.path} {file.part} {file.sha256}\n" for file in self.files]
        return hashlib.sha256("".join(lines).encode()).hexdigest()

    @cached_property
    def by_path(self) -> dict[str, File]:
        """Return the files by their path."""
        return {file.path: file for file in self.files}

    def manifest(self) -> Json:
        """Return the version, and of each file where to get it, its hash and its size in bytes."""
        return {
            "version": self.version,
            "files": [
                {
                    "path": file.path,
                    "url": f"/bundle/{self.version}{file.path}",
                    "sha256": file.sha256,
                    "size": len(file.content),
                    "part": file.part,
                }
                for file in self.files
            ],
        }


def build_bundle(root: Path = ROOT) -> Bundle:
    """Put the bundle together; errors: TemplateRefusedError."""
    files = list(_code_files(core_sources(root)))
    files += [_static_file(root, path, "vm") for path in MACHINE]
    for pattern in STATIC:
        matching = (root / "static").glob(pattern)
        found = [path for path in matching if path.name not in (WORKER.name, PAIR)]
        files += [
            _static_file(root, path.relative_to(root / "static").as_posix()) for path in found
        ]
    return Bundle(tuple(sorted(files, key=lambda file: file.path)))


@cache
def shipped_bundle() -> Bundle:
    """Return the bundle of this program, put together once a process: it takes seconds."""
    return build_bundle()


def _code_files(sources: dict[str, str]) -> Iterator[File]:
    """Yield the code, then the words of each language: only those that are spoken are loaded."""
    spoken_by = {
        path: path.split("/")[1].removesuffix(".py") for path in sources if _tells_something(path)
    }
    rest = {path: source for path, source in sources.items() if path not in spoken_by}
    yield File(CODE, "code", _json_bytes(rest))
    for path, language in spoken_by.items():
        yield File(f"/words-{language}.json", "words", _json_bytes({path: sources[path]}))


def _tells_something(path: str) -> bool:
    return path.startswith("words/") and path != "words/__init__.py"


def core_sources(root: Path = ROOT) -> dict[str, str]:
    """Return {path in the interpreter's file system: source}: app/core/, pages/, words/.

    Of the core, what the crossing and the pages can reach.
    """
    family = Family(root / "templates")
    pages = compiled_modules(family)
    core = [root / "app" / "__init__.py", *(root / "app" / "core").rglob("*.py")]
    sources = {path.relative_to(root).as_posix(): path.read_text(encoding="utf-8") for path in core}
    wanted = reached_sources([CROSSING, *pages], {**sources, **pages})
    core_code = {path: stripped_source(text) for path, text in sources.items() if path in wanted}
    code = {
        path: compact_source(least_indented(text)) for path, text in {**core_code, **pages}.items()
    }
    return {
        **code,
        **word_modules(root, spoken_templates(root, list(core_code), family)),
    }


def word_modules(root: Path, used: set[str]) -> dict[str, str]:
    """Return a module for each catalogue (app/words/LANGUAGE.po), with the templates in use.

    The interpreter reads one long text as JSON four times as fast as a dict written out.
    """
    found = {"words/__init__.py": ""}
    for path in (root / "app" / "words").glob("*.po"):
        known = compiled(path)
        pairs = {english: known[english] for english in sorted(known) if english in used}
        text = literal_source(_json_bytes(pairs).decode())
        found[f"words/{path.stem}.py"] = f"import json\nCATALOG = json.loads({text})\n"
    return found


def spoken_templates(root: Path, files: list[str], family: Family) -> set[str]:
    """Return the English templates of these sources, the phone's pages and the procedures."""
    found = [text for path in files for text in of_python((root / path).read_text("utf-8"))]
    for name in family.trees:
        found += of_template((family.folder / name).read_text("utf-8"))
    for path in (root / "seed_data" / "procedures").glob("*.yaml"):
        found += of_procedure(compile_file(path))
    return {*found, *of_tables()}


def _static_file(root: Path, path: str, part: str = "static") -> File:
    content = (root / "static" / path).read_bytes()
    if path.startswith("field/"):
        content = bare_script(content)
    elif path.endswith(".css"):
        content = bare_sheet(content)
    return File("/static/" + path, part, content)


def bare_script(script: bytes) -> bytes:
    """Return a script of ours without the lines that are comments, and without margins.

    Errors: ValueError for a text in backquotes, in which such a line would be none.
    """
    lines = [line.lstrip() for line in script.splitlines(True)]
    bare = b"".join([line for line in lines if not line.startswith(b"//")])
    if b"`" in bare:
        raise ValueError("a script of the phone has a text in backquotes")
    return bare


def bare_sheet(sheet: bytes) -> bytes:
    """Return a style sheet of ours without comments, margins and empty lines.

    Errors: ValueError where a comment's beginning stands in a text, or one is never closed.
    """
    out, rest = b"", sheet
    while b"/*" in rest:
        before, _, rest = rest.partition(b"/*")
        out += before
        if out.count(b'"') % 2 or b"*/" not in rest:
            raise ValueError("a style sheet of the phone has a comment that may be none")
        rest = rest.partition(b"*/")[2]
    return b"".join([line.lstrip() for line in (out + rest).splitlines(True)])


def least_indented(source: str) -> str:
    """Return a Python source indented by one space where it was by four: the same lines, lighter.

    Errors: ValueError for a text over several lines, whose own spaces would go.
    """
    if '"""' in source or "'''" in source:
        raise ValueError("a source of the phone has a text over several lines")
    lines = [(line, line.lstrip(" ")) for line in source.split("\n")]
    return "\n".join(" " * ((len(line) - len(bare)) // 4) + bare for line, bare in lines)


def _json_bytes(thing: Json) -> bytes:
    return json.dumps(thing, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()


def weight_lines(bundle: Bundle) -> str:
    """Return lines that say how heavy the bundle is, in bytes, as it is and compressed."""
    english = [file for file in bundle.files if file.part != "words"]
    lines = [_weight_line(file.path, [file]) for file in bundle.files]
    lines += [_weight_line("all in English", english), _weight_line("all", list(bundle.files))]
    head = "    bytes      gzip    Brotli  file"
    return "\n".join([f"version {bundle.version}", head, *lines])


def _weight_line(name: str, files: list[File]) -> str:
    sizes = [sum(len(file.packed(coding)) for file in files) for coding in ("", "gzip", "br")]
    return "".join(f"{size:>9} " for size in sizes) + " " + name


if __name__ == "__main__":
    sys.stdout.write(weight_lines(build_bundle()) + "\n")
