"""Entries are added to a file that somebody wrote by hand, and all else in it stays as it was."""

from __future__ import annotations

import datetime as dt
import json
import os
import stat
import time
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workshop_cases import SMALL, findings, workshops

from onceapart.errors import WorkshopFileError
from onceapart.workshop import (
    Car,
    Finding,
    Job,
    Offer,
    Workshop,
    add_entries,
    parse_workshop,
    read_workshop,
    replace_file,
    with_entries,
    write_workshop,
)
from onceapart.workshop.tree import build_tree
from onceapart.workshop.values import Plain

STINT = {"date": dt.date(2026, 5, 2), "minutes": 90}
STINT_LINE = "  - {date: 2026-05-02, minutes: 90}\n"
OLD_STINTS = "stints:\n  - {date: 2026-03-07, minutes: 300}\n"


def with_stints(stints: str) -> str:
    assert OLD_STINTS in SMALL
    return SMALL.replace(OLD_STINTS, stints)


# What stands at the end of the file, and what has to stand there with one stint more.
SHAPES = {
    "lines": (OLD_STINTS, OLD_STINTS + STINT_LINE),
    "no line break at the end": (OLD_STINTS.rstrip("\n"), OLD_STINTS + STINT_LINE),
    "lines without an indent": (
        "stints:\n- {date: 2026-03-07, minutes: 300}\n",
        "stints:\n- {date: 2026-03-07, minutes: 300}\n- {date: 2026-05-02, minutes: 90}\n",
    ),
    "keys on lines": (
        "stints:\n    - date: 2026-03-07\n      minutes: 300   # five hours\n",
        "stints:\n    - date: 2026-03-07\n      minutes: 300   # five hours\n"
        "    - {date: 2026-05-02, minutes: 90}\n",
    ),
    "a comment below that is as deep": (
        OLD_STINTS + "    # until dusk\n  # - {date: 2026-03-08, minutes: 300}\n# The end.\n",
        OLD_STINTS
        + "    # until dusk\n  # - {date: 2026-03-08, minutes: 300}\n"
        + STINT_LINE
        + "# The end.\n",
    ),
    "blank lines below": (OLD_STINTS + "\n\n# The end.\n", OLD_STINTS + STINT_LINE + "\n\n# The end.\n"),
    "folded text at the end": (
        "stints:\n  - minutes: 300\n    date: 2026-03-07\n    id:\n      late\n\n# The end.\n",
        "stints:\n  - minutes: 300\n    date: 2026-03-07\n    id:\n      late\n"
        + STINT_LINE
        + "\n# The end.\n",
    ),
    "text of several lines at the end": (
        "stints:\n  - minutes: 300\n    date: 2026-03-07\n    id: >-\n      late\n\n# The end.\n",
        "stints:\n  - minutes: 300\n    date: 2026-03-07\n    id: >-\n      late\n"
        + STINT_LINE
        + "\n# The end.\n",
    ),
    "a key with a mark": (
        "? stints\n: - date: 2026-03-07\n    minutes: 300\n",
        "? stints\n: - date: 2026-03-07\n    minutes: 300\n" + STINT_LINE,
    ),
    "nothing in it": ("stints: []\n", "stints:\n" + STINT_LINE),
    "nothing in it, with a comment": ("stints: [ ]  # none\n", "stints:  # none\n" + STINT_LINE),
    "nothing in it, on the line below": ("stints:\n  []\n", "stints:\n  [{date: 2026-05-02, minutes: 90}]\n"),
    "a comment in empty brackets": (
        "stints: [  # none yet\n  ]\n",
        "stints: [  # none yet\n  {date: 2026-05-02, minutes: 90}]\n",
    ),
    "brackets on one line": (
        "stints: [{date: 2026-03-07, minutes: 300}]  # one\n",
        "stints: [{date: 2026-03-07, minutes: 300}, {date: 2026-05-02, minutes: 90}]  # one\n",
    ),
    "brackets with a last comma": (
        "stints: [{date: 2026-03-07, minutes: 300}, ]\n",
        "stints: [{date: 2026-03-07, minutes: 300}, {date: 2026-05-02, minutes: 90}, ]\n",
    ),
    "brackets on a long line": (
        "stints: [{date: 2026-03-07, minutes: 300}, {date: 2026-03-08, minutes: 300}]   # two Saturdays\n",
        "stints: [{date: 2026-03-07, minutes: 300}, {date: 2026-03-08, minutes: 300},\n"
        "  {date: 2026-05-02, minutes: 90}]   # two Saturdays\n",
    ),
    "brackets on lines": (
        "stints: [\n    {date: 2026-03-07, minutes: 300}  # one, so far\n  ]\n",
        "stints: [\n    {date: 2026-03-07, minutes: 300},  # one, so far\n"
        "    {date: 2026-05-02, minutes: 90}\n  ]\n",
    ),
    "brackets on lines with a last comma": (
        "stints: [\n    {date: 2026-03-07, minutes: 300},  # one, so far\n  ]\n",
        "stints: [\n    {date: 2026-03-07, minutes: 300},  # one, so far\n"
        "    {date: 2026-05-02, minutes: 90}\n  ]\n",
    ),
    "no such key": ("# The end.\n", "# The end.\n\nstints:\n" + STINT_LINE),
    "no such key, and a blank line": ("# The end.\n\n", "# The end.\n\nstints:\n" + STINT_LINE),
    "no such key, and no line break": ("# The end.", "# The end.\n\nstints:\n" + STINT_LINE),
    "no such key, and a mark": (
        "# The end.\n...\n# After it.\n",
        "# The end.\n\nstints:\n" + STINT_LINE + "...\n# After it.\n",
    ),
}


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_an_entry_goes_where_a_person_would_put_it(shape: str, end: str) -> None:
    old, new = (with_stints(part).replace("\n", end) for part in SHAPES[shape])
    assert with_entries(old, "stints", [STINT]) == new
    assert with_entries("\ufeff" + old, "stints", [STINT]) == "\ufeff" + new
    assert len(parse_workshop(new).stints) == len(parse_workshop(old).stints) + 1


