"""Files that break readers, by accident or on purpose: refused soon, clearly and by one kind of error."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workshop_cases import SMALL, problems_of, workshops

from onceapart.errors import WorkshopFileError
from onceapart.workshop import parse_workshop, read_workshop, write_workshop

N = 300_000
SLOW_SECONDS = 10.0
"""Far above what any of these takes (0 to 2 s): it tells quick from never."""


def with_jobs(jobs: Iterable[tuple[str, str, str]]) -> str:
    """The small file with jobs more, each an id, a car and what it comes after."""
    lines = (
        f"  - {{id: {name}, car: {car}, need: wish, minutes: 1, after: [{after}]}}\n"
        for name, car, after in jobs
    )
    return SMALL.replace("jobs:\n", "jobs:\n" + "".join(lines))


HOSTILE: dict[str, tuple[str | bytes, str]] = {
    "empty": ("", "the file is empty"),
    "blank": (" \n\n", "the file is empty"),
    "only a comment": ("# nothing\n", "the file is empty"),
    "only a mark": ("---\n...\n", "the file is empty"),
    "a list": ("- a\n", "a map of keys"),
    "a text": ("hello", "a map of keys"),
    "two documents": (SMALL + "---\n" + SMALL, "one document"),
    "not UTF-8": (SMALL.encode().replace(b"Quay", b"Qu\xe4y"), "UTF-8 text"),
    "UTF-16": (SMALL.encode("utf-16"), "UTF-8 text"),
    "NUL": (SMALL.replace("Quay", "Qu\0y"), "printable text"),
    "escape code": (SMALL.replace("Quay", "\x1b[31m"), "printable text"),
    "surrogate": ("name: \ud800", "printable text"),
    "escaped surrogate": (SMALL.replace("Quay Lane", '"\\ud800"'), "control characters"),
    "escape out of range": (SMALL.replace("Quay Lane", '"\\U00110000"'), "not readable as YAML"),
    "writing turned round": (SMALL.replace("Quay", "\u202eQuay"), "control characters"),
    "binary": (bytes(range(256)), "UTF-8 text"),
    "tabs": (SMALL.replace("    name: The Wren", "\tname: The Wren"), "not readable as YAML"),
    "open quote": (SMALL.replace("name: Quay", 'name: "Quay'), "not readable as YAML"),
    "open bracket": (SMALL.replace("[wren-cv-boot]", "[wren-cv-boot"), "not readable as YAML"),
    "anchor": (SMALL.replace("name: Quay Lane", "name: &a Quay Lane"), "no anchors"),
    "alias": (SMALL.replace("name: Quay Lane", "name: *a"), "no aliases"),
    "an alias to what holds it": (SMALL.replace("cars:\n", "cars: &a\n  - *a\n"), "no aliases"),
    "anchors that explode": (
        "a0: &a0 [x]\n" + "".join(f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]\n" for i in range(1, 30)),
        "no aliases",
    ),
    "merge key": (SMALL.replace("  - id: wren\n", "  - id: wren\n    <<: {name: x}\n"), "no merge keys"),
    "tag": (SMALL.replace("hour_worth: ", "hour_worth: !!float "), "no tags"),
    "tag that runs code elsewhere": (SMALL + "x: !!python/object/apply:os.system [ls]\n", "no tags"),
    "YAML 1.1": ("%YAML 1.1\n---\n" + SMALL, "plain YAML 1.2"),
    "YAML 9": ("%YAML 9.9\n---\n" + SMALL, "not readable as YAML"),
    "TAG line": ("%TAG ! tag:x,2000:\n---\n" + SMALL, "plain YAML 1.2"),
    "map as a key": (SMALL + "? {a: b}\n: c\n", "a key is one word"),
    "list as a key": (SMALL + "? [a, [b]]\n: c\n", "a key is one word"),
    "long key": (SMALL + f"? {'k' * 5000}\n: c\n", "keys have at most"),
    "huge whole number": (SMALL.replace("minutes: 8", "minutes: " + "9" * 100_000), "go up to"),
    "huge amount": (SMALL.replace("price: 14.90", "price: " + "9" * 100_000), "money goes up to"),
    "huge places": (SMALL.replace("price: 14.90", "price: 0." + "9" * 100_000), "at most two places"),
    "50 MB": (b"#" * 50_000_000, "at most 1,000,000 bytes"),
    "nested lists on one line": ("a: " + "[" * N, "nests deeper"),
    "nested lists on many lines": ("[\n" * (N // 2), "nests deeper"),
    "nested maps": ("{a: " * (N // 4), "nests deeper"),
    "nested dashes": ("- " * (N // 2), "nests deeper"),
    "nested question marks": ("? " * (N // 2), "nests deeper"),
    "nested by indent": ("".join(" " * i + "a:\n" for i in range(1300)), "nests deeper"),
    "one colon after another": ("a: " * (N // 3), "not readable as YAML"),
    "open quote, much text": ('a: "' + "x" * N, "not readable as YAML"),
    "many entries in brackets": ("[" + "a," * (N // 2) + "]", "at most 100,000 values"),
    "many empty keys": (": \n" * (N // 7), "stands there already"),
    "many tags": ("- !!x y\n" * (N // 16), "no tags"),
    "many directives": ("%X\n" * (N // 6), "not readable as YAML"),
    "many lines of text": ("a: " + "x\n  " * (N // 4), "not known"),
    "many words": (SMALL.replace("Quay Lane", "x " * (N // 2)), "200 letters"),
    "many blank lines": ("a: b" + "\n" * N, "not known"),
    "many wrong entries": (SMALL + "z: []\ncars:\n" + "  - x\n" * 20_000, "already"),
    "many wrong numbers": (
        SMALL.replace("shelf: {", "shelf: {" + "".join(f"p{i}: x, " for i in range(10_000))),
        "whole numbers",
    ),
    "many dangling names": (
        SMALL.replace("after: []", f"after: [{', '.join(f'wren-cv-boo{i}' for i in range(10_000))}]"),
        "there is no job",
    ),
    "many unlike ids": (with_jobs((f"wren-a{i}", f"w{i}", "") for i in range(2_000)), "there is no car"),
    "one thing seen many times": (
        SMALL + f"findings:\n  - {{car: wren, item: a, date: 2026-03-01, seen: [{'split, ' * 40_000}]}}\n",
        "named twice",
    ),
    "many marks": (
        SMALL.replace(
            "layout:", f"marks: {{{', '.join(f'front/a{i}: x' for i in range(5_000))}}}\n    layout:"
        ),
        "with its unit",
    ),
    "many findings on unlike cars": (
        SMALL
        + "findings:\n"
        + "".join(f"  - {{car: w{i}, item: a, date: 2026-03-01, seen: [x]}}\n" for i in range(2_000)),
        "there is no car",
    ),
    "many cases": (
        SMALL.replace("minutes: 8", f"minutes: 8\n    between: [{', '.join(['8'] * 9_000)}]"),
        "a list of two",
    ),
    "a long number": (
        SMALL.replace("layout:", f"mass: {'9' * 900_000} kg\n    layout:"),
        "at most 200 letters",
    ),
    "one long cycle": (with_jobs((f"j{i}", "wren", f"j{(i + 1) % 3000}") for i in range(3000)), "leads back"),
    "everything after everything": (
        with_jobs((f"j{i}", "wren", ", ".join(f"j{k}" for k in range(150))) for i in range(150)),
        "leads back",
    ),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_refused_soon_and_clearly(name: str) -> None:
    text, rule = HOSTILE[name]
    start = time.process_time()
    with pytest.raises(WorkshopFileError) as caught:
        parse_workshop(text, "hostile.yaml")
    assert time.process_time() - start < SLOW_SECONDS
    assert any(rule in problem.rule for problem in caught.value.problems)
    assert len(caught.value.problems) <= 201
    assert max(map(len, str(caught.value).splitlines())) < 600
    assert str(caught.value).startswith("hostile.yaml: ")


def test_more_problems_than_are_told_are_counted() -> None:
    text = SMALL.replace("shelf: {", "shelf: {" + "".join(f"p{i}: x, " for i in range(500)))
    said = problems_of(text)
    assert len(said) == 201
    assert said[-1].rule == "there are 300 more problems"


def test_a_file_that_is_not_there_or_no_file_is_named(tmp_path: Path) -> None:
    for path, rule in [
        (tmp_path / "none.yaml", "no such file"),
        (tmp_path, "a folder"),
        (tmp_path / ("x" * 300), "cannot be read"),
        (Path("a\0b"), "cannot be read"),
        (Path("/dev/zero"), "at most 1,000,000 bytes"),
    ]:
        with pytest.raises(WorkshopFileError, match=rule):
            read_workshop(path)


def test_a_file_that_may_not_be_read_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(WorkshopFileError, match="may not be read; change its permissions"):
        read_workshop(tmp_path / "locked.yaml")


def test_a_large_file_is_not_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "large.yaml"
    with path.open("wb") as file:
        file.truncate(50_000_000_000)  # sparse: it takes no room
    with pytest.raises(WorkshopFileError, match="at most 1,000,000 bytes"):
        read_workshop(path)
    os.truncate(path, 0)


def only_workshop_file_errors(text: str | bytes) -> None:
    """Read a text; any error but the one that is meant comes out of here."""
    data = text.encode("utf-8", "replace") if isinstance(text, str) else text
    most = data.count(b"\n") + data.count(b"\r") + 2
    for problem in problems_of(text):
        assert problem.rule
        assert problem.way_out
        assert problem.where
        assert problem.line is None or 1 <= problem.line <= most
        assert "\n" not in str(problem)


# fmt: off
SNIPPETS = [
    "{", "}", "[", "]", ",", ":", ": ", "- ", "? ", "| ", "> ", "&a ", "*a", "!!str ", "! ", "<<: ", "# ",
    "%", "@", "`", '"', "'", "''", "\\", '"\\x00"', "\n", "\n  ", "\n    ", "\t", "\r", "---\n", "...\n",
    "null", "~", "true", "1", "-1", "0.5", "1e9", ".nan", "9" * 30, "2026-03-07", "%YAML 1.1\n",
    "\x85", "\u2028", "\ufeff", "\0", "\U0001f600", "\xa0",
    "wren", "id: ", "minutes: ", "recipe: ", "a: b", "[a, b]", "{a: 1}",
]
# fmt: on


@st.composite
def mutated(draw: st.DrawFn, base: Callable[[st.DrawFn], str]) -> str:
    """A good file with some of it cut out, doubled, moved or overwritten."""
    text = base(draw)
    for _ in range(draw(st.integers(1, 6))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.sampled_from([0, 0, 1, 1, 2, 5, 20, 80])))
        new = draw(st.sampled_from(SNIPPETS) | st.text(max_size=4) | st.just(text[start:end] * 2))
        text = text[:start] + new + text[end:]
    return text


@given(mutated(lambda _: SMALL))
def test_a_mutated_file_gives_only_the_error_that_is_meant(text: str) -> None:
    only_workshop_file_errors(text)


@settings(max_examples=50, deadline=None)  # drawing a whole workshop takes most of the time
@given(mutated(lambda draw: write_workshop(draw(workshops()))))
def test_a_mutated_written_file_gives_only_the_error_that_is_meant(text: str) -> None:
    only_workshop_file_errors(text)


@given(
    st.binary(max_size=60)
    | st.text(max_size=60)
    | st.lists(st.sampled_from(SNIPPETS), max_size=25).map("".join)
)
def test_any_text_gives_only_the_error_that_is_meant(text: str | bytes) -> None:
    only_workshop_file_errors(text)


# Values of every kind at every place: the reader may say what it likes, but in the one way.
values = st.recursive(
    st.sampled_from(
        ["x", "1", "-1", "1.5", "null", "true", '"q"', "2026-01-01", "", "a b", "[]", "{}", "''"]
    ),
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
        | st.dictionaries(
            st.sampled_from(["id", "a", "minutes", "due", "1", "parts", "seen", "value", "between", "facts"]),
            inner,
            max_size=3,
        ).map(lambda entries: "{" + ", ".join(f"{key}: {value}" for key, value in entries.items()) + "}")
    ),
    max_leaves=6,
)
PLACES_OF_VALUES = [
    line
    for line in SMALL.splitlines()
    if ": " in line and not line.strip().startswith("- {") and "format" not in line
]


@given(st.lists(st.tuples(st.sampled_from(PLACES_OF_VALUES), values), min_size=1, max_size=4))
def test_any_value_at_any_place_gives_only_the_error_that_is_meant(changes: list[tuple[str, str]]) -> None:
    text = SMALL
    for line, value in changes:
        text = text.replace(line, f"{line.split(': ')[0]}: {value}", 1)
    only_workshop_file_errors(text)


@given(
    st.sampled_from(
        ["cars", "findings", "tools", "access", "aftercare", "jobs", "sellers", "offers", "stints", "shelf"]
    ),
    values,
)
def test_any_section_gives_only_the_error_that_is_meant(section: str, value: str) -> None:
    only_workshop_file_errors(
        f"format: onceapart-workshop/1\nname: a\ncurrency: EUR\nhour_worth: 1\n{section}: {value}\n"
    )
    only_workshop_file_errors(
        f"format: onceapart-workshop/1\nname: a\ncurrency: EUR\nhour_worth: 1\n{section}:\n  - {value}\n"
    )
