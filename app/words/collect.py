"""Collects everything that is to be translated, by Babel's extraction with readers of our own.

`python -m app.words.collect` prints what a catalogue lacks (+), what nothing uses any more (-) and
what is not translated (?); its exit status is 1 where there is any. With `--write` it puts the
catalogues right, but for the translations themselves. `--new LANGUAGE` starts one.
"""

import argparse
import ast
import json
import lzma
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from babel.core import Locale, UnknownLocaleError
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from jinja2 import nodes

from app.core.kinds import Json
from app.core.quantity.messages import key_of
from app.core.trade.drawing import AMOUNTS, COUNTS, LENGTHS
from app.procedures.compiler import compile_text
from app.procedures.parts import TOOLS
from app.templating.templates import Templates
from app.words.catalogs import is_said, keys_of, languages, path_of, read_catalog, write_catalog

ROOT = Path(__file__).resolve().parents[2]
UNRELEASED = "before-first-release"  # of the archive: made anew until then, and so are its words
# line, the function of gettext that it amounts to, its texts: context first, then one, then many
Said = tuple[int, str, tuple[str, ...]]


def template_catalog(root: Path = ROOT) -> Catalog:
    """Return all that is to be translated, of the program and what it ships, with its files."""
    made = Catalog(charset="utf-8")
    for folder, pattern, reader in _READERS:
        found = extract_from_dir(root / folder, [(pattern, reader)], strip_comment_tags=True)
        for path, _, text, _, context in found:
            made.add(text, locations=[(f"{folder}/{path}", 0)], context=context)
    for text in of_tables():
        made.add(text, locations=[("app/core/trade/drawing.py", 0)])
    _add_issued(made, root)
    return made


def _add_issued(made: Catalog, root: Path) -> None:
    """Add what only records say that were issued by earlier versions: the archive has them.

    A record keeps the keys of its messages. Without them it would be read in English for ever.
    """
    known = {key for message in made if message.id for key in keys_of(message)}
    archived = (root / "tests" / "archive").glob("*/export-*.json.xz")
    for file in sorted(path for path in archived if path.parent.name != UNRELEASED):
        with lzma.open(file) as text:
            issued = json.load(text)["snapshots"]
        for context, template in sorted(set(of_facts(issued))):
            key = key_of(context, template)
            if key not in known and any(char.isalpha() for char in template):
                known.add(key)
                place = [(file.relative_to(root).as_posix(), 0)]
                made.add(template, locations=place, context=context or None)


def of_facts(facts: Any) -> Iterator[tuple[str, str]]:
    """Yield (context, template) of each message in the facts of a record (homeowner/wording.py)."""
    if isinstance(facts, list):
        for fact in facts:
            yield from of_facts(fact)
    elif isinstance(facts, dict):
        if "msg" in facts:
            yield facts.get("context", ""), facts["msg"]
        for fact in facts.values():
            yield from of_facts(fact)


def collected(root: Path = ROOT) -> dict[str, list[str]]:
    """Return {key of the catalogues: files that use it, sorted}."""
    return {
        key: sorted({where for where, _ in message.locations})
        for message in template_catalog(root)
        if message.id  # the first is the head of the file
        for key in keys_of(message)
    }


def extract_python(file: Any, *_: Any, **__: Any) -> Iterator[tuple[int, str, Any, list[str]]]:
    """Yield what a Python source says, as Babel asks for it."""
    return _extracted(said_in_python(file.read().decode("utf-8")))


def extract_template(file: Any, *_: Any, **__: Any) -> Iterator[tuple[int, str, Any, list[str]]]:
    """Yield what a page's template says, as Babel asks for it."""
    return _extracted((0, "gettext", (text,)) for text in of_template(file.read().decode("utf-8")))


def extract_procedure(file: Any, *_: Any, **__: Any) -> Iterator[tuple[int, str, Any, list[str]]]:
    """Yield what a procedure says, as Babel asks for it."""
    made = compile_text(file.read().decode("utf-8"), file.name)
    return _extracted((0, "gettext", (text,)) for text in of_procedure(made))


def _extracted(said: Iterable[Said]) -> Iterator[tuple[int, str, Any, list[str]]]:
    """Yield what Babel asks for; what has no letters is said as it is in every language."""
    for line, function, texts in said:
        if any(char.isalpha() for char in "".join(texts)):
            yield line, function, texts, []


_READERS = (
    ("app", "**.py", "app.words.collect:extract_python"),
    ("templates", "**.html", "app.words.collect:extract_template"),
    ("seed_data/procedures", "**.yaml", "app.words.collect:extract_procedure"),
)


def said_in_python(source: str) -> Iterator[Said]:
    """Yield what stands as a literal in a Msg or a Plural.

    Msg("a"), Msg("a", context="b") and Plural("1 a", "{count} as") are gettext, pgettext and
    ngettext.
    """
    for node in ast.walk(ast.parse(source)):
        name = _called(node) if isinstance(node, ast.Call) else ""
        if name == "Msg":
            yield from _of_msg(node)  # type: ignore[arg-type]
        elif name == "Plural":
            one, many = node.args  # type: ignore[attr-defined]
            yield node.lineno, "ngettext", (*_literals(one), *_literals(many))  # type: ignore[attr-defined]


