"""The job card on paper: all of it, where it belongs, and nothing cut off."""

from __future__ import annotations

import hashlib
import re
import subprocess
import sys
import time
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from hostile import HOSTILE, SCRIPTS, WIDE, hostile_card
from pdf_reading import (
    faults_of,
    flat,
    missing_from,
    outside,
    overlapping,
    pages_of,
    quick_text_of,
    sizes_of,
    text_of,
    texts_in,
)
from pypdf import PdfReader

from onceapart.bench.card import job_card
from onceapart.bench.card_data import card_to_json
from onceapart.bench.card_model import Card, StepCaution, StepFastener
from onceapart.bench.entries import Limits, StopgapFitted, SumCheck, now
from onceapart.bench.state import Stopgap
from onceapart.cli.files import prepare
from onceapart.demo import read_demo
from onceapart.paper.drawings import stopgap_drawings
from onceapart.paper.job_card import Drawing, job_card_pdf
from onceapart.paper.links import AddressError, qr_svg, steps_on
from onceapart.paper.typst_run import PaperSize
from onceapart.planning.plan import Aim
from onceapart.planning.solve import best_plan

STOPGAP = "STOPGAP since 2026-03-07: two turns of wire, rear box hanger (exhaust). Limits: at most 80 km/h."


@pytest.fixture(scope="module")
def cards() -> list[Card]:
    """The demo's cards, one for each stint with work; the first has a stopgap."""
    found = prepare(read_demo())
    plan = best_plan(found.workload, Aim.BALANCE).plan
    assert plan is not None
    made = [
        job_card(found.workshop, plan, at, workload=found.workload, open_stopgaps=() if at else (STOPGAP,))
        for at in range(len(plan.work))
    ]
    return [card for card in made if card.steps]


def told_by(card: Card) -> list[str]:
    """All texts of a card that paper has to show, from its data."""
    data = card_to_json(card)
    for step in data["steps"]:
        for key in ("id", "kind", "car", "place", "phase", "jobs", "needs", "cautions", "title"):
            del step[key]
        if step["measurements"]:
            step["words"] = ""
        for one in step["measurements"]:
            one["what"] = one["what"][1:]  # begins with a capital letter there
            del one["id"], one["quantity"], one["unit"]
        step["fasteners"] = [
            [one["what"], one["thread"]] for one in step["fasteners"] if one["torque"] is not None
        ]
    parts = [
        [one["title"], one["id"], [each["words"] for each in one["from"]]] for one in data["lay_out"]["parts"]
    ]
    tools = [one["title"] for one in data["lay_out"]["tools"]]
    lay_out = [data["lay_out"][key] for key in ("hand_tools", "drives", "consumables")]
    jobs = [job["title"] for job in data["jobs"]]
    names = [car["name"] for car in data["cars"]]
    tops = [[one["title"], one["text"]] for one in data["cautions"]]
    titles = {step.title for step in card.steps if step.kind not in ("measure", "do")}
    return [
        one
        for one in texts_in(
            [data["workshop"], data["open_stopgaps"], data["found_off"], data["left_off"], data["steps"],
             parts, tools, lay_out, list(data["lay_out"]["new_fasteners"]), jobs, names, tops, sorted(titles)]
        )
        if one not in ("shelf", "not in hand")
    ]  # fmt: skip


def cautions_of(card: Card) -> list[str]:
    return [
        one.text for step in card.steps for one in step.cautions if not one.id.startswith("no-makeshift-")
    ]


@pytest.mark.parametrize("size", PaperSize)
def test_the_demos_cards_have_all_of_their_data_inside_the_sheet(cards: list[Card], size: PaperSize) -> None:
    for card in cards[1:2] if size is PaperSize.LETTER else cards[2:3]:
        pdf = job_card_pdf(card, size=size)
        assert missing_from(pdf, [*told_by(card), *cautions_of(card)]) == []
        assert faults_of(pdf) == []
        assert outside(pdf) == []
        assert overlapping(pdf) == []
        assert sizes_of(pdf) == {(210, 297) if size is PaperSize.A4 else (216, 279)}


def test_every_page_has_car_date_and_number(cards: list[Card]) -> None:
    for card in cards[1:2]:
        pages = pages_of(job_card_pdf(card))
        names = [flat(card.car_names[car])[:20] for car in card.cars] if card.car_names else []
        for number, page in enumerate(pages, 1):
            text = flat(page)
            assert f"page{number}of{len(pages)}" in text
            assert f"{card.date.day}Mar2026" in text
            assert any(name in text for name in names)