def test_a_list_in_the_middle_grows_where_it_is() -> None:
    new = with_entries(
        SMALL, "tools", [{"id": "press", "hire": Decimal("14.00")}, {"id": "saw", "have": True}]
    )
    below = "  - {id: spring-compressor, hire: 9.00, buy: 42.00}\n"
    assert new == SMALL.replace(below, below + "  - {id: press, hire: 14.00}\n  - {id: saw, have: true}\n")


def test_a_job_is_written_as_the_one_above_it() -> None:
    job = {"id": "wren-pads", "car": "wren", "need": "safety", "recipe": "disc-pads", "place": "front"}
    new = with_entries(SMALL, "jobs", [job])
    assert "  - {id: wren-pads, car: wren, need: safety, recipe: disc-pads, place: front}\nsellers:" in new
    above = "  - {id: wren-mats, car: wren, need: wish, minutes: 5, worth: 20.5, after: [wren-cv-boot]}\n"
    new = with_entries(SMALL.replace(above, ""), "jobs", [job])
    assert "  - id: wren-pads\n    car: wren\n    need: safety\n    recipe: disc-pads\n" in new


def test_models_and_their_keys_in_file_terms_are_the_same() -> None:
    models = [
        Offer(id="a", seller="counter", parts={"price": 2}, price=1490, limit=3),
        Offer(id="b", seller="counter", title="206", parts={"x": 1}, price=5),
    ]
    maps: list[dict[str, Any]] = [
        {"id": "a", "seller": "counter", "parts": {"price": 2}, "price": Decimal("14.90"), "limit": 3},
        {"id": "b", "seller": "counter", "title": "206", "parts": {"x": 1}, "price": Decimal("0.05")},
    ]
    text = with_entries(SMALL, "offers", models)
    assert text == with_entries(SMALL, "offers", maps)
    assert parse_workshop(text).offers[1:] == tuple(models)


def test_dates_may_be_text_and_none_leaves_a_key_out() -> None:
    text = with_entries(SMALL, "stints", [{"date": "2026-05-02", "minutes": 90, "id": None}])
    assert text == SMALL + STINT_LINE


JSON = '{"format": "onceapart-workshop/1", "name": "N", "currency": "EUR", "hour_worth": 1.5'


