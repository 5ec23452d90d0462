"""A drawing with its text alternative, written as SVG or PNG: equal drawings give equal bytes."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from io import BytesIO, StringIO
from typing import Any, Final

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from fitsolver.base.printable import printable
from fitsolver.plots.style import drawn_alike

_DPI: Final = 200
#: No date and no program name, so that files are equal on every day and machine.
_NO_METADATA: Final[dict[str, Any]] = dict.fromkeys(("Date", "Creator", "Format", "Type"))
_PROLOGUE: Final = '<?xml version="1.0" encoding="utf-8"?>\n'
_REFERENCE: Final = re.compile(r'(\bid="|url\(#|href="#)')
_STYLE: Final = re.compile(r"\s*<defs>\s*<style[^>]*>[^<]*</style>\s*</defs>")
#: The rules of the style sheet removed above, limited to this drawing.
_STROKES: Final = 'style="stroke-linejoin: round; stroke-linecap: butt"'


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing. `title` names it; `description` says in words what it shows, with figures."""

    figure: Figure
    title: str
    description: str

    def svg(self) -> bytes:
        """Return a whole SVG file (UTF-8)."""
        return (_PROLOGUE + self.inline_svg("drawing")).encode("utf-8")

    def png(self) -> bytes:
        """Return a PNG file of 200 dots an inch, its text alternative among its texts."""
        out = BytesIO()
        with drawn_alike():
            FigureCanvasAgg(self.figure).print_figure(
                out,
                format="png",
                dpi=_DPI,
                metadata={"Title": self.title, "Description": self.description, "Software": None},
            )
        return out.getvalue()

    def inline_svg(self, name: str) -> str:
        """Return an `svg` element to set into a page.

        `name` (letters, digits and hyphens) leads every id in it, so that several can stand in one
        page. It is as wide as the page lets it be.
        """
        out = StringIO()
        with drawn_alike():
            FigureCanvasSVG(self.figure).print_figure(out, format="svg", metadata=_NO_METADATA)
        element = out.getvalue()
        element = element[element.index("<svg") :]
        element = _REFERENCE.sub(rf"\g<1>{name}-", _STYLE.sub("", element, count=1))
        head, _, rest = element.partition(">")
        return f"{self._named(head, name)}{self._told(name)}{rest}"

    def _named(self, head: str, name: str) -> str:
        return (
            f'{head} role="img" aria-labelledby="{name}-title" aria-describedby="{name}-desc" '
            f"{_STROKES}>"
        )

    def _told(self, name: str) -> str:
        return (
            f'\n <title id="{name}-title">{escape(self.title)}</title>'
            f'\n <desc id="{name}-desc">{escape(self.description)}</desc>'
        )


def draw(
    width: float, height: float, title: str, description: str, onto: Callable[[Figure], None]
) -> Drawing:
    """Return a drawing of that size in inches; `onto` puts it on the empty figure it is given."""
    with drawn_alike():
        figure = Figure(figsize=(width, height), dpi=_DPI, layout="constrained")
        onto(figure)
        figure.draw_without_rendering()
        figure.set_layout_engine("none")  # or every writing would move it a little further
    return Drawing(figure, printable(title), printable(description))