def _of_msg(call: ast.Call) -> Iterator[Said]:
    contexts = [word.value for word in call.keywords if word.arg == "context"]
    for text in _literals(call.args[0]) if call.args else []:
        if contexts:
            yield call.lineno, "pgettext", (*_literals(contexts[0]), text)
        else:
            yield call.lineno, "gettext", (text,)


def of_python(source: str) -> list[str]:
    """Return the keys of what a Python source says, in order.

    Example: of_python('Msg("a" " {n}", n=1); Msg("b" if x else "c")') -> ["a {n}", "b", "c"]
    """
    found: list[str] = []
    for _, function, texts in said_in_python(source):
        found += [key_of(*texts)] if function == "pgettext" else texts
    return found


def _called(call: ast.Call) -> str:
    if isinstance(call.func, ast.Attribute):
        return call.func.attr
    return call.func.id if isinstance(call.func, ast.Name) else ""


def _literals(node: ast.expr) -> list[str]:
    if isinstance(node, ast.IfExp):
        return [*_literals(node.body), *_literals(node.orelse)]
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value]
    return []


def of_template(source: str) -> list[str]:
    """Return the literals that a template translates, in order."""
    tree = Templates().environment.parse(source)
    found = [node for node in tree.find_all(nodes.Filter) if node.name == "t"]
    return [node.node.value for node in found if isinstance(node.node, nodes.Const)]


def of_procedure(procedure: Json) -> list[str]:
    """Return the texts of a compiled procedure that a person reads, in order."""
    steps = [text for step in procedure["steps"] for text in _of_step(step)]
    return [procedure["title"], *steps, *(one["reason"] for one in procedure.get("nights", []))]


def _of_step(step: Json) -> Iterator[str]:
    yield from (step["title"], step["about"], *step["cautions"], *step["reminders"])
    yield from _texts(step["tasks"])
    yield from [task["none"] for task in step["tasks"] if task.get("none")]
    for decision in step["decisions"]:
        yield decision["text"]
        yield from _texts(decision["choices"])
    for point in step["points"]:
        yield from _of_point(point)
    for check in step["checks"]:
        remedy = check["settings"].get("remedy", "")
        yield from (check["title"], check["reason"], remedy)
    yield from _texts(step["adjustments"])


def _of_point(point: Json) -> Iterator[str]:
    yield from (point["title"], point["hint"])
    yield from _texts(point["choices"])
    yield from (
        item["title"]
        for where in (point["where"], point.get("short") or {})
        for item in where.get("items", [])
    )


def _texts(things: list[Json]) -> list[str]:
    return [thing["text"] for thing in things]


def of_tables() -> list[str]:
    """Return the titles of the drawing's fields, and the tools."""
    titles: list[Any] = [row[1] for row in (*LENGTHS, *COUNTS)]
    return [*titles, *(row[2] for row in AMOUNTS), *TOOLS]


def main(words: list[str]) -> int:
    """Say what is wrong with the catalogues, or put them right; return the exit status."""
    parser = argparse.ArgumentParser(description="What is to be translated, and what is not.")
    parser.add_argument("--write", action="store_true", help="put the catalogues right")
    parser.add_argument(
        "--new", metavar="LANGUAGE", type=_new_catalog, help="start the catalogue of a language"
    )
    options = parser.parse_args(words)
    template = template_catalog()
    if options.new is not None:
        write_catalog(path_of(str(options.new.locale)), options.new)
    wrong = 0
    for lang in languages():
        have = read_catalog(path_of(lang))
        if options.write or not have:
            have.update(template, no_fuzzy_matching=True, update_creation_date=False)
            have.obsolete.clear()
            write_catalog(path_of(lang), have)
        lines = faults_of(have, template)
        sys.stdout.write("".join(f"{lang} {line}\n" for line in lines))
        wrong += len(lines)
    return 1 if wrong else 0


def _new_catalog(lang: str) -> Catalog:
    """Return an empty catalogue; raises ArgumentTypeError, which argparse says."""
    if not lang.isalpha() or not lang.islower() or path_of(lang).exists():
        raise argparse.ArgumentTypeError(f"{lang} is no code of a language, or is there already")
    try:
        return Catalog(locale=Locale.parse(lang), fuzzy=False)
    except UnknownLocaleError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def faults_of(have: Catalog, template: Catalog) -> list[str]:
    """Return what a catalogue lacks (+), has too much (-), and has not translated (?), as lines."""
    wanted = {_id_of(message): message.locations for message in template if message.id}
    known = {_id_of(message): message for message in have if message.id}
    lines = [f"+ {id_[1]!r}  {wanted[id_][0][0]}" for id_ in wanted if id_ not in known]
    lines += [f"- {id_[1]!r}" for id_ in known if id_ not in wanted]
    return lines + [f"? {id_[1]!r}" for id_, message in known.items() if not is_said(message)]


def _id_of(message: Message) -> tuple[str | None, Any]:
    return message.context, message.id


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
