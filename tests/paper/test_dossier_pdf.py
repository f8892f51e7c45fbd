"""The dossier of a car: all that is known, plainly what is not, and the same for the same data."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from io import BytesIO
from typing import Any

import pytest
from hostile import HOSTILE, MARKS, SCRIPTS, WIDE
from pdf_reading import faults_of, flat, missing_from, outside, overlapping, pages_of, text_of
from PIL import Image
from pypdf import PdfReader

from onceapart.bench.entries import (
    Arrived,
    CheckAnswered,
    Corrected,
    Entry,
    Limits,
    MeasuredValue,
    Noted,
    ReleaseGranted,
    SnagClosed,
    SnagOpened,
    Started,
    StopgapFitted,
    Stopped,
    Ticked,
    Tightened,
)
from onceapart.bench.release_work import Work, work_of
from onceapart.demo import read_demo
from onceapart.inspection import inspect_car
from onceapart.paper.dossier import dossier_pdf
from onceapart.paper.dossier_verdicts import history
from onceapart.paper.photos import photo_for_paper
from onceapart.trade import apply_recipes
from onceapart.trade.rules import Pack, load_pack
from onceapart.workshop import Finding

TODAY = dt.date(2026, 3, 8)
NOON = dt.datetime(2026, 3, 7, 12, tzinfo=dt.UTC)


@pytest.fixture(scope="module")
def work() -> Work:
    return work_of(apply_recipes(read_demo().workshop))


@pytest.fixture(scope="module")
def pack() -> Pack:
    return load_pack("eu-2014-45")


def numbered(*entries: Entry) -> list[Entry]:
    return [one.model_copy(update={"number": at}) for at, one in enumerate(entries, 1)]


def record(text: str = "looks well") -> list[Entry]:
    """A day at the bench, with everything that can happen; each free text is this one."""
    car = {"time": NOON, "car": "pickle", "who": "A. Finch"}
    snag = SnagOpened(**car, snag="damage found", words=text, dangerous=False)
    fitted = StopgapFitted(
        **car, odometer="129400 km", what=text[:200], where="rear box hanger", system="exhaust",
        limits=Limits(distance="300 km"), job="pickle-hanger",
    )  # fmt: skip
    wrong = Noted(**car, words="a slip of the keyboard")
    return numbered(
        Started(time=NOON, who="A. Finch", job="pickle-window"),
        Ticked(**car, step="do:pickle-window:work"),
        Stopped(time=NOON + dt.timedelta(minutes=95), who="A. Finch", job="pickle-window"),
        MeasuredValue(**car, step="measure:pickle-shoes:old-lining:rear-left", value="1.2 mm"),
        Tightened(**car, fastener="pickle/front-left/wheel-nuts", torque="110 Nm"),
        Arrived(time=NOON, part="pickle/brake-fluid", pieces=1, price=920, words=text),
        Arrived(time=NOON, part="duchess/plate-lamp", pieces=1, price=77_777),
        snag,
        SnagClosed(time=NOON, snag=snag.id, how=text),
        SnagOpened(**car, snag="bad part", words="the new hose is cracked", dangerous=True),
        fitted,
        CheckAnswered(**car, check="pickle/pedal-hard", answer="no", words=text),
        Noted(**car, words=text, photo="note.png"),
        wrong,
        Corrected(time=NOON, entry=wrong.id, why="it was the other car"),
        Ticked(**car | {"car": "duchess"}, step="off:duchess/rear-left/wheel"),
    )


def photo(size: tuple[int, int] = (60, 40), kind: str = "JPEG") -> bytes:
    out = BytesIO()
    Image.new("RGB" if kind == "JPEG" else "RGBA", size, "gray").save(out, kind)
    return out.getvalue()


def made(work: Work, pack: Pack, entries: Sequence[Entry] = (), car: str = "pickle", **rest: Any) -> bytes:
    return dossier_pdf(work, car, pack, entries, today=TODAY, **rest)


def test_verdicts_and_what_was_not_checked_are_all_there(work: Work, pack: Pack) -> None:
    """The oracle is the inspection itself."""
    pdf = made(work, pack)
    verdict = inspect_car(work.workshop.model_copy(update={"today": TODAY}), "pickle", pack)
    wanted = [one.item.title for one in (*verdict.verdicts, *verdict.unchecked)]
    wanted += [rule.clause for one in verdict.verdicts for rule in one.rules]
    wanted += [
        str(verdict.outcome),
        f"{len(verdict.unchecked)} things that the rules name were not looked at",
    ]
    wanted += [
        "an inspector decides",
        "Nobody else has checked it",
        "What is not on this paper was not looked at",
    ]
    wanted += [reading.note for one in verdict.verdicts for reading in one.readings if reading.note]
    assert missing_from(pdf, wanted) == []
    assert (faults_of(pdf), outside(pdf), overlapping(pdf)) == ([], [], [])


def test_every_measurement_is_there_and_those_over_time_are_plotted(work: Work, pack: Pack) -> None:
    pdf = made(work, pack)
    measured = [one for one in work.workshop.findings if one.car == "pickle" and one.value]
    text = flat(text_of(pdf))
    for one in measured:
        assert flat(f"{one.value}{one.date.isoformat()}, {str(one.odometer).removesuffix(' km')} km") in text
    assert "Odometer,1000km" in text, "the plots' own letters are text, too"
    assert "limit1.5mm" in text


def test_history_is_what_the_inspection_said_then(work: Work, pack: Pack) -> None:
    days = sorted({one.date for one in work.workshop.findings if one.car == "pickle"})
    rows = history(work.workshop, "pickle", pack, TODAY)
    assert len(rows) == len(days)
    for row, day in zip(rows, reversed(days), strict=True):
        until = tuple(one for one in work.workshop.findings if one.date <= day)
        then = inspect_car(work.workshop.model_copy(update={"findings": until, "today": day}), "pickle", pack)
        assert row["outcome"] == f"{then.outcome}, by what was found"
    assert history(work.workshop, "pickle", pack, days[0] - dt.timedelta(days=1)) == []


def test_the_record_is_told_with_all_that_is_open(work: Work, pack: Pack) -> None:
    pdf = made(work, pack, record())
    wanted = [
        "OPEN STOPGAPS", "rear box hanger", "OPEN SNAGS", "the new hose is cracked. DANGEROUS.", "Window",
        "1 h 35 min", "1.2 mm", "110 Nm", "pickle/brake-fluid", "9.20 EUR", "Paid for parts: 9.20 EUR",
        "looks well", "Pedal hard",
        "not released", "129400 km on Sat 7 Mar 2026", "damage found",
        "Entry 14 of Sat 7 Mar 2026 (noted) was struck",
        "dangerous snag",
    ]  # fmt: skip
    assert missing_from(pdf, wanted) == []
    text = flat(text_of(pdf))
    assert "slipofthekeyboard" not in text
    assert "777.77" not in text, "what came for another car"
    assert "duchess" not in text
    first = flat(pages_of(pdf)[0])
    assert first.index("OPENSTOPGAPS") < first.index("Thecar")


def test_what_is_after_its_day_is_left_out(work: Work, pack: Pack) -> None:
    pdf = dossier_pdf(work, "pickle", pack, record(), today=dt.date(2025, 10, 1))
    text = flat(text_of(pdf))
    assert "torn" not in text.partition("Whatwasnotchecked")[0]
    assert "thenewhose" not in text
    assert "4.2mm" in text


def test_a_car_of_which_nothing_is_known(work: Work, pack: Pack) -> None:
    bare = work_of(work.workshop.model_copy(update={"findings": ()}))
    pdf = made(bare, pack)
    wanted = [
        "nothing checked yet",
        "Nothing was looked at",
        "Nothing was measured",
        "The record has no job that is done",
    ]
    assert missing_from(pdf, [*wanted, "No stopgap and no snag is open"]) == []
    assert faults_of(pdf) == []
    with pytest.raises(KeyError):
        made(work, pack, car="nobody")


def test_photos_are_shown_with_what_they_show_and_missing_ones_are_named(work: Work, pack: Pack) -> None:
    photos = {"drum.jpg": photo(), "note.png": b"no photo at all", "other.jpg": photo()}
    pdf = made(work, pack, record(), photos=photos)
    pages = PdfReader(BytesIO(pdf)).pages
    assert sum(len(page.images) for page in pages) == 1
    assert missing_from(pdf, ["Wheel cylinder, rear right, Sun 1 Mar 2026", "drum.jpg"]) == []
    assert "notgivenornotreadable:note.png" in flat(text_of(pdf))
    assert "other.jpg" not in text_of(pdf)
    assert outside(pdf) == []


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "GIF", "WEBP"])
@pytest.mark.parametrize("size", [(1, 1), (3000, 20), (20, 2000)])
def test_photos_of_any_kind_and_shape(kind: str, size: tuple[int, int]) -> None:
    content = photo_for_paper(photo(size, kind))
    assert content is not None
    assert content == photo_for_paper(photo(size, kind))
    assert len(content) < 100_000


def test_a_photo_is_turned_upright_and_tells_no_place() -> None:
    image, out = Image.new("RGB", (60, 20), "gray"), BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6  # orientation: turn it right (CIPA DC-008, table 4)
    exif[0x010F] = "A maker of cameras"
    exif[0x8825] = {2: (52.0, 30.0, 0.0)}
    image.save(out, "JPEG", exif=exif)
    content = photo_for_paper(out.getvalue())
    assert content is not None
    assert b'width="20" height="60"' in content
    import base64

    inside = base64.b64decode(content.split(b"base64,")[1].split(b'"')[0])
    assert b"maker" not in inside
    assert len(Image.open(BytesIO(inside)).getexif()) == 0


@pytest.mark.parametrize("content", [b"", b"\xff\xd8\xff", b"<svg/>", photo()[:-200]])
def test_what_is_no_photo_is_none(content: bytes) -> None:
    assert photo_for_paper(content) is None


def test_hostile_texts_are_all_there(work: Work, pack: Pack) -> None:
    cars = tuple(
        one.model_copy(update={"name": WIDE, "facts": {"f" * 100: MARKS}}) if one.id == "pickle" else one
        for one in work.workshop.cars
    )
    findings = tuple(
        Finding(
            car="pickle",
            item="tyre",
            place="front-left",
            seen=("sound",),
            date=f"2026-02-{n + 1:02}",
            note=text,
        )
        for n, text in enumerate(HOSTILE)
    )
    shop = work.workshop.model_copy(update={"cars": cars, "findings": findings, "name": SCRIPTS})
    pdf = made(work_of(shop), pack, numbered(*record(MARKS), *record(WIDE)))
    assert missing_from(pdf, HOSTILE) == []
    assert (faults_of(pdf), outside(pdf), overlapping(pdf)) == ([], [], [])


def test_same_data_same_bytes(work: Work, pack: Pack) -> None:
    photos = {"drum.jpg": photo()}
    assert (
        made(work, pack, record(), photos=photos)[:2000] == made(work, pack, record(), photos=photos)[:2000]
    )
    entries = record()
    assert made(work, pack, entries, photos=photos) == made(work, pack, entries, photos=photos)


def test_a_release_is_told(work: Work, pack: Pack) -> None:
    granted = ReleaseGranted(time=NOON, car="duchess", who="B. Wren", odometer="90000 km")
    text = text_of(made(work, pack, numbered(granted), car="duchess"))
    assert "granted by B. Wren, odometer 90000 km" in " ".join(text.split())