def test_a_page_names_the_car_that_is_worked_on(cards: list[Card]) -> None:
    card = next(one for one in cards if len(one.cars) > 1)
    last = flat(pages_of(job_card_pdf(card))[-1])
    assert card.car_names is not None
    first_car, last_car = (flat(card.car_names[car]) for car in (card.cars[0], card.cars[-1]))
    assert last_car in last
    assert first_car not in last


def test_each_step_has_its_number_and_each_torque_its_blank(cards: list[Card]) -> None:
    for card in cards[2:3]:
        text = text_of(job_card_pdf(card))
        torques = sum(one.is_tightened for step in card.steps for one in step.fasteners)
        assert flat(text).count("Nm(manual)") == torques
        alone = {int(one) for one in re.findall(r"(?m)^(\d+)(?=\D|$)", text)}
        assert set(range(1, len(card.steps) + 1)) <= alone


def test_a_step_is_never_broken_over_two_pages() -> None:
    """Each step begins and ends with a word of its own, and has a blank; so have four pages of them."""
    card = hostile_card(40, ("Undo it",))
    steps = tuple(
        replace(step, words=f"begin{at}x " + "look at it closely " * (5 + at % 9), cautions=(),
                measurements=(),
                fasteners=(StepFastener("f", "front", f"end{at}x", "M8", "13 mm", 1, False, True),))
        for at, step in enumerate(card.steps)
    )  # fmt: skip
    pages = [flat(page) for page in pages_of(job_card_pdf(replace(card, steps=steps)))]
    for at in range(len(steps)):
        assert [f"begin{at}x" in page for page in pages] == [f"end{at}x" in page for page in pages]
        assert sum(f"begin{at}x" in page for page in pages) == 1
    assert sum("begin" in page for page in pages) >= 4


def test_a_step_longer_than_a_page_is_still_all_there() -> None:
    card = hostile_card(3, ("Undo it",))
    cautions = tuple(StepCaution(f"c{n}", f"Caution {n}", "mind your head " * 10) for n in range(40))
    pdf = job_card_pdf(replace(card, steps=(*card.steps[:2], replace(card.steps[2], cautions=cautions))))
    assert missing_from(pdf, [f"Caution {n}" for n in range(40)]) == []
    assert (outside(pdf), overlapping(pdf)) == ([], [])


def test_stopgaps_stand_on_the_first_page_above_all_else(cards: list[Card]) -> None:
    first = flat(pages_of(job_card_pdf(cards[0]))[0])
    assert first.index(flat(STOPGAP)) < first.index("Layout")
    assert "OPENSTOPGAPS" in first
    assert "OPENSTOPGAPS" not in flat(text_of(job_card_pdf(cards[1])))


@pytest.mark.parametrize("size", PaperSize)
def test_hostile_texts_are_all_there_and_nothing_is_cut_off(size: PaperSize) -> None:
    pdf = job_card_pdf(
        hostile_card(6 if size is PaperSize.A4 else 3), size=size, address=steps_on("https://garage.example")
    )
    assert missing_from(pdf, HOSTILE) == []
    assert flat(text_of(pdf)).count(WIDE) >= 5
    assert outside(pdf) == []
    assert overlapping(pdf) == []
    assert faults_of(pdf) == []


def test_300_steps() -> None:
    card = hostile_card(300, ("Undo it", SCRIPTS, "Look at it from below; wipe it clean, grease it thinly"))
    started = time.process_time()
    pdf = job_card_pdf(card)
    assert time.process_time() - started < 5
    text = quick_text_of(pdf)
    assert flat(text).count("Lookatitfrombelow") > 300
    alone = {int(one) for one in re.findall(r"(?m)^(\d+)(?=\D|$)", text)}
    assert set(range(1, 301)) <= alone


def test_a_card_takes_under_a_second(cards: list[Card]) -> None:
    card = max(cards, key=lambda one: len(one.steps))
    job_card_pdf(card)
    started = time.process_time()
    job_card_pdf(card, address=steps_on("https://garage.example"))
    assert time.process_time() - started < 1


def test_a_stint_without_work_says_so(cards: list[Card]) -> None:
    pdf = job_card_pdf(hostile_card(0))
    assert "nothingtodo" in flat(text_of(pdf))
    assert faults_of(pdf) == []


def test_same_card_same_bytes_and_another_day_another(cards: list[Card]) -> None:
    assert job_card_pdf(cards[0]) == job_card_pdf(cards[0])
    assert job_card_pdf(cards[0]) != job_card_pdf(cards[1])


