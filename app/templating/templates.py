"""Templates: Jinja2, kept to a small language that the phone will speak too.

Templates place finished strings and do nothing else; lint.py says what the
language is. `t` translates a literal, for one speaker at a time:

    <button>{{ "Sign off"|t }}</button>
"""

from contextvars import ContextVar
from pathlib import Path
from typing import Any

from jinja2 import (
    BaseLoader,
    Environment,
    FileSystemLoader,
    StrictUndefined,
    Undefined,
    pass_context,
)
from jinja2.environment import TemplateModule
from jinja2.runtime import Context

from app.core.placing import in_one_direction
from app.core.quantity.messages import Len, Msg, Qty
from app.core.quantity.speaker import Speaker

FOLDER = Path(__file__).resolve().parents[2] / "templates"


class TemplateError(Exception):
    """A template, or what it was given, is not what the small language allows."""


# Who is spoken to, on this thread: one environment, and its compiled templates, serve everybody.
_SPEAKER: ContextVar[Speaker] = ContextVar("speaker")


class FieldEnvironment(Environment):
    """An environment in which a value's attribute is its item."""

    def getattr(self, obj: Any, attribute: str) -> Any:
        """Return obj.attribute: of imported macros a macro, of all else its item.

        Never a method or field that happens to be called so: the phone has none to give.
        """
        if isinstance(obj, TemplateModule):
            return super().getattr(obj, attribute)
        return self.getitem(obj, attribute)

    def getitem(self, obj: Any, argument: Any) -> Any:
        """Return obj[argument]; undefined where there is none."""
        try:
            return obj[argument]
        except (LookupError, TypeError):
            return self.undefined(obj=obj, name=argument)


@pass_context  # asked each time: without a context Jinja2 would fold a literal into the code
def spoken_text(_: Context, thing: Any) -> str:
    """Return a literal in the speaker's language; a Msg, Len, Qty or list of them is said.

    Errors: TemplateError for anything else: it has no words.
    """
    speaker = _SPEAKER.get()
    if isinstance(thing, str):
        return speaker.word(thing)
    if isinstance(thing, Msg | Len | Qty | list | tuple):
        return speaker.say(thing)
    raise TemplateError(f"|t has no words for {type(thing).__name__}")


def finished_text(thing: Any) -> Any:
    """Return what is to be placed; TemplateError unless it is text or a whole number.

    None, a truth value, a float or a dict on a page is a mistake of the view, and the two
    interpreters do not even print them alike.
    """
    whole = isinstance(thing, int) and not isinstance(thing, bool)
    if isinstance(thing, str):
        return in_one_direction(thing)
    if isinstance(thing, Undefined) or whole:
        return thing
    raise TemplateError(f"a template places text, not {type(thing).__name__}: {thing!r:.60}")


def template_environment(loader: BaseLoader) -> FieldEnvironment:
    """Return the environment of the small language over these templates."""
    made = FieldEnvironment(
        loader=loader,
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=finished_text,
    )
    made.globals.clear()
    made.tests.clear()
    made.filters.clear()
    made.filters["t"] = spoken_text
    return made


class Templates:
    """The templates of one folder."""

    def __init__(self, loader: "BaseLoader | None" = None) -> None:
        self.environment = template_environment(loader or FileSystemLoader(FOLDER))

    def render(self, template: str, context: dict[str, Any], speaker: Speaker) -> str:
        """Return the page; `template` is a name below templates/, e.g. "field/openings.html".

        Errors: jinja2's TemplateNotFound, UndefinedError for a name that the context lacks,
        TemplateError for what cannot be placed. All of them are mistakes in the program.
        """
        token = _SPEAKER.set(speaker)
        try:
            return self.environment.get_template(template).render(context)
        finally:
            _SPEAKER.reset(token)


_TEMPLATES = Templates()


def render_page(template: str, context: dict[str, Any], speaker: Speaker) -> str:
    """Return a page of templates/ for one speaker; errors as in Templates.render."""
    return _TEMPLATES.render(template, context, speaker)
