"""Putting entries into the text of a workshop file, by the place of each value to the character.

Nothing is taken out of the text but an empty ``[]``. Whether the outcome still says the same is for the
caller to see (``workshop.insert``).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.events import (
    CollectionEndEvent,
    CollectionStartEvent,
    DocumentEndEvent,
    MappingStartEvent,
    ScalarEvent,
)

from onceapart.workshop.values import Plain
from onceapart.workshop.writing import BLOCK_SECTIONS, WIDTH, flow, item_lines, quoted

_BREAK = re.compile(r"\r\n|\n|\r")
_COMMENT_OR_COMMA = re.compile(r"#[^\r\n]*|,")
_BARE_IN_JSON = re.compile(r"true|false|-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?", re.ASCII)


@dataclass
class Node:
    """A value of the text, from ``start`` up to ``end``, and what it holds; keys and values in turn."""

    start: int
    end: int
    column: int
    """Of its first character; for a list of lines, of the first ``-``."""
    in_brackets: bool
    is_map: bool
    text: str | None
    """What it says, if it holds nothing else."""
    inside: list[Node] = field(default_factory=list)

    def value_of(self, key: str) -> Node | None:
        """The value behind a key of a map."""
        for name, value in zip(self.inside[::2], self.inside[1::2], strict=True):
            if name.text == key:
                return value
        return None


@dataclass
class Placed:
    root: Node
    end: int
    """Where the document ends: at its ``...``, or where the text does."""


def place_values(text: str) -> Placed:
    """Places of all values in a text that ``tree.build_tree`` finds nothing wrong with."""
    root: Node | None = None
    end = len(text)
    open_nodes: list[Node] = []
    for event in YAML(typ="safe", pure=True).parse(text):
        if isinstance(event, ScalarEvent | CollectionStartEvent):
            node = _node(event, text)
            if open_nodes:
                open_nodes[-1].inside.append(node)
            elif root is None:
                root = node
            if isinstance(event, CollectionStartEvent):
                open_nodes.append(node)
        elif isinstance(event, CollectionEndEvent):
            node = open_nodes.pop()
            # Without brackets it ends where the last thing in it does; the parser looks further ahead.
            node.end = event.end_mark.index if node.in_brackets else max(n.end for n in [*node.inside, node])
        elif isinstance(event, DocumentEndEvent) and event.explicit:
            end = event.start_mark.index
    assert root is not None
    return Placed(root, end)


def _node(event: Any, text: str) -> Node:
    start, column = event.start_mark.index, event.start_mark.column
    if isinstance(event, CollectionStartEvent):
        return Node(start, start, column, bool(event.flow_style), isinstance(event, MappingStartEvent), None)
    end = event.end_mark.index
    if event.style in ("|", ">"):
        end = start + len(text[start:end].rstrip())
    return Node(start, end, column, False, False, event.value)


def put_in(text: str, key: str, new: Sequence[Mapping[str, Any]]) -> str:
    """The text with entries at the end of the list behind a key.

    Parameters
    ----------
    text : str
        A readable workshop file, without a byte order mark.
    key : str
        Key of a list; it is put at the end of the text if it is not there.
    new : sequence of mapping
        Entries in the terms of the file: maps, lists, text, and ``Plain`` for what has no quotes.
    """
    placed = place_values(text)
    root, found = placed.root, placed.root.value_of(key)
    if root.in_brackets:
        pieces = [_json(entry) for entry in new]
        if found is None:
            return _in_brackets(text, root, [f"{quoted(key)}: {_json_list(text, root, pieces)}"])
        return _in_brackets(text, found, pieces)
    if found is None:
        lead = " " * root.column
        above = "" if text[: placed.end].endswith(("\n\n", "\r\n\r\n", "\r\r")) else _newline(text)
        head = _with_break(text, placed.end) + above + f"{lead}{key}:"
        return _lines_at(head + text[placed.end :], len(head), _lines(key, new, f"{lead}  "))
    if not found.in_brackets:
        # In block style only if the entry above is.
        lines = _lines(key, new, " " * found.column, fitting=found.inside[-1].in_brackets)
        return _lines_at(text, _below(text, found), lines)
    if _can_become_lines(text, found):
        head = text[: found.start].rstrip(" ")
        text = head + text[found.end :]
        return _lines_at(text, _line_end(text, len(head)), _lines(key, new, " " * (root.column + 2)))
    return _in_brackets(text, found, [flow("", entry) for entry in new], WIDTH)


def _lines(key: str, new: Sequence[Mapping[str, Any]], lead: str, *, fitting: bool = False) -> list[str]:
    """Lines of entries; with ``fitting``, one for each that fits on one."""
    in_block = key in BLOCK_SECTIONS and not fitting
    return [lead + line.removeprefix("  ") for entry in new for line in item_lines(entry, in_block=in_block)]


def _lines_at(text: str, at: int, lines: Sequence[str]) -> str:
    newline = _newline(text)
    return _with_break(text, at) + "".join(line + newline for line in lines) + text[at:]


def _below(text: str, node: Node) -> int:
    """Where the line after a list of lines starts; comments that are as deep as the list belong to it."""
    at = _line_end(text, node.end)
    while node.column > 0:
        line = text[at : _line_end(text, at)]
        words = line.lstrip(" ")
        if not words.startswith("#") or len(line) - len(words) < node.column:
            break
        at += len(line)
    return at


def _can_become_lines(text: str, node: Node) -> bool:
    """Whether it is an empty ``[]`` behind its key, with at most a comment after it."""
    before = text[_line_start(text, node.start) : node.start]
    after = text[node.end : _line_end(text, node.end)].strip()
    is_empty = not text[node.start + 1 : node.end - 1].strip()
    return is_empty and bool(before.strip()) and (not after or after.startswith("#"))


def _in_brackets(text: str, holder: Node, pieces: Sequence[str], widest: int | None = None) -> str:
    """The text with pieces before a closing bracket, each on a line of its own if the bracket has one."""
    close = holder.end - 1
    if not holder.inside:
        return text[:close] + ", ".join(pieces) + text[close:]
    last, lead, newline = holder.inside[-1], _lead_of_items(text, holder), _newline(text)
    if _closes_on_a_line_of_its_own(text, holder):
        line = _line_start(text, close)
        has_comma = "," in _COMMENT_OR_COMMA.findall(text[last.end : close])
        lines = f",{newline}".join(lead + piece for piece in pieces) + newline
        return text[: last.end] + ("" if has_comma else ",") + text[last.end : line] + lines + text[line:]
    length = _line_end(text, last.end) - _line_start(text, last.end) + sum(len(piece) + 2 for piece in pieces)
    between = f",{newline}{lead}" if widest is not None and length > widest else ", "
    return text[: last.end] + "".join(between + piece for piece in pieces) + text[last.end :]


def _closes_on_a_line_of_its_own(text: str, holder: Node) -> bool:
    line = _line_start(text, holder.end - 1)
    return line > holder.start and not text[line : holder.end - 1].strip()


def _lead_of_items(text: str, holder: Node) -> str:
    """What stands before an item on a line of its own within brackets."""
    start = holder.inside[-2 if holder.is_map else -1].start
    before = text[_line_start(text, start) : start]
    blank = before[: len(before) - len(before.lstrip())]
    return blank if blank == before else f"{blank}  "


def _json_list(text: str, root: Node, pieces: Sequence[str]) -> str:
    if not _closes_on_a_line_of_its_own(text, root):
        return f"[{', '.join(pieces)}]"
    newline, lead = _newline(text), _lead_of_items(text, root)
    step = lead or "  "
    lines = f",{newline}".join(lead + step + piece for piece in pieces)
    return f"[{newline}{lines}{newline}{lead}]"


def _json(value: Any) -> str:
    if isinstance(value, Mapping):
        pairs = (f"{quoted(name)}: {_json(one)}" for name, one in value.items())
        return "{" + ", ".join(pairs) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_json, value)) + "]"
    if isinstance(value, Plain) and _BARE_IN_JSON.fullmatch(value):
        return str(value)
    return quoted(str(value))


def _newline(text: str) -> str:
    found = _BREAK.search(text)
    return found.group() if found else "\n"


def _with_break(text: str, at: int) -> str:
    """The text up to a place, with a line break at the end of it."""
    head = text[:at]
    return head if not head or head.endswith(("\n", "\r")) else head + _newline(text)


def _line_start(text: str, at: int) -> int:
    return max(text.rfind("\n", 0, at), text.rfind("\r", 0, at)) + 1


def _line_end(text: str, at: int) -> int:
    """Where the line after starts."""
    found = _BREAK.search(text, at)
    return found.end() if found else len(text)
