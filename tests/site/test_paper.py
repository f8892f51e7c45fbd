"""The page of papers and its downloads: each is the paper it says, and where there is none it is said why."""

from __future__ import annotations

import csv
import datetime as dt
import re
from html import unescape
from io import BytesIO, StringIO

import openpyxl
import pytest
from django.test import Client
from icalendar import Calendar
from pypdf import PdfReader

from onceapart.bench.entries import Noted, Ordered, Ticked
from onceapart.paper.write_up import CONTENT_POLICY
from onceapart.planning.plan import Aim
from onceapart.site.store import runs
from onceapart.site.store.models import PlanRun
from onceapart.site.store.record import DatabaseRecord
from onceapart.site.store.versions import current
from onceapart.workshop import parse_workshop

SECRET = "plate AB12 CDE, ask Ann"


MADE: dict[str, object] = {}
"""What came of the run, made once: the same of the same workshop."""


@pytest.fixture
def planned(demo_workshop, plans_made, noon) -> PlanRun:
    """The demo with a plan that is worked by."""
    run = runs.ask(Aim.BALANCE, at=noon)
    if MADE:
        PlanRun.objects.filter(pk=run.pk).update(**MADE)
    else:
        plans_made()
        found = PlanRun.objects.get(pk=run.pk)
        MADE.update(stage=found.stage, result=found.result, ended_at=found.ended_at)
    runs.choose(run.pk)
    return PlanRun.objects.get(pk=run.pk)


def links_of(client: Client, address: str = "/paper/") -> list[str]:
    page = client.get(address).content.decode()
    found = [
        unescape(link) for link in re.findall(r'(?:href|action)="(/paper/[^"#]+|/workshop\.yaml)"', page)
    ]
    return [link for link in dict.fromkeys(found) if not link.startswith("/paper/?")]


def test_every_button_leads_to_a_file_of_its_kind(client, planned):
    links = links_of(client)
    for kind in ("card.pdf", "orders.pdf", "orders.csv", "calendar.ics", "dossier.pdf", "workshop.xlsx",
                 "write-up.html", "write-up.md", "workshop.yaml"):  # fmt: skip
        assert any(kind in link for link in links), kind
    tried = set()
    for link in links:
        kind = re.sub(r"/paper/(\w+)/.*/", r"\1/", link.partition("?")[0])
        if kind in tried:
            continue  # one of a kind: making PDFs takes time
        tried.add(kind)
        answer = client.get(link)
        assert answer.status_code == 200, link
        name = re.search(r'filename="([^"]+)"', answer["Content-Disposition"])
        assert name, link
        ending = name[1].rpartition(".")[2]
        assert answer["Content-Disposition"].startswith("attachment")
        assert answer["Cache-Control"] == "no-store"
        start = {"pdf": b"%PDF", "xlsx": b"PK", "ics": b"BEGIN:VCALENDAR", "html": b"<!doctype", "md": b"# "}
        assert answer.content.startswith(start.get(ending, b"")), link
        types = {"pdf": "application/pdf", "ics": "text/calendar", "csv": "text/csv", "md": "text/markdown",
                 "html": "text/html", "yaml": "application/yaml", "xlsx": "application/vnd"}  # fmt: skip
        assert answer["Content-Type"].startswith(types[ending]), link


def test_the_card_is_of_its_stint_and_sheet(client, planned):
    link = next(one for one in links_of(client) if "card.pdf" in one)
    wide = {}
    for paper in ("a4", "letter"):
        answer = client.get(link.partition("?")[0], {"paper": paper})
        wide[paper] = float(PdfReader(BytesIO(answer.content)).pages[0].mediabox.width)
    assert wide == {"a4": pytest.approx(595.28, abs=1), "letter": 612}  # ISO 216 and ANSI, in points
    assert "2026" in PdfReader(BytesIO(answer.content)).pages[0].extract_text()


def test_who_sees_inches_gets_letter(client, planned):
    client.cookies["units"] = "imperial"
    page = client.get("/paper/").content.decode()
    assert 'href="/paper/?paper=letter" aria-current="page"' in page


def test_orders_are_the_plans_all_or_of_one_seller(client, planned):
    everything = list(csv.DictReader(StringIO(client.get("/paper/orders.csv").content.decode())))
    plan = planned.result
    assert {row["offer"] for row in everything if row["offer"]} == {
        line["offer"] for order in plan["orders"] for line in order["lines"]
    }
    seller = plan["orders"][0]["seller"]
    some = list(
        csv.DictReader(StringIO(client.get("/paper/orders.csv", {"seller": seller}).content.decode()))
    )
    assert {row["offer"] for row in some if row["offer"]} == {
        one["offer"] for one in plan["orders"][0]["lines"]
    }
    assert client.get("/paper/orders.pdf", {"seller": "nobody"}).status_code == 404


def test_calendar_begins_when_asked(client, planned):
    def stints(**query):
        content = client.get("/paper/calendar.ics", query).content
        found = Calendar.from_ical(content).walk("VEVENT")
        return [one.decoded("dtstart") for one in found if one["categories"].cats == ["Stint"]]

    assert all(type(one) is dt.date for one in stints())
    assert {one.time() for one in stints(**{"from": "08:15"})} == {dt.time(8, 15)}
    answer = client.get("/paper/calendar.ics", {"from": "early"})
    assert answer.status_code == 422
    assert "write when stints begin as in 09:00" in answer.content.decode()


