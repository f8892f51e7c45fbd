"""Write-ups: what is told, that nothing of a text counts as a mark, and that nothing is fetched."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction
from html.parser import HTMLParser
from typing import Any

import pytest
from hostile import HOSTILE, RIGHT_TO_LEFT
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from planned_demo import SATURDAY, planned_demo

from onceapart.bench.entries import (
    Entry,
    Limits,
    MeasuredValue,
    Noted,
    Ordered,
    SnagClosed,
    SnagOpened,
    Started,
    StopgapFitted,
    Stopped,
    Ticked,
    Tightened,
)
from onceapart.bench.state import fold
from onceapart.paper.write_up import (
    CONTENT_POLICY,
    WriteUp,
    write_up_html,
    write_up_markdown,
    write_up_of_job,
    write_up_of_stint,
)
from onceapart.paper.write_up_formats import STYLE, Grid, Points, Say, Section
from onceapart.paper.write_up_money import share_of
from onceapart.planning.cost import cost

JOB = "pickle-drop-links"
TODAY = dt.date(2026, 4, 1)


def at(minute: int) -> dt.datetime:
    return SATURDAY + dt.timedelta(minutes=minute)


def record(note: str = "Wire-brush the threads the evening before.") -> tuple[Entry, ...]:
    stint = planned_demo().workload.stints[planned_demo().plan.stint_of(JOB) or 0].date.isoformat()
    return (
        Started(number=1, time=at(0), who="Ann Other", stint=stint, job=JOB),
        Ticked(number=2, time=at(10), who="Ann Other", car="pickle", step=f"do:{JOB}", stint=stint),
        MeasuredValue(number=3, time=at(11), car="pickle", step=f"measure:{JOB}:free-play", value="0.4 mm"),
        Tightened(number=4, time=at(12), car="pickle", fastener="drop link nut", torque="45 Nm",
                   step=f"do:{JOB}"),
        SnagOpened(number=5, time=at(13), car="pickle", snag="seized fastener", words="nut would not turn",
                   dangerous=False, job=JOB, id="snag"),
        SnagClosed(number=6, time=at(20), snag="snag", how="heat, then penetrating oil"),
        Noted(number=7, time=at(21), who="Ann Other", words=note, car="pickle", job=JOB, photo="links.jpg"),
        Noted(number=8, time=at(22), words="Of another job", car="duchess", job="duchess-exhaust"),
        StopgapFitted(number=9, time=at(23), car="pickle", what="cable tie", where="link hose", system="body",
                      limits=Limits(until=TODAY), job=JOB),
        Stopped(number=10, time=at(45), who="Ann Other", stint=stint, job=JOB),
    )  # fmt: skip


def of_job(entries: tuple[Entry, ...] = (), job: str = JOB, **changed: Any) -> WriteUp:
    demo = planned_demo()
    return write_up_of_job(demo.work, demo.workload, demo.plan, entries, job, today=TODAY, **changed)


class Reader(HTMLParser):
    """Text, tags and addresses of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def test_it_tells_all_of_a_job() -> None:
    text = write_up_markdown(of_job(record()))
    for words in (
        "Done on Sat 7 Mar 2026", "45 min by the clock", "0.4 mm", "45 Nm", "nut would not turn",
        "heat, then penetrating oil", "Wire-brush the threads", "links.jpg", "STOPGAP", "Saved:",
        "licensed mechanics", "had already",
    ):  # fmt: skip
        assert words in text, words
    assert "Of another job" not in text
    demo = planned_demo()
    fitted = demo.work.fitted.jobs[JOB]
    for operation in fitted.operations:
        assert operation.what.do.rstrip(".")[:40] in text
    for caution in demo.work.fitted.cautions_of(JOB):
        assert caution.title in text


def test_what_is_not_done_is_said_so() -> None:
    text = write_up_markdown(of_job())
    assert "Not done yet by the record" in text
    assert "Done on" not in text


