"""Sums as a page: the list of them, what one asks for, and an answer."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from onceapart.cli.page import Page
from onceapart.cli.screen import GAP, table
from onceapart.cli.wrapping import wrapped
from onceapart.sums.inputs import ChoiceInput, Input, RowsInput, TextInput
from onceapart.sums.present import System, shown_lines, shown_rows
from onceapart.sums.registry import Family, Source, Status, Sum

if TYPE_CHECKING:
    from onceapart.sums.result import Reading, Result

INDENT = "  "
_LONG = 40


def list_text(families: Iterable[Family], width: int, bold: Callable[[str], str] = str) -> str:
    """Sums family by family, each with its question; without Rich, as loading all sums takes long enough."""
    families = list(families)
    name_width = max(len(each.name) for family in families for each in family.sums)
    lines = []
    for family in families:
        lines.append(bold(family.title))
        for each in family.sums:
            lead = f"{INDENT}{each.name.ljust(name_width)}  "
            lines.append(wrapped(each.question, width, lead, " " * len(lead)))
        lines.append("")
    more = (
        "`onceapart sum NAME` shows what a sum asks for and where its figures come from; "
        "with --example it runs an example."
    )
    return "\n".join([*lines, wrapped(more, width)])


def describe_page(asked: Sum) -> Page:
    """What a sum asks for and answers, how far its figures can be trusted, and a line that runs."""
    from rich.text import Text

    page = _titled(asked)
    needed = [each for each in asked.inputs if not _may_be_left_out(each)]
    others = [each for each in asked.inputs if _may_be_left_out(each)]
    for heading, inputs in (("Inputs needed", needed), ("Inputs that may be left out", others)):
        if inputs:
            page.heading(heading)
            _pairs(page, [(each.name, input_words(each)) for each in inputs])
    page.heading("Answers")
    if asked.verdicts:
        page.sentences([f"Verdict: {', '.join(asked.verdicts)}"])
    page.sentences(each.label for each in asked.outputs)
    _listed(page, "Cautions", asked.cautions)
    _listed(page, "Sources", map(str, asked.sources))
    page.heading("Example")
    for line in example_lines(asked, page.width - len(INDENT)):
        page.add(Text(INDENT + line, no_wrap=True, overflow="ignore"))
    page.paragraph("The same: `--example` in place of the inputs. A unit may be metric or imperial.")
    return page


def answer_page(asked: Sum, result: Result, system: System) -> Page:
    """An answer: how the inputs were read, verdict, figures, what to mind, cautions and sources."""
    from rich.padding import Padding

    page = _titled(asked)
    _add_readings(page, result.readings)
    if result.verdict:
        page.heading(f"Verdict: {result.verdict}")
    elif result.reasons:
        page.heading("Reasons")
    page.sentences(result.reasons)
    lines = [(line.label, line.words) for line in shown_lines(asked.outputs, result, system)]
    if lines:
        page.heading("Answer")
        _pairs(page, lines)
    _listed(page, "Mind", result.warnings)
    for title, headings, rows in shown_rows(result, system):
        page.heading(title)
        widths = fitted_widths([headings, *rows], page.width - len(INDENT))
        page.add(Padding(table(headings, rows, widths), (0, 0, 0, len(INDENT))))
    _listed(page, "Cautions", asked.cautions)
    page.heading("Sources", "`onceapart sum NAME` says what each gives")
    _pairs(page, list(short_sources(asked.sources)))
    if result.drawing or result.plot:
        options = [
            *(["`--drawing FILE.svg` draws it"] if result.drawing else []),
            *(["`--plot FILE.png` or `.svg` plots it"] if result.plot else []),
        ]
        page.paragraph(f"{'; '.join(options)}.")
    return page


def input_words(each: Input) -> str:
    """One input in words: label, what may be typed, what is taken if it is left out, where to find it."""
    accepts = each.accepts
    if isinstance(each, ChoiceInput):
        accepts = "; ".join(
            f"{word}: {meaning}" if meaning else word for word, meaning in each.choices.items()
        )
    elif not isinstance(each, TextInput):
        accepts = f"{accepts}, such as {each.example}"
    words = [f"{each.label}: {accepts}."]
    if each.default is not None:
        words.append(f"Taken as {each.default} if left out.")
    if isinstance(each, RowsInput) and each.most > 1:
        columns = ", columns by `:`" if len(each.columns) > 1 else ""
        words.append(f"Rows are set apart by `;`{columns}.")
    if each.help:
        words.append(each.help if each.help[-1] in ".!?" else f"{each.help}.")
    return " ".join(words)


def example_lines(asked: Sum, width: int) -> list[str]:
    """The example as lines of a command that can be pasted into a shell."""
    words = ["onceapart sum", asked.name, *(f"{name}={quoted(text)}" for name, text in asked.example.items())]
    lines = [words[0]]
    for word in words[1:]:
        # Rows may stand on lines of their own inside the quotes.
        pieces = [word] if len(word) + 4 <= width else re.sub(r";\s*", ";\n", word).split("\n")
        if len(lines[-1]) + len(pieces[0]) + 3 <= width:
            lines[-1] += f" {pieces[0]}"
        else:
            lines[-1] += " \\"
            lines.append(f"{INDENT}{pieces[0]}")
        lines += [f"{INDENT * 2}{piece}" for piece in pieces[1:]]
    return lines


def quoted(text: str) -> str:
    """Text as one word of a shell, in double quotes where they do."""
    if re.fullmatch(r"[\w.,:/%+-]+", text, re.ASCII):
        return text
    return shlex.quote(text) if re.search(r'["$`\\!]', text) else f'"{text}"'


def short_sources(sources: Sequence[Source]) -> list[tuple[str, str]]:
    """Status, and the documents of that status without what each gives."""
    by_status: dict[Status, dict[str, None]] = {status: {} for status in Status}
    for source in sources:
        by_status[source.status][", ".join(filter(None, [source.document, source.place]))] = None
    return [(status.value.capitalize(), "; ".join(names)) for status, names in by_status.items() if names]


def fitted_widths(rows: Sequence[Sequence[str]], width: int) -> list[int]:
    """Cells for each column: narrow ones get what they need, wide ones share what is left."""
    from rich.cells import cell_len

    needs = [max(map(cell_len, column)) for column in zip(*rows, strict=True)]
    room = width - GAP * (len(needs) - 1)
    if sum(needs) > room:  # a heading may be wrapped before a figure is
        for at, (heading, *cells) in enumerate(zip(*rows, strict=True)):
            needs[at] = max(map(cell_len, [*heading.split(), *cells, "-"]))
    widths = [0] * len(needs)
    for left, at in zip(
        range(len(needs), 0, -1), sorted(range(len(needs)), key=needs.__getitem__), strict=True
    ):
        widths[at] = max(1, min(needs[at], room // left))
        room -= widths[at]
    return widths


def _may_be_left_out(each: Input) -> bool:
    return each.optional or each.default is not None


def _titled(asked: Sum) -> Page:
    page = Page()
    page.line(asked.title, f"({asked.name})")
    page.add(wrapped(asked.question, page.width))
    return page


def _add_readings(page: Page, readings: Sequence[Reading]) -> None:
    """Each input as understood; what was not given stands together below."""
    typed = [(each.label, _reading_words(each)) for each in readings if each.typed]
    page.heading("Read as")
    _pairs(page, typed)
    taken = [f"{each.label.lower()} {each.words}" for each in readings if not each.typed and each.note]
    missing = [each.label.lower() for each in readings if not each.typed and not each.note]
    page.sentences(
        f"{lead}: {'; '.join(names)}"
        for lead, names in (("Not given, so taken as this", taken), ("Not given", missing))
        if names
    )


def _reading_words(reading: Reading) -> str:
    """As typed and as understood; one of them where they are the same or too long to compare."""
    is_short = len(reading.typed) <= _LONG and reading.typed != reading.words
    words = f"{reading.typed} = {reading.words}" if is_short else reading.words
    return f"{words} ({reading.note})" if reading.note else words


def _listed(page: Page, heading: str, sentences: Iterable[str]) -> None:
    sentences = list(sentences)
    if sentences:
        page.heading(heading)
        page.sentences(sentences)


def _pairs(page: Page, pairs: Sequence[tuple[str, str]]) -> None:
    """Labels and what belongs to them, both wrapped."""
    from rich.padding import Padding

    room = page.width - len(INDENT)
    label_width = max(1, min(max((len(label) for label, _ in pairs), default=1), room // 2))
    widths = [label_width, room - GAP - label_width]
    page.add(Padding(table((), pairs, widths), (0, 0, 0, len(INDENT))))