def test_spreadsheet_and_workshop_file_hold_the_workshop(client, planned):
    book = openpyxl.load_workbook(BytesIO(client.get("/paper/workshop.xlsx").content), data_only=True)
    workshop = current().workshop
    assert book["Jobs"].max_row == len(workshop.jobs) + 1
    assert book["Offers"].max_row == len(workshop.offers) + 1
    assert parse_workshop(client.get("/workshop.yaml").content) == workshop


def test_write_ups_leave_out_what_is_private_unless_asked(client, planned, noon):
    DatabaseRecord().append_all(
        [
            Ticked(time=noon, who="Ann", car="pickle", step="do:pickle-cv-boot"),
            Noted(time=noon, who="Ann", words=SECRET, car="pickle", job="pickle-cv-boot"),
        ]
    )
    address = "/paper/job/pickle-cv-boot/write-up.md"
    shared = client.get(address).content.decode()
    assert "Done on" in shared
    assert "AB12" not in shared
    assert "AB12 CDE" in client.get(address, {"private": "1"}).content.decode()
    assert "?private=1" not in "".join(links_of(client))
    links = links_of(client, "/paper/?private=1")
    assert all("private=1" in link for link in links if "write-up" in link)
    assert "nothing is left out" in client.get("/paper/?private=1").content.decode()


def test_a_page_to_share_may_do_nothing(client, planned):
    answer = client.get("/paper/job/pickle-cv-boot/write-up.html")
    assert answer["Content-Security-Policy"] == f"{CONTENT_POLICY}; sandbox"
    assert answer["X-Content-Type-Options"] == "nosniff"


def test_without_a_plan_what_needs_one_says_so(client, demo_workshop):
    page = client.get("/paper/").content.decode()
    assert "There is no plan that is worked by" in page
    for address in ("/paper/card/2026-03-07/card.pdf", "/paper/orders.pdf", "/paper/orders.csv",
                    "/paper/stint/2026-03-07/write-up.md"):  # fmt: skip
        answer = client.get(address)
        assert answer.status_code == 422, address
        assert "make a plan and choose it" in answer.content.decode()
        assert answer["Content-Type"].startswith("text/html")
    for address in ("/paper/calendar.ics", "/paper/workshop.xlsx", "/paper/job/pickle-cv-boot/write-up.html"):
        assert client.get(address).status_code == 200, address


@pytest.mark.parametrize(
    "address",
    [
        "/paper/card/2026-03-08/card.pdf",
        "/paper/card/../card.pdf",
        "/paper/cars/nobody/dossier.pdf",
        "/paper/job/nothing/write-up.md",
        "/paper/job/pickle-cv-boot/write-up.pdf",
        "/paper/stint/nothing/write-up.html",
    ],
)
def test_what_is_not_there_is_not_found(client, planned, address):
    assert client.get(address).status_code == 404


def test_papers_are_only_looked_at(client, planned):
    assert client.post("/paper/orders.pdf").status_code == 405
    assert client.head("/paper/calendar.ics").status_code == 200


def test_before_there_is_a_workshop_it_asks_for_one(client, db):
    for address in ("/paper/", "/paper/calendar.ics"):
        assert client.get(address).headers["Location"] == "/take-in/"


def test_once_all_is_ordered_there_are_no_order_sheets(client, planned, plans_made, noon):
    workshop = current().workshop
    offers = {one.id: one for one in workshop.offers}
    placed = [
        Ordered(
            time=noon, offer=line["offer"], seller=order["seller"], units=line["units"],
            parts={part: n * line["units"] for part, n in offers[line["offer"]].parts.items()},
            price=offers[line["offer"]].price * line["units"], arrives=line["arrives"],
        )
        for order in planned.result["orders"]
        for line in order["lines"]
    ]  # fmt: skip
    DatabaseRecord().append_all(placed)
    run = runs.ask(Aim.BALANCE, at=noon)
    plans_made()
    runs.choose(run.pk)
    assert "nothing to order any more" in client.get("/paper/").content.decode()
    answer = client.get("/paper/orders.pdf")
    assert answer.status_code == 422
    assert "look at what is on its way" in answer.content.decode()
    found = Calendar.from_ical(client.get("/paper/calendar.ics").content).walk("VEVENT")
    arrivals = [one for one in found if one["categories"].cats == ["Arrival"]]
    assert {one.decoded("dtstart") for one in arrivals} == {one.arrives for one in placed}
    assert not any("on its way" in str(one["summary"]).lower() for one in arrivals)
    book = openpyxl.load_workbook(BytesIO(client.get("/paper/workshop.xlsx").content), data_only=True)
    assert book["Spent"].max_row == len(placed) + 2
    assert book["Offers"].max_row == len(workshop.offers) + 1


def test_the_page_asks_the_database_little(client, planned, django_assert_max_num_queries):
    client.get("/paper/")
    with django_assert_max_num_queries(12):
        client.get("/paper/")