@pytest.mark.parametrize(
    "text",
    [
        f"{JSON}}}",
        f'{JSON}, "stints": []}}',
        f'{JSON}, "stints": [{{"date": "2026-01-01", "minutes": 1}}], "shelf": {{}}}}\n',
        json.dumps(json.loads(f"{JSON}}}"), indent=2),
        json.dumps(json.loads(f"{JSON}}}"), indent="\t"),
        json.dumps(
            json.loads(f'{JSON}, "stints": [{{"date": "2026-01-01", "minutes": 1}}]}}'), indent=2
        ).replace("\n", "\r\n"),
    ],
)
def test_json_stays_json(text: str) -> None:
    before = json.loads(text)
    after = json.loads(
        with_entries(text, "stints", [STINT, {**STINT, "date": dt.date(2026, 5, 3), "id": "a"}])
    )
    added = [{"date": "2026-05-02", "minutes": 90}, {"date": "2026-05-03", "minutes": 90, "id": "a"}]
    assert after == {**before, "stints": [*before.get("stints", []), *added]}


def test_json_on_lines_gets_lines() -> None:
    text = json.dumps(json.loads(f"{JSON}}}"), indent=2)
    assert with_entries(text, "cars", [Car(id="wren", name='Ü "x"')]) == text.replace(
        '"hour_worth": 1.5\n',
        '"hour_worth": 1.5,\n  "cars": [\n    {"id": "wren", "name": "Ü \\"x\\""}\n  ]\n',
    )


def test_a_file_that_is_indented_as_a_whole_stays_so() -> None:
    text = "".join(f"  {line}" for line in SMALL.splitlines(keepends=True))
    entry = {"car": "wren", "item": "seat", "seen": ["torn"], "date": "2026-03-01"}
    added = "\n  findings:\n    - {car: wren, item: seat, seen: [torn], date: 2026-03-01}\n"
    assert with_entries(text, "findings", [entry]) == text + added


def test_a_text_that_would_say_something_else_is_not_handed_out(monkeypatch: pytest.MonkeyPatch) -> None:
    def careless(text: str, key: str, new: object) -> str:
        return text.replace("price: 14.90", "price: 14.00") + STINT_LINE

    monkeypatch.setattr("onceapart.workshop.insert.put_in", careless)
    with pytest.raises(WorkshopFileError, match="without touching something else") as caught:
        with_entries(SMALL, "stints", [STINT])
    assert "add it by hand: {date: 2026-05-02, minutes: 90}" in str(caught.value)


def test_nothing_to_add_changes_nothing() -> None:
    assert with_entries(SMALL, "jobs", []) == SMALL


@pytest.mark.parametrize(
    ("key", "entry", "rule"),
    [
        ("jobs", {"id": "wren-mats", "car": "wren", "need": "wish", "minutes": 1}, "another job"),
        ("jobs", {"id": "a", "car": "nobody", "need": "wish", "minutes": 1}, "there is no car"),
        ("jobs", {"id": "a", "car": "wren", "need": "wish", "minuts": 1}, "not known"),
        ("findings", {"car": "wren", "item": "tread", "value": "2.4", "date": "2026-03-01"}, "with its unit"),
        ("findings", {}, "is missing"),
        ("stints", {"date": "2026-03-07", "minutes": 1}, "on this day"),
        ("offers", {"id": "a", "seller": "counter", "parts": {"x": 1}, "price": "1.00"}, "in quotes"),
    ],
)
def test_entries_that_would_break_the_file_are_refused(key: str, entry: dict[str, Any], rule: str) -> None:
    with pytest.raises(WorkshopFileError, match=rule) as caught:
        with_entries(SMALL, key, [entry], "quay.yaml")
    assert str(caught.value).startswith(f"quay.yaml, with what is to be added to its `{key}`: ")


@pytest.mark.parametrize(
    ("key", "entry", "error"),
    [
        ("shelf", STINT, ValueError),
        ("name", STINT, ValueError),
        ("stints", {"date": dt.date(2026, 5, 2), "minutes": 90.0}, TypeError),
        ("stints", {"date": dt.datetime(2026, 5, 2), "minutes": 90}, TypeError),
        ("tools", {"id": "a", "hire": 9}, TypeError),  # nine of the currency, or of its cents?
        ("tools", {"id": "a", "have": {1}}, TypeError),
        ("tools", "a", WorkshopFileError),
    ],
)
def test_what_no_file_can_hold_is_refused(key: str, entry: Any, error: type[Exception]) -> None:
    with pytest.raises(error):
        with_entries(SMALL, key, [entry])


