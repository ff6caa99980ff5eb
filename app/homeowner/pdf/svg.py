"""Pictures of core/pictures/drawings.py as SVG: the shapes, with the style sheet's looks inside.

On a page static/css/pictures.css gives the classes their look; a picture in a PDF has no page
around it, so each shape carries what that file says.
"""

import re
from functools import cache
from html import escape

from app.core.kinds import Json
from app.settings import STATIC

FONT = "Source Sans 3"
_RULE = re.compile(r"\.picture ([^{}]+)\{([^{}]*)\}")
_VARIABLE = re.compile(r"var\(--[a-z-]+, *([^)]*)\)")
_SIMPLE = re.compile(r"([a-z]*)(?:\.(p-[a-z-]+))?$")


@cache
def rules() -> list[tuple[str, str, str]]:
    """Return (element, class, declarations) of the style sheet, the weaker first."""
    text = (STATIC / "css" / "pictures.css").read_text(encoding="utf-8")
    text = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
    found = []
    for selector, looks in _RULE.findall(text):
        inside = re.fullmatch(r":is\((.*)\)", selector.strip())
        for one in (inside[1] if inside else selector).split(","):
            fits = _SIMPLE.match(one.strip())
            if fits:
                found.append((fits[1], fits[2] or "", _VARIABLE.sub(r"\1", looks.strip())))
    return sorted(found, key=lambda rule: (bool(rule[1]), bool(rule[0])))


@cache
def style(element: str, classes: str) -> str:
    """Return how a shape of these classes looks."""
    names = classes.split()
    fits = [
        looks.rstrip(";")
        for tag, name, looks in rules()
        if tag in ("", element) and (not name or name in names) and (tag or name)
    ]
    return "; ".join(fits)


def svg(picture: Json) -> str:
    """Return a picture as an SVG document."""
    width, height = picture["width"], picture["height"]
    shapes = "".join(_shape(shape) for shape in picture["shapes"])
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" font-family="{FONT}" font-size="13">{shapes}</svg>'
    )


# element and attributes of each kind of shape: attribute -> field
_SHAPES = {
    "line": ("line", {"x1": "x1", "y1": "y1", "x2": "x2", "y2": "y2"}),
    "rect": ("rect", {"x": "x", "y": "y", "width": "width", "height": "height", "rx": "round"}),
    "circle": ("circle", {"cx": "x", "cy": "y", "r": "radius"}),
    "polyline": ("polyline", {"points": "points"}),
    "path": ("path", {"d": "d"}),
    "text": ("text", {"x": "x", "y": "y", "text-anchor": "anchor", "transform": "turn"}),
}


def _shape(shape: Json) -> str:
    element, names = _SHAPES[shape["kind"]]
    given = {name: str(shape[field]) for name, field in names.items() if str(shape[field])}
    given["style"] = style(element, shape["class"])
    attributes = " ".join(f'{name}="{escape(value)}"' for name, value in given.items())
    if element == "text":
        return f"<text {attributes}>{escape(shape['text'])}</text>"
    return f"<{element} {attributes}/>"


@cache
def badge(kind: str) -> str:
    """Return a verdict's badge as SVG."""
    return (STATIC / "img" / f"badge-{kind}.svg").read_text(encoding="utf-8")