def test_a_stint_has_all_its_jobs() -> None:
    demo = planned_demo()
    for n, work in enumerate(demo.plan.work):
        made = write_up_of_stint(demo.work, demo.workload, demo.plan, (), n, today=TODAY)
        text = write_up_html(made)
        assert text.count("<ol>") <= len(work.jobs)
        for job in work.jobs:
            fitted = demo.work.fitted.jobs.get(job)
            if fitted:
                assert fitted.recipe.title in text
    with pytest.raises(IndexError):
        write_up_of_stint(demo.work, demo.workload, demo.plan, (), 99, today=TODAY)
    with pytest.raises(KeyError):
        of_job(job="nothing")


def test_what_is_after_the_day_is_not_told() -> None:
    demo = planned_demo()
    early = write_up_of_job(demo.work, demo.workload, demo.plan, record(), JOB, today=dt.date(2026, 3, 6))
    assert "Not done yet" in write_up_markdown(early)


def test_shares_of_all_jobs_make_up_the_plan() -> None:
    demo = planned_demo()
    price = cost(demo.workload, demo.plan)
    shares = [share_of(demo.workload, demo.plan, [job]) for job in demo.plan.done]
    assert sum((one.money for one in shares), Fraction(0)) == price.money
    assert sum((one.minutes for one in shares), Fraction(0)) == price.minutes
    together = share_of(demo.workload, demo.plan, demo.plan.done)
    assert (together.money, together.minutes) == (price.money, price.minutes)


def test_a_price_that_was_noted_counts_instead() -> None:
    demo = planned_demo()
    planned_share = share_of(demo.workload, demo.plan, demo.plan.done)
    offer = next(one.offer for one in planned_share.parts if one.offer)
    assert offer is not None
    bought = demo.workload.offer[offer]
    noted = Ordered(number=1, time=SATURDAY, offer=offer, parts=dict(bought.parts), price=1234, arrives=TODAY)
    share = share_of(demo.workload, demo.plan, demo.plan.done, fold([noted]))
    assert share.is_noted
    assert share.goods == planned_share.goods - demo.plan.units[offer] * bought.price + 1234


def test_without_a_plan_it_tells_what_the_record_knows() -> None:
    demo = planned_demo()
    part = next(iter(demo.work.jobs["pickle-window"].parts))
    noted = Ordered(number=1, time=SATURDAY, parts={part: 1}, price=4321, arrives=TODAY)
    made = write_up_of_job(demo.work, demo.workload, None, [noted], "pickle-window", today=TODAY)
    text = write_up_markdown(made)
    assert "43.21 EUR" in text
    assert "Saved" not in text


SECRETS = (
    "1J9RP1A36A1644345", "1J9RP1A36 A1644345", "AB12 CDE", "B-CD 1234", "AB-123-CD", "12 Mill Lane",
    "Mühlenstraße 7", "rue de la Paix 12", "me@example.org", "+44 20 7946 0018", "52.51704, 13.38886",
)  # fmt: skip
"""The VIN is the example of NHTSA's guide for new manufacturers (49 CFR 565); all else is made up."""


@pytest.mark.parametrize("secret", SECRETS)
def test_private_things_are_left_out_unless_asked_for(secret: str) -> None:
    entries = record(f"He said: {secret}. Keep it clean.")
    for text in (write_up_markdown(of_job(entries)), write_up_html(of_job(entries))):
        plain = text.replace("\\", "")
        assert secret not in plain
        assert "Ann Other" not in plain
        assert "Weir Street" not in plain
        assert "Keep it clean." in plain
    told = write_up_markdown(of_job(entries, with_private=True)).replace("\\", "")
    assert secret in told
    assert "Ann Other" in told
    assert "Weir Street" in told


