"""The templates of the phone's pages and all that they name, parsed and found sound."""

import re
from collections.abc import Iterator
from pathlib import Path

from jinja2 import BaseLoader, Environment, TemplateSyntaxError, nodes

from app.templating.compiler.soundness import unsound_parts
from app.templating.lint import Refusal, refusals_of
from app.templating.templates import FOLDER, template_environment

_NAME = re.compile(r"([a-z][a-z0-9_]*/)*[a-z][a-z0-9_]*\.html")
_NAMING = (nodes.Extends, nodes.Include, nodes.Import, nodes.FromImport)


class TemplateRefusedError(Exception):
    """Templates do what the small language does not allow: one line for each, file and line."""

    def __init__(self, refusals: list[Refusal]) -> None:
        super().__init__("\n".join(str(refusal) for refusal in refusals))
        self.refusals = refusals


def module_of(template: str) -> str:
    """Return the module's name for a template's. Example: "field/step.html" -> "field_step"."""
    return template.removesuffix(".html").replace("/", "_")


class Family:
    """The templates below a folder that start with `below`, and every one that they name.

    trees: the syntax tree of each by its name. Errors: TemplateRefusedError.
    """

    def __init__(self, folder: Path = FOLDER, below: str = "field/") -> None:
        self.folder = folder
        self.known = {
            path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()
        }
        self.trees: dict[str, nodes.Template] = {}
        self._parse_all(sorted(name for name in self.known if name.startswith(below)))
        found = [Refusal(*wrong) for wrong in unsound_parts(self.trees)]
        if found:
            raise TemplateRefusedError(found)

    def _parse_all(self, ahead: list[str]) -> None:
        """Parse the templates and what they name, in turn; refuse what the lint refuses."""
        parser = template_environment(BaseLoader())
        while ahead:
            name = ahead.pop()
            if name in self.trees:
                continue
            source = (self.folder / name).read_text(encoding="utf-8")
            found = refusals_of(name, source, self.known) + list(self._misnamed(name))
            if found:
                raise TemplateRefusedError(found)
            self.trees[name] = _parsed_tree(parser, name, source)
            ahead += named_by(self.trees[name])

    def _misnamed(self, name: str) -> Iterator[Refusal]:
        """A template's name becomes a module's, and no two the same."""
        if not _NAME.fullmatch(name) or "__" in name:
            yield Refusal(name, 1, "a template's name has a-z, 0-9 and single _ only")
        for other in self.trees:
            if other != name and module_of(other) == module_of(name):
                yield Refusal(name, 1, f"this and {other} would be one module")


def _parsed_tree(parser: Environment, name: str, source: str) -> nodes.Template:
    """Return the tree; compiling it finds what parsing alone does not, such as a block twice."""
    tree = parser.parse(source, name)
    try:
        parser.compile(tree, name)
    except TemplateSyntaxError as error:
        refusal = Refusal(name, error.lineno, error.message or "does not compile")
        raise TemplateRefusedError([refusal]) from None
    return tree


def named_by(tree: nodes.Template) -> list[str]:
    """Return the names of the templates that this one extends, includes or imports."""
    return [node.template.value for node in tree.find_all(_NAMING)]  # type: ignore[attr-defined]