def test_the_numbers_on_the_drawing_are_the_places_in_order(cards: list[Card]) -> None:
    """The alternative text of the drawing names them, for those who can't see it."""
    reader = PdfReader(BytesIO(job_card_pdf(cards[0])))
    told = [str(one) for one in alternative_texts(reader)]
    (drawing,) = [one for one in told if "from above" in one]
    order = re.findall(r"(\d+) ([A-Z][a-z ]+)", drawing.partition("working order: ")[2])
    assert [int(number) for number, _ in order] == list(range(1, len(order) + 1))
    places = [step.place for step in cards[0].steps]
    assert order[0][1].strip().lower().replace(" ", "-") in (places[0], "the-car")


def alternative_texts(reader: PdfReader) -> list[object]:
    found, waiting = [], [reader.trailer["/Root"]["/StructTreeRoot"]]
    while waiting:
        one = waiting.pop().get_object()
        if isinstance(one, list):
            waiting += [each for each in one if hasattr(each, "get_object")]
        elif isinstance(one, dict):
            if "/Alt" in one:
                found.append(one["/Alt"])
            if "/K" in one:
                waiting.append(one["/K"])
    return found


def test_codes_lead_to_the_steps_of_the_site(cards: list[Card]) -> None:
    card, address = cards[0], steps_on("https://garage.example:8000/shed/")
    start = "https://garage.example:8000/shed/bench/2026-03-07/#"
    assert address(card, card.steps[0]) == start + card.steps[0].id
    with_codes, without = (
        [str(one) for one in alternative_texts(PdfReader(BytesIO(job_card_pdf(card, address=one))))]
        for one in (address, None)
    )
    assert {f"Step {at} on the site" for at in range(1, len(card.steps) + 1)} <= set(with_codes)
    assert not any("on the site" in one for one in without)


def test_an_address_too_long_to_scan_makes_no_code() -> None:
    assert qr_svg("https://garage.example/" + "a" * 500) is None


@pytest.mark.parametrize(
    "base", ["", "garage", "ftp://x", "https://", "https://a b", "http://[", "https://x?y=1"]
)
def test_what_is_no_address_is_refused(base: str) -> None:
    with pytest.raises(AddressError, match="write it as in"):
        steps_on(base)


def test_a_drawing_is_shown_with_its_title(cards: list[Card]) -> None:
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100" height="40"><rect width="90" height="30"/></svg>'
    )
    pdf = job_card_pdf(cards[1], drawings=[Drawing("M8 for M10 at the hanger", svg, "a bolt from the side")])
    assert missing_from(pdf, ["Drawings", "M8 for M10 at the hanger"]) == []
    assert "a bolt from the side" in [str(one) for one in alternative_texts(PdfReader(BytesIO(pdf)))]
    assert faults_of(pdf) == []


def test_a_stopgap_checked_as_a_bolt_is_drawn() -> None:
    from onceapart.sums.registry import find_sum

    inputs = dict(find_sum("bolt-substitute").example)
    fitted = StopgapFitted(
        time=now(), car="wren", what="M10 for M12", where="hanger", system="exhaust",
        limits=Limits(until="2026-04-01"), job="wren-hanger",
        check=SumCheck(sum="bolt-substitute", inputs=inputs, verdict="whatever"),
    )  # fmt: skip
    unchecked = fitted.model_copy(update={"check": None})
    wrong = fitted.model_copy(
        update={"check": SumCheck(sum="bolt-substitute", inputs={"x": "y"}, verdict="z")}
    )
    drawings = stopgap_drawings([Stopgap(fitted), Stopgap(unchecked), Stopgap(wrong)])
    assert len(drawings) == 1
    assert drawings[0].title.startswith("M10 for M12, hanger: ")
    pdf = job_card_pdf(hostile_card(3, ("Undo it",)), drawings=drawings)
    assert faults_of(pdf) == []
    assert outside(pdf) == []


def test_two_processes_give_the_same_bytes() -> None:
    code = (
        f"import sys, hashlib; sys.path.insert(0, {str(Path(__file__).parent)!r})\n"
        "from hostile import hostile_card\n"
        "from onceapart.paper.job_card import job_card_pdf\n"
        "from onceapart.paper.links import steps_on\n"
        "pdf = job_card_pdf(hostile_card(4), address=steps_on('https://garage.example'))\n"
        "print(hashlib.sha256(pdf).hexdigest())"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", code], check=True, capture_output=True, text=True
        ).stdout.strip()
        for _ in range(2)
    }
    pdf = job_card_pdf(hostile_card(4), address=steps_on("https://garage.example"))
    assert said == {hashlib.sha256(pdf).hexdigest()}
