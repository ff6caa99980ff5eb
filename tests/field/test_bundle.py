"""The phone's bundle: whole, the same wherever it is made, and another when a source changes."""

import ast
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import brotli
import pytest
from babel.messages.catalog import Catalog

from app.field.bundle import (
    ROOT,
    Bundle,
    File,
    bare_script,
    bare_sheet,
    build_bundle,
    least_indented,
    shipped_bundle,
    weight_lines,
)
from app.words.catalogs import write_catalog

STORY = "from app.field.bundle import build_bundle; from pathlib import Path; import sys;"
STORY += "print(build_bundle(Path(sys.argv[1])).version)"


@pytest.fixture(scope="module")
def bundle() -> Bundle:
    return shipped_bundle()


def copied(to: Path) -> Path:
    """Return a copy of what the bundle is made of."""
    for folder in ("app", "templates", "static", "seed_data"):
        shutil.copytree(ROOT / folder, to / folder, ignore=shutil.ignore_patterns("__pycache__"))
    return to


def test_two_processes_make_the_same(bundle: Bundle, tmp_path: Path) -> None:
    """Another order of sets and of folders, another time of change, another place: the same."""
    root = copied(tmp_path)
    for number, path in enumerate(sorted(root.rglob("*"), reverse=True)):
        os.utime(path, (1_000_000_000 + number, 1_000_000_000 + number))
    ran = subprocess.run(
        [sys.executable, "-c", STORY, str(root)],
        cwd=ROOT, env={**os.environ, "PYTHONHASHSEED": "4711"}, check=True,
        capture_output=True, text=True,
    )  # fmt: skip
    assert ran.stdout.strip() == bundle.version
    assert re.fullmatch("[0-9a-f]{64}", bundle.version)