@pytest.mark.parametrize(
    "words",
    [
        "M10 x 1.25, 45 Nm", "DOT 4 and 5W-30", "P0420 and R134a", "the plate lamp, 5 W", "129300 km",
        "8.9 mm, at least 9 mm", "no. 205/55R16", "Sat 7 Mar 2026", "3 1/2 turns back", "reg of the voltage",
    ],
)  # fmt: skip
def test_words_of_the_trade_are_kept(words: str) -> None:
    assert words in write_up_markdown(of_job(record(words))).replace("\\", "")


def test_facts_of_the_car_and_its_name_hold_no_number() -> None:
    demo = planned_demo()
    cars = tuple(
        car.model_copy(update={"facts": {"vin": "1J9RP1A36A1644345"}, "name": f"{car.name} AB12 CDE"})
        for car in demo.workshop.cars
    )
    work = type(demo.work)(demo.workshop.model_copy(update={"cars": cars}), demo.work.fitted)
    made = write_up_of_job(work, demo.workload, demo.plan, (), JOB, today=TODAY)
    page = write_up_html(made)
    assert "1J9RP1A36A1644345" not in page
    assert "AB12 CDE" not in page


def test_a_page_fetches_nothing_and_runs_nothing() -> None:
    page = write_up_html(
        of_job(record('<script src="https://x.example/a.js"></script><img src=x onerror=y>'))
    )
    reader = Reader(page)
    assert not {"script", "img", "link", "iframe", "object", "form", "a"} & set(reader.tags)
    names = {name for name, _ in reader.attributes}
    assert not {"src", "href", "style", "srcset", "action"} & names
    assert not any(name.startswith("on") for name in names)
    assert "url(" not in STYLE
    assert "@import" not in STYLE
    assert CONTENT_POLICY in page
    assert "default-src 'none'" in CONTENT_POLICY


def texts_of_markdown(text: str) -> str:
    """What CommonMark makes of a text, by markdown-it (CommonMark 0.31 with tables)."""
    reader = Reader(MarkdownIt("commonmark").enable("table").render(text))
    return "".join(reader.texts)


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize(
    "text", [*HOSTILE, RIGHT_TO_LEFT, "1. one", "- x\n- y", "# a", "    code", "a | b", "a\n\n***\nb"]
)
def test_marks_in_texts_are_text(text: str) -> None:
    check_marks(text)


@settings(max_examples=150, deadline=None)
@given(st.text(st.sampled_from("ab1 .)-+=*_#>|\\`~[]()<&;!:/@\n$^\"'"), max_size=25).filter(str.strip))
def test_any_marks_are_text(text: str) -> None:
    check_marks(text)


def check_marks(text: str) -> None:
    line = " ".join(text.split())
    made = WriteUp(
        line,
        (Say(text), Say(text, is_strong=True)),
        (
            Section(
                "Title",
                (
                    Points((text, "next")),
                    Points((text,), is_numbered=True),
                    Grid(("A", line), ((line, "b"),)),
                ),
            ),
        ),
        line,
    )
    markdown = write_up_markdown(made)
    expected = squeezed("".join([line, text, text, "Title", text, "next", text, "A", line, line, "b", line]))
    assert squeezed(texts_of_markdown(markdown)) == expected
    tags = Reader(MarkdownIt("commonmark").enable("table").render(markdown)).tags
    assert [tag for tag in tags if tag not in ("p", "br", "strong")] == [
        "h1", "h2", "ul", "li", "li", "ol", "li", "table", "thead", "tr", "th", "th", "tbody", "tr", "td",
        "td", "hr",
    ]  # fmt: skip
    assert tags.count("strong") == 1
    shown = squeezed("".join(Reader(write_up_html(made)).texts)).removeprefix(squeezed(line + STYLE))
    assert shown == expected


def test_same_text_for_the_same() -> None:
    assert write_up_markdown(of_job(record())) == write_up_markdown(of_job(record()))
    assert write_up_html(of_job(record())) == write_up_html(of_job(record()))
