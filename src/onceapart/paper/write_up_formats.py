"""A write-up as Markdown (CommonMark, with tables) and as an HTML page that asks for nothing from outside."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from typing import TypeAlias


@dataclass(frozen=True)
class Say:
    """A paragraph; line breaks stay."""

    text: str
    is_strong: bool = False


@dataclass(frozen=True)
class Points:
    """A list, numbered or not."""

    items: tuple[str, ...]
    is_numbered: bool = False


@dataclass(frozen=True)
class Grid:
    """A table; ``numbers`` are its columns set to the right."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: frozenset[int] = frozenset()


Block: TypeAlias = Say | Points | Grid


@dataclass(frozen=True)
class Section:
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class WriteUp:
    """What was done, to be read by others."""

    title: str
    lead: tuple[Block, ...]
    sections: tuple[Section, ...]
    end: str


STYLE = """\
:root { color-scheme: light dark; }
body { max-width: 44rem; margin: 0 auto; padding: 1.5rem 1rem 3rem;
  font: 1.05rem/1.5 Georgia, "Noto Serif", serif; overflow-wrap: anywhere;
  background: Canvas; color: CanvasText; }
h1, h2, th { font-family: system-ui, "Noto Sans", sans-serif; line-height: 1.2; }
h1 { font-size: 1.9rem; } h2 { font-size: 1.25rem; margin: 2rem 0 .5rem; border-bottom: 2px solid; }
p, li { white-space: pre-line; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-size: .95rem; }
th, td { text-align: left; vertical-align: top; padding: .3rem .6rem .3rem 0;
  border-bottom: 1px solid GrayText; overflow-wrap: break-word; }
td:not(.figure) { min-width: 6rem; }
.figure { text-align: right; white-space: nowrap; }
footer { margin-top: 2.5rem; font-size: .9rem; }
"""
STYLE_HASH = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
CONTENT_POLICY = f"default-src 'none'; style-src 'sha256-{STYLE_HASH}'; base-uri 'none'; form-action 'none'"
"""All that the page may do is look as its own style says."""


def write_up_html(one: WriteUp) -> str:
    """A write-up as a page of its own: no script, nothing fetched, all text escaped."""
    lines = [
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{CONTENT_POLICY}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        '<meta name="referrer" content="no-referrer">',
        f"<title>{escape(one.title)}</title>",
        f"<style>{STYLE}</style>\n</head>\n<body>\n<main>",
        f'<h1 dir="auto">{escape(one.title)}</h1>',
        *(line for block in one.lead for line in _html(block)),
    ]
    for section in one.sections:
        lines.append(f"<h2>{escape(section.title)}</h2>")
        lines += [line for block in section.blocks for line in _html(block)]
    lines.append(f"</main>\n<footer><p>{escape(one.end)}</p></footer>\n</body>\n</html>\n")
    return "\n".join(lines)


def _html(block: Block) -> Iterator[str]:
    if isinstance(block, Say):
        text = f"<strong>{escape(block.text)}</strong>" if block.is_strong else escape(block.text)
        yield f'<p dir="auto">{text}</p>'
    elif isinstance(block, Points):
        tag = "ol" if block.is_numbered else "ul"
        yield f"<{tag}>"
        yield from (f'<li dir="auto">{escape(item)}</li>' for item in block.items)
        yield f"</{tag}>"
    else:
        yield '<div class="scroll" tabindex="0" role="group" aria-label="Table"><table>'
        yield f"<thead><tr>{''.join(_cells('th', block.heads, block.numbers))}</tr></thead>\n<tbody>"
        yield from (f"<tr>{''.join(_cells('td', row, block.numbers))}</tr>" for row in block.rows)
        yield "</tbody></table></div>"


def _cells(tag: str, cells: Sequence[str], numbers: frozenset[int]) -> Iterator[str]:
    scope = ' scope="col"' if tag == "th" else ' dir="auto"'
    for at, cell in enumerate(cells):
        kind = ' class="figure"' if at in numbers else ""
        yield f"<{tag}{scope}{kind}>{escape(cell)}</{tag}>"


def write_up_markdown(one: WriteUp) -> str:
    """A write-up as Markdown; nothing that is in its texts counts as a mark."""
    blocks = [f"# {_line(one.title)}", *(_markdown(block) for block in one.lead)]
    for section in one.sections:
        blocks.append(f"## {_line(section.title)}")
        blocks += [_markdown(block) for block in section.blocks]
    return "\n\n".join([*blocks, "* * *", _escaped(one.end)]) + "\n"


def _markdown(block: Block) -> str:
    if isinstance(block, Say):
        text = _lines(block.text, 0)
        return f"**{text}**" if block.is_strong else text
    if isinstance(block, Points):
        signs = [f"{n}." if block.is_numbered else "-" for n in range(1, len(block.items) + 1)]
        items = zip(signs, block.items, strict=True)
        return "\n".join(f"{sign} {_lines(item, len(sign) + 1)}" for sign, item in items)
    sides = "|".join(" --: " if at in block.numbers else " --- " for at in range(len(block.heads)))
    rows = [f"| {' | '.join(map(_line, row))} |" for row in block.rows]
    return "\n".join([f"| {' | '.join(map(_line, block.heads))} |", f"|{sides}|", *rows])


def _lines(text: str, indent: int) -> str:
    """Lines of a text with hard breaks between them; empty ones would end a paragraph."""
    kept = [_escaped(line) for line in text.split("\n") if line.strip()]
    return f"\\\n{' ' * indent}".join(kept)


def _line(text: str) -> str:
    return _escaped(" ".join(text.split()))


def _escaped(text: str) -> str:
    """Text with every sign that Markdown may take for a mark made plain (CommonMark 0.31, 2.4)."""
    return re.sub(r"[\\`*_{}\[\]<>()#+\-!|~&=^$:@.]", _if_needed, text.strip() or " ")


_ALWAYS = frozenset("\\`*_{}[]<>#|~&^$!@")


def _if_needed(found: re.Match[str]) -> str:
    """Some signs are marks only where a line begins, or as part of an address."""
    sign, text, at = found[0], found.string, found.start()
    if sign in _ALWAYS:
        return f"\\{sign}"
    before, after = text[:at].strip(), text[at + 1 : at + 3]
    if sign == ":" and after == "//":
        return "\\:"
    if sign == "." and text[max(0, at - 3) : at].lower() == "www":
        return "\\."
    if sign in "-+=" and not before:
        return f"\\{sign}"
    if sign in ".)" and before.isdigit() and not after[:1].strip():
        return f"\\{sign}"
    return sign