def test_a_file_that_can_not_be_used_is_refused_with_its_own_problems() -> None:
    with pytest.raises(WorkshopFileError, match=r"quay.yaml: 1 problem\(s\)\nline 46: offers"):
        with_entries(SMALL.replace("price: 14.90", "price: x"), "stints", [STINT], "quay.yaml")
    with pytest.raises(WorkshopFileError, match="nothing under this key"):
        with_entries(with_stints("stints:\n"), "stints", [STINT])


# Files in many shapes: each list as lines at some depth, in brackets, or as the writer writes it.
def as_flow(value: Any) -> str:
    """File terms on one line, the way of this test."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{as_flow(key)}: {as_flow(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(as_flow, value)) + "]"
    if isinstance(value, Plain):
        return str(value)
    # JSON writes what is above U+FFFF as two escapes, and YAML as one.
    quoted = (json.dumps(one)[1:-1] if ord(one) < 0x10000 else one for one in value)
    return f'"{"".join(quoted)}"'


def as_lines(entry: dict[str, Any], indent: int) -> str:
    lines = [f"{key}: {as_flow(value)}" for key, value in entry.items()]
    return " " * indent + "- " + f"\n{' ' * indent}  ".join(lines)


@st.composite
def shaped_files(draw: st.DrawFn, workshop: Workshop) -> str:
    """Text of the workshop as somebody may have written it, with comments."""
    tree, _ = build_tree(write_workshop(workshop))
    parts = []
    for key, value in tree.items():
        if not isinstance(value, list):
            parts.append(f"{key}: {as_flow(value)}")
            continue
        shape = draw(st.sampled_from(["lines", "flow in lines", "one line", "brackets on lines"]))
        indent = draw(st.sampled_from([0, 2, 4]))
        note = draw(st.sampled_from(["", "  # a note: [x, y]", " # ]"]))
        if shape == "lines":
            entries = [as_lines(entry, indent) + note for entry in value]
            parts.append("\n".join([f"{key}:{note}", *entries]))
        elif shape == "flow in lines":
            entries = [f"{' ' * indent}- {as_flow(entry)}{note}" for entry in value]
            parts.append("\n".join([f"{key}:", *entries]))
        elif shape == "one line":
            parts.append(f"{key}: {as_flow(value)}{note}")
        else:
            last = draw(st.sampled_from([",", ""]))
            entries = [
                f"   {as_flow(entry)}{',' if entry is not value[-1] else last}{note}" for entry in value
            ]
            parts.append("\n".join([f"{key}: [{note}", *entries, f" ]{note}"]))
    between = draw(st.sampled_from(["\n", "\n\n", "\n# what comes next\n"]))
    text = between.join(parts) + draw(st.sampled_from(["", "\n", "\n\n", "\n# the end", "\n...\n"]))
    return text.replace("\n", draw(st.sampled_from(["\n", "\n", "\r\n"])))


def is_within(old: str, new: str) -> bool:
    """Whether all characters of the one stand in the other in their order."""
    rest = iter(new)
    return all(character in rest for character in old)


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_a_file_with_entries_reads_as_the_file_and_the_entries(data: st.DataObject) -> None:
    whole = data.draw(workshops())
    key = data.draw(st.sampled_from(["cars", "findings", "tools", "aftercare", "sellers", "offers"]))
    items = getattr(whole, key)
    keep = data.draw(st.integers(0, len(items)))
    if key == "cars":  # what names a car that is not there yet would be a loose end
        whole = whole.model_copy(update={"jobs": (), "findings": ()})
    if key == "sellers":
        whole = whole.model_copy(update={"offers": ()})
    if key in ("tools", "aftercare"):
        whole = whole.model_copy(update={"jobs": (), "access": ()})
    text = data.draw(shaped_files(whole.model_copy(update={key: items[:keep]})))
    new = with_entries(text, key, items[keep:])
    assert parse_workshop(new) == whole
    assert is_within(text, new)


@settings(max_examples=20, deadline=None)
@given(workshops(), st.lists(findings("wren"), min_size=1, max_size=3))
def test_findings_go_into_any_written_file(workshop: Workshop, found: list[Finding]) -> None:
    wren = Car(id="wren", name="The Wren")
    workshop = workshop.model_copy(update={"cars": (wren,), "jobs": (), "findings": ()})
    text = write_workshop(workshop)
    new = with_entries(text, "findings", found)
    assert new.startswith(text)
    assert parse_workshop(new) == workshop.model_copy(update={"findings": tuple(found)})
    once_more = with_entries(new, "findings", found[:1])
    assert once_more.startswith(new)


@settings(max_examples=50, deadline=None)
@given(
    st.sampled_from([part for part, _ in SHAPES.values()]),
    st.sampled_from(["stints", "findings", "tools"]),
    st.lists(
        st.tuples(
            st.integers(0, 2000),
            st.sampled_from(
                ["\n", "# c\n", " ", "  ", " # ,\n", ",", "[", "]", "- ", "'", "? ", "|\n", "\x85", "\t"]
            ),
        ),
        max_size=3,
    ),
)
def test_odd_files_are_added_to_soundly_or_refused(
    shape: str, key: str, changes: list[tuple[int, str]]
) -> None:
    text = with_stints(shape)
    for at, what in changes:
        text = text[: at % len(text)] + what + text[at % len(text) :]
    entries: dict[str, dict[str, Any]] = {
        "stints": STINT,
        "findings": {"car": "wren", "item": "seat", "seen": ["torn"], "date": "2026-03-01"},
        "tools": {"id": "press"},
    }
    try:
        new = with_entries(text, key, [entries[key]])
    except WorkshopFileError:
        return
    before, after = parse_workshop(text), parse_workshop(new)
    assert getattr(after, key)[:-1] == getattr(before, key)
    assert after.model_copy(update={key: getattr(before, key)}) == before
    comments = [line.partition("#")[2].strip() for line in text.splitlines() if "#" in line]
    assert all(comment in new for comment in comments)


def test_a_large_file_takes_its_entry_soon() -> None:
    offers = "".join(
        f"  - {{id: o{i}, seller: counter, parts: {{wren/part-{i}: 1}}, price: {i}.90}}\n"
        for i in range(1000)
    )
    text = SMALL.replace("offers:\n", "offers:\n" + offers)
    start = time.process_time()
    with_entries(text, "stints", [STINT])
    assert time.process_time() - start < 5.0  # it takes one to two: the text is gone through three times


def test_entries_are_added_to_a_file_on_disk(tmp_path: Path) -> None:
    path = tmp_path / "quay.yaml"
    data = ("\ufeff" + SMALL.replace("\n", "\r\n") + "# Übrigens\r\n").encode()
    path.write_bytes(data)
    path.chmod(0o640)
    job = Job(id="a", car="wren", need="wish", minutes=5)  # type: ignore[arg-type]
    text = add_entries(path, "jobs", [job])
    assert path.read_bytes().decode() == text
    assert read_workshop(path).jobs[-1] == job
    assert text.replace("  - {id: a, car: wren, need: wish, minutes: 5}\r\n", "").encode() == data
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert os.listdir(tmp_path) == ["quay.yaml"]


def test_a_file_on_disk_stays_if_its_entries_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "quay.yaml"
    path.write_text(SMALL)
    with pytest.raises(WorkshopFileError, match="another job"):
        add_entries(path, "jobs", [{"id": "wren-mats", "car": "wren", "need": "wish", "minutes": 1}])
    assert path.read_text() == SMALL
    with pytest.raises(WorkshopFileError, match="no such file"):
        add_entries(tmp_path / "none.yaml", "jobs", [])
    path.write_bytes(b"\xff")
    with pytest.raises(WorkshopFileError, match="UTF-8"):
        add_entries(path, "jobs", [])


def test_what_somebody_else_wrote_in_the_meantime_is_not_lost(tmp_path: Path) -> None:
    path = tmp_path / "quay.yaml"
    path.write_bytes(b"theirs")
    with pytest.raises(WorkshopFileError, match="changed in the meantime"):
        replace_file(path, b"ours", was=b"before")
    assert path.read_bytes() == b"theirs"
    assert os.listdir(tmp_path) == ["quay.yaml"]
    replace_file(path, b"ours", was=b"theirs")
    assert path.read_bytes() == b"ours"
