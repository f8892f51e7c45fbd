"""Small scale drawings as SVG text: black and white, and readable on dark pages.

Lines take ``currentColor``, so a drawing set into a page has the page's ink; on its own it follows the
reader's light or dark setting. Materials are told apart by hatching, never by colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

Point = tuple[float, float]

# `:root` matches only where the drawing is a document of its own.
_STYLE = (
    "svg.scale-drawing:root{color:#111}"
    "@media (prefers-color-scheme:dark){svg.scale-drawing:root{color:#eee;background:#111}}"
    ".scale-drawing{font-family:sans-serif}"
)


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"", "-0"} else text


class Drawing:
    """A picture built line by line, in picture units (1 is about a pixel), y downwards."""

    def __init__(self, width: float, height: float, title: str, description: str) -> None:
        self.width = width
        self.height = height
        self.title = title
        self.description = description
        self._body: list[str] = []
        self._hatches: dict[str, str] = {}

    def line(self, start: Point, end: Point, *, width: float = 1.0, dash: str = "") -> None:
        """A straight line; ``dash`` as in SVG, such as ``8 3 2 3`` for a centre line."""
        self._body.append(
            f'<line x1="{_n(start[0])}" y1="{_n(start[1])}" x2="{_n(end[0])}" y2="{_n(end[1])}"'
            f"{self._stroke(width, dash)}/>"
        )

    def polyline(self, points: Sequence[Point], *, width: float = 1.0, dash: str = "") -> None:
        """Joined lines, not closed."""
        self._body.append(f'<polyline points="{_points(points)}" fill="none"{self._stroke(width, dash)}/>')

    def polygon(
        self, points: Sequence[Point], *, width: float = 1.0, hatch: str = "", dash: str = ""
    ) -> None:
        """A closed shape; ``hatch`` names one made by :meth:`hatch`, or ``currentColor`` to fill it."""
        fill = f"url(#{hatch})" if hatch in self._hatches else hatch or "none"
        self._body.append(f'<polygon points="{_points(points)}" fill="{fill}"{self._stroke(width, dash)}/>')

    def rect(
        self, x: float, y: float, width: float, height: float, *, stroke: float = 1.0, hatch: str = ""
    ) -> None:
        """A rectangle by its upper left corner."""
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        self.polygon(corners, width=stroke, hatch=hatch)

    def circle(self, centre: Point, radius: float, *, width: float = 1.0, dash: str = "") -> None:
        """A circle, not filled."""
        self._body.append(
            f'<circle cx="{_n(centre[0])}" cy="{_n(centre[1])}" r="{_n(radius)}" fill="none"'
            f"{self._stroke(width, dash)}/>"
        )

    def text(
        self, at: Point, words: str, *, size: float = 12, anchor: str = "start", bold: bool = False
    ) -> None:
        """Words with their baseline at a point; ``anchor`` is start, middle or end."""
        weight = ' font-weight="bold"' if bold else ""
        self._body.append(
            f'<text x="{_n(at[0])}" y="{_n(at[1])}" font-size="{_n(size)}" text-anchor="{anchor}"'
            f'{weight} fill="currentColor">{escape(words)}</text>'
        )

    def dimension(
        self, start: Point, end: Point, words: str, *, size: float = 11, below: bool = False
    ) -> None:
        """A level dimension line with ticks at both ends and its words at the middle."""
        (x1, y), (x2, _) = start, end
        self.line((x1, y), (x2, y), width=0.7)
        for x in (x1, x2):
            self.line((x - 2.5, y + 2.5), (x + 2.5, y - 2.5), width=1)
        if words:
            self.text(((x1 + x2) / 2, y + size + 1 if below else y - 4), words, size=size, anchor="middle")

    def hatch(self, name: str, *, gap: float = 6, angle: float = 45, width: float = 0.7) -> str:
        """Make a hatching of slanted lines and return its name; a whole page shares these names."""
        self._hatches[name] = (
            f'<pattern id="{name}" width="{_n(gap)}" height="{_n(gap)}" patternUnits="userSpaceOnUse"'
            f' patternTransform="rotate({_n(angle)})"><line x1="0" y1="0" x2="0" y2="{_n(gap)}"'
            f' stroke="currentColor" stroke-width="{_n(width)}"/></pattern>'
        )
        return name

    def _stroke(self, width: float, dash: str) -> str:
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        return f' stroke="currentColor" stroke-width="{_n(width)}"{dashes}'

    def render(self) -> str:
        """The whole picture as SVG text; the same calls give the same bytes."""
        defs = f"<defs>{''.join(self._hatches.values())}</defs>" if self._hatches else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="scale-drawing" role="img"'
            f' viewBox="0 0 {_n(self.width)} {_n(self.height)}"'
            f' width="{_n(self.width)}" height="{_n(self.height)}">'
            f"<title>{escape(self.title)}</title><desc>{escape(self.description)}</desc>"
            f"<style>{_STYLE}</style>{defs}{''.join(self._body)}</svg>"
        )


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
