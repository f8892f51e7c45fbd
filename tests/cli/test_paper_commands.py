"""`onceapart paper`: it writes what was asked for, says what is wrong, and never writes over a file."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import pytest
from cli_cases import SMALL, Run
from pypdf import PdfReader

from onceapart.bench.entries import Limits, StopgapFitted, now
from onceapart.bench.record import RecordFile, record_path
from onceapart.cli.files import prepare
from onceapart.planning.plan import Aim
from onceapart.planning.plan_file import plan_to_json
from onceapart.planning.solve import best_plan
from onceapart.workshop import parse_with_lines

FILE = SMALL.replace("wren/bulb: 1}, price", "wren/bulb: 1}, title: '=1+1', price")


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A folder with a workshop file and its plan."""
    (tmp_path / "mine.yaml").write_text(FILE, encoding="utf-8")
    found = prepare(parse_with_lines(FILE.encode(), "mine.yaml"))
    plan = plan_to_json(found.workload, best_plan(found.workload, Aim.BALANCE))
    (tmp_path / "plan.json").write_text(json.dumps(plan), encoding="utf-8")
    return tmp_path


def text_of(path: Path) -> str:
    return " ".join(
        " ".join(page.extract_text() for page in PdfReader(BytesIO(path.read_bytes())).pages).split()
    )


PAPERS = {
    "card": ["--stint", "2026-03-07"],
    "orders": [],
    "dossier": [],
}


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("sheet", ["a4", "letter"])
def test_a_paper_is_written_once(run: Run, shop: Path, paper: str, sheet: str) -> None:
    out = shop / "it.pdf"
    arguments = ("paper", paper, str(shop / "mine.yaml"), *PAPERS[paper], "--out", str(out), "--paper", sheet)
    ran = run(*arguments)
    assert (ran.status, ran.out) == (0, "")
    assert "it.pdf written." in ran.err.replace("\n", "")
    content = out.read_bytes()
    (width,) = {round(float(page.mediabox.width)) for page in PdfReader(BytesIO(content)).pages}
    assert width == {"a4": 595, "letter": 612}[sheet]
    again = run(*arguments)
    assert again.status == 2
    assert "left alone" in again.err
    assert max(map(len, again.err.splitlines())) <= 80 or str(shop) in again.err
    assert out.read_bytes() == content


def test_a_saved_plan_gives_the_same_as_planning(run: Run, shop: Path) -> None:
    for name, more in {"one.csv": [], "two.csv": ["--plan", str(shop / "plan.json")]}.items():
        ran = run("paper", "orders", str(shop / "mine.yaml"), "--out", str(shop / name), *more)
        assert ran.status == 0
    assert (shop / "one.csv").read_bytes() == (shop / "two.csv").read_bytes()
    assert b"'=1+1" in (shop / "one.csv").read_bytes()


def test_open_stopgaps_of_the_record_are_on_card_and_dossier(run: Run, shop: Path) -> None:
    store = RecordFile(record_path(shop / "mine.yaml"))
    store.append(
        StopgapFitted(
            time=now(), car="wren", what="two turns of wire", where="rear box", system="exhaust",
            limits=Limits(until="2026-03-20"), job="wren-bulb",
        )
    )  # fmt: skip
    for paper in ("card", "dossier"):
        out = shop / f"{paper}.pdf"
        ran = run("paper", paper, str(shop / "mine.yaml"), *PAPERS[paper], "--out", str(out))
        assert ran.status == 0, ran.err
        assert "OPEN STOPGAPS" in text_of(out)
        assert "two turns of wire" in text_of(out)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["card", "FILE", "--stint", "2026-03-07", "--out", "a.png"], "give a name that ends so"),
        (["card", "FILE", "--stint", "2026-03-08", "--out", "a.pdf"], "no such stint"),
        (["card", "FILE", "--stint", "2026-03-07", "--out", "no/a.pdf"], "there is no folder"),
        (["card", "FILE", "--stint", "2026-03-07", "--out", "a.pdf", "--site", "garage"], "no address"),
        (["card", "FILE", "--stint", "2026-03-07", "--out", "a.pdf", "--fonts", "no"], "no such folder"),
        (["orders", "FILE", "--out", "a.pdf", "--seller", "nobody"], "it orders from counter"),
        (["orders", "FILE", "--out", "a.pdf", "--plan", "no.json"], "cannot be read"),
        (["dossier", "FILE", "--out", "a.pdf", "--car", "wrem"], "did you mean wren?"),
        (["dossier", "FILE", "--out", "a.pdf", "--date", "7 March"], "no such day"),
        (["dossier", "FILE", "--out", "a.pdf", "--photos", "no"], "no such folder"),
        (["dossier", "FILE", "--out", "a.pdf", "--pack", "eu"], "eu"),
        (["dossier", "no.yaml", "--out", "a.pdf"], "no.yaml"),
    ],
    ids=lambda one: " ".join(one[:1] + one[-2:]) if isinstance(one, list) else "",
)
def test_what_cannot_be_written_is_said(
    run: Run, shop: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], said: str
) -> None:
    monkeypatch.chdir(shop)
    ran = run("paper", *["mine.yaml" if one == "FILE" else one for one in arguments])
    assert ran.status == 2
    assert said in " ".join(ran.err.split())
    assert max(map(len, ran.err.splitlines())) <= 80
    assert sorted(one.name for one in shop.iterdir()) == ["mine.yaml", "plan.json"]


def test_a_damaged_record_stops_the_paper(run: Run, shop: Path) -> None:
    record_path(shop / "mine.yaml").write_text("no record at all\n", encoding="utf-8")
    ran = run("paper", "dossier", str(shop / "mine.yaml"), "--out", str(shop / "a.pdf"))
    assert ran.status == 2
    assert not (shop / "a.pdf").exists()


def test_photos_come_from_the_folder(run: Run, shop: Path) -> None:
    from PIL import Image

    finding = (
        "findings:\n  - {car: wren, item: tyre, place: all, seen: [sound], date: 2026-03-01, photo: t.png}\n"
    )
    (shop / "mine.yaml").write_text(FILE + finding, encoding="utf-8")
    (shop / "photos").mkdir()
    Image.new("RGB", (30, 20), "gray").save(shop / "photos" / "t.png")
    ran = run(
        "paper",
        "dossier",
        str(shop / "mine.yaml"),
        "--out",
        str(shop / "a.pdf"),
        "--photos",
        str(shop / "photos"),
    )
    assert ran.status == 0, ran.err
    pages = PdfReader(BytesIO((shop / "a.pdf").read_bytes())).pages
    assert sum(len(page.images) for page in pages) == 1