def test_every_source_counts(bundle: Bundle, tmp_path: Path) -> None:
    """Each is seen in a file of the bundle, and the version is made of all files."""
    root = copied(tmp_path)
    for name, old, new in (
        ("app/core/quantity/measure.py", "return ", "return 0 or "),
        ("templates/field/list.html", "<h1>", "<h1 >"),
        ("static/css/sillbook.css", "{", "{ "),
    ):
        path = root / name
        path.write_text(path.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    (root / "static" / "img" / "new.svg").write_text("<svg/>")
    made = build_bundle(root)
    assert made.version != bundle.version
    assert changed({file.path: file.content for file in made.files}, bundle) == {
        "/code.json", "/static/css/sillbook.css", "/static/img/new.svg",
    }  # fmt: skip
    before, code = (json.loads(each.by_path["/code.json"].content) for each in (bundle, made))
    assert {path for path in code if code[path] != before[path]} == {
        "app/core/quantity/measure.py", "pages/field_list.py",
    }  # fmt: skip


def changed(files: dict[str, bytes], bundle: Bundle) -> set[str]:
    """Return the paths at which a bundle has no such file."""
    known = {file.path: file.content for file in bundle.files}
    return {path for path, content in files.items() if known.get(path) != content}


def test_what_is_only_for_people_does_not_count(bundle: Bundle, tmp_path: Path) -> None:
    root = copied(tmp_path)
    path = root / "app" / "core" / "quantity" / "measure.py"
    path.write_text(path.read_text(encoding="utf-8") + "# a remark", encoding="utf-8")
    assert build_bundle(root).version == bundle.version


def test_a_part_a_path_and_each_byte_count() -> None:
    files = [
        File("/a", "static", b"x"), File("/a", "vm", b"x"), File("/b", "static", b"x"),
        File("/a", "static", b"y"),
    ]  # fmt: skip
    assert len({Bundle((file,)).version for file in files}) == 4


def test_manifest_says_what_is_there(bundle: Bundle) -> None:
    manifest = bundle.manifest()
    assert manifest["version"] == bundle.version
    assert [row["path"] for row in manifest["files"]] == sorted(bundle.by_path)
    for row in manifest["files"]:
        content = bundle.by_path[row["path"]].content
        assert row["sha256"] == hashlib.sha256(content).hexdigest()
        assert row["size"] == len(content) > 0
        assert row["url"] == f"/bundle/{bundle.version}{row['path']}"
        assert row["part"] in ("code", "static", "vm", "words")


def test_what_the_pages_ask_for_is_in_it(bundle: Bundle) -> None:
    code = json.loads(bundle.by_path["/code.json"].content)
    pages = "".join(text for path, text in code.items() if path.startswith("pages/"))
    asked = set(re.findall(r'/static/[^"\\]+\.[a-z]+', pages))
    assert len(asked) > 10
    assert asked <= set(bundle.by_path)
    css = "".join(f.content.decode() for f in bundle.files if f.path.endswith(".css"))
    for name in re.findall(r"url\([\"']?(?!data:)([^)\"']+)", css):
        path = name if name.startswith("/") else "/static/" + name.removeprefix("../")
        assert path in bundle.by_path, name


def test_code_is_python_without_what_is_for_people(bundle: Bundle) -> None:
    code = json.loads(bundle.by_path["/code.json"].content)
    assert {"app/core/phone.py", "app/core/placing.py", "pages/field_step.py"} <= set(code)
    assert "words/__init__.py" in code
    for path, text in code.items():
        compile(text, path, "exec")
        assert '"""' not in text


def test_words_of_a_language_become_a_module(tmp_path: Path) -> None:
    root = copied(tmp_path)
    words = {"Back": 'Di «x» \\ 😀 "y"\n', "What nobody says": "Nada"}
    spanish = Catalog(locale="es")
    for english, said in words.items():
        spanish.add(english, said)
    write_catalog(root / "app" / "words" / "es.po", spanish)
    space: dict[str, object] = {}
    built = build_bundle(root)
    code = json.loads(built.by_path["/words-es.json"].content)
    assert list(code) == ["words/es.py"]  # by itself: it is loaded where it is spoken
    assert "words/es.py" not in json.loads(built.by_path["/code.json"].content)
    exec(code["words/es.py"], space)  # noqa: S102 - our own, just made
    assert space["CATALOG"] == {"Back": words["Back"]}  # what no page says stays here


def test_the_worker_is_not_in_the_bundle(bundle: Bundle) -> None:
    assert "/static/field/sw.js" not in bundle.by_path


def test_weights_add_up(bundle: Bundle) -> None:
    last = weight_lines(bundle).splitlines()[-1].split()
    assert last[0] == str(sum(len(file.content) for file in bundle.files))
    assert last[2] == str(sum(len(brotli.compress(file.content)) for file in bundle.files))
    assert last[3] == "all"


def test_scripts_come_without_the_lines_that_are_comments() -> None:
    script = b'// what for\nconst a = "http://x"; // why\n  // and\n  f(a);\n'
    assert bare_script(script) == b'const a = "http://x"; // why\nf(a);\n'
    with pytest.raises(ValueError, match="backquotes"):
        bare_script(b"const text = `\n// no comment`;\n")


def test_sheets_come_without_comments_and_margins() -> None:
    sheet = b"/* all\n of it */\n.a { /* why */ top: 0; }\n\n@media (x) {\n  .b { left: 0; }\n}\n"
    assert bare_sheet(sheet) == b".a {  top: 0; }\n@media (x) {\n.b { left: 0; }\n}\n"
    for doubtful in (b'.a::after { content: "/* no comment"; }\n', b"/* never closed"):
        with pytest.raises(ValueError, match="may be none"):
            bare_sheet(doubtful)


def test_a_source_keeps_its_lines_and_loses_three_spaces_of_four() -> None:
    source = "def f(a,\n      b):\n    if a:\n        return [\n            1,\n        ]\n"
    light = least_indented(source)
    assert light == "def f(a,\n b):\n if a:\n  return [\n   1,\n  ]\n"
    assert ast.dump(ast.parse(light)) == ast.dump(ast.parse(source))
    for quotes in ('"""', "'''"):
        with pytest.raises(ValueError, match="several lines"):
            least_indented(f"x = {quotes}a\n    b{quotes}\n")
