"""Ticks, checks and the record from the command line, as on a phone with dirty hands."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_cases import SMALL, Run

from onceapart.bench.record import RecordFile

WORKSHOP = SMALL.replace(
    "jobs:\n",
    "tools:\n  - {id: piston-wind-back-tool, have: true}\njobs:\n"
    "  - {id: wren-link, car: wren, need: upkeep, recipe: drop-link, place: front-left}\n"
    "  - {id: wren-discs, car: wren, need: upkeep, recipe: brake-discs, place: front}\n",
)


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "garage.yaml"
    path.write_text(WORKSHOP, encoding="utf-8")
    return str(path)


def fits(text: str) -> bool:
    return all(len(line) <= 80 for line in text.splitlines())


def test_a_day_at_the_bench(run: Run, file: str, tmp_path: Path) -> None:
    assert run("tick", file, "--start", "--who", "A. Finch", "wren-link").status == 0
    wheel = "wren/front-left/wheel"
    done = run("tick", file, f"off:{wheel}", "wren-link", f"on:{wheel}=110 Nm", "--stint", "2026-03-07")
    assert done.status == 0
    assert f"ticked  on:{wheel}" in done.out
    assert run("tick", file, "--stop", "--who", "A. Finch", "wren-link").status == 0

    shown = run("release", file, "wren")
    assert shown.status == 0
    assert "The Wren: NOT RELEASED" in shown.out
    assert "[ ] front-left/wheel-nuts" in shown.out
    assert fits(shown.out)

    refused = run("release", file, "wren", "--grant", "--who", "A. Finch")
    assert refused.status == 1
    assert "not granted" in refused.err
    assert "NOT RELEASED" in refused.out

    checks = [
        "nothing-left",
        "front-left/wheel-nuts=110 Nm",
        "brake-hoses-free",
        "joints-secured",
        "pedal-hard",
    ]
    answers = [word for check in checks for word in ("--yes", check)]
    granted = run(
        "release", file, "wren", *answers, "--grant", "--who", "A. Finch", "--odometer", "143200 km"
    )
    assert granted.status == 0
    assert "The Wren: released with follow-ups due, by A. Finch" in granted.out
    assert "143250 and 143300 km" in granted.out
    assert "[x] front-left/wheel-nuts" in granted.out

    record = run("record", file)
    assert "The Wren: released with follow-ups due" in record.out
    assert "Done     wren-link" in record.out
    assert fits(record.out)

    again = run("tick", file, f"off:{wheel}")
    assert "The Wren is NOT RELEASED any more" in again.err
    assert f"{wheel} is still off" in " ".join(run("release", file).out.split())
    assert (tmp_path / "garage.record.jsonl").exists()


def test_nothing_is_noted_of_a_row_with_a_slip(run: Run, file: str, tmp_path: Path) -> None:
    ran = run("tick", file, "wren-link", "wren-linkk", "front-left/wheel", "check:wren/pedal-hard")
    assert ran.status == 2
    words = " ".join(ran.err.split())
    assert "wren-linkk: there is no step with this id; did you mean do:wren-link?" in words
    assert "did you mean loosen:wren/front-left/wheel or off:wren/front-left/wheel" in words
    assert "a check is answered, not ticked" in words
    assert not (tmp_path / "garage.record.jsonl").exists()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["measure:wren-discs:run-out:front-left"], "a value is wanted"),
        (["measure:wren-discs:run-out:front-left=0.05"], "a value has its unit"),
        (["measure:wren-discs:run-out:front-left=0.05 bar"], "not a unit of length"),
        (["on:wren/front-left/wheel=tight"], "not one number with a unit"),
        (["--undo", "wren-link=3 mm"], "--undo takes no value"),
        (["--start", "--stop"], "give one"),
        (["--start", "wren-linkk"], "did you mean wren-link?"),
        (["--stop"], "there is no start to this stop"),
        (["wren-link", "--odometer", "far"], "143200 km or 89400 mi"),
    ],
)
def test_what_cannot_be_noted_is_said_with_its_way_out(
    run: Run, file: str, arguments: list[str], said: str
) -> None:
    ran = run("tick", file, *arguments)
    assert ran.status == 2
    assert said in " ".join(ran.err.split())
    assert fits(ran.err)


def test_a_measurement_is_kept_as_it_was_typed(run: Run, file: str) -> None:
    assert run("tick", file, "measure:wren-discs:run-out:front-left=2 thou").status == 0
    entries = json.loads(run("record", file, "--json").out)
    assert [one["kind"] for one in entries] == ["measured", "ticked"]
    assert entries[0]["value"] == "2 thou"


def test_ticks_are_listed_and_taken_back(run: Run, file: str) -> None:
    run("tick", file, "do:wren-link:link-off")
    assert "[x] do:wren-link:link-off\n" in run("tick", file).out
    assert run("tick", file, "--undo", "do:wren-link:link-off").status == 0
    listed = run("tick", file).out
    assert "[ ] do:wren-link:link-off\n" in listed
    assert fits(listed)
    twice = run("tick", file, "--undo", "do:wren-link:link-off")
    assert "nothing to take back" in " ".join(twice.err.split())


def test_the_order_of_checks_is_kept(run: Run, file: str) -> None:
    run("tick", file, "wren-bulb")
    ran = run("release", file, "wren", "--yes", "brakes-slow-try")
    assert ran.status == 2
    assert "first answer nothing-left, steering-free, lamps-work, pedal-hard" in " ".join(ran.err.split())
    # Given in one go they are put in order.
    checks = ["brakes-slow-try", "pedal-hard", "lamps-work", "steering-free", "nothing-left"]
    answers = [word for check in checks for word in ("--yes", check)]
    assert run("release", file, "wren", *answers, "--grant", "--who", "A").status == 0


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["wrenn"], "did you mean wren?"),
        (["wren", "--yes", "pedal-hrad"], "did you mean pedal-hard?"),
        (["wren", "--yes", "wheel-nuts"], "there are 2 of these"),
        (["wren", "--grant"], "give --who NAME"),
        (["wren", "--odometer", "1 km/h"], "143200 km or 89400 mi"),
        (["wren", "--yes", "pedal-hard=fine"], "a number with its unit"),
        (["--grant"], "which car?"),
    ],
)
def test_slips_at_the_release_are_said(run: Run, file: str, arguments: list[str], said: str) -> None:
    run("tick", file, "wren-discs", "wren-link")
    ran = run("release", file, *arguments)
    assert ran.status == 2
    assert said in " ".join(ran.err.split())


def test_a_release_is_withdrawn_and_a_no_keeps_its_words(run: Run, file: str) -> None:
    run("release", file, "wren", "--grant", "--who", "A. Finch")
    ran = run("release", file, "wren", "--withdraw", "a noise at the rear")
    assert "withdrawn on" in ran.out
    assert "a noise at the rear" in ran.out
    run("tick", file, "wren-bulb")
    ran = run("release", file, "wren", "--no", "lamps-work=left indicator dead")
    assert "left indicator dead" in ran.out
    told = json.loads(run("release", file, "wren", "--json").out)
    assert told["status"] == "not released"
    assert {one["id"]: one["state"] for one in told["checks"]}["wren/lamps-work"] == "no"
    assert json.loads(run("release", file, "--json").out)[0]["car"] == "wren"


def test_the_odometer_does_not_go_back(run: Run, file: str) -> None:
    run("release", file, "wren", "--grant", "--who", "A", "--odometer", "143200 km")
    ran = run("release", file, "wren", "--grant", "--who", "A", "--odometer", "142300 km")
    assert ran.status == 2
    assert "stood at 143200 km" in " ".join(ran.err.split())


def test_an_entry_is_struck_by_another(run: Run, file: str) -> None:
    run("record", file, "--note", "Rear left tyre: 3 mm\nor less", "--who", "A. Finch")
    assert "give --why" in run("record", file, "--strike", "1").err
    assert "no such entry" in run("record", file, "--strike", "9", "--why", "x").err
    listed = run("record", file, "--strike", "1", "--why", "wrong car", "--all").out
    assert "(struck) noted: Rear left tyre: 3 mm / or less, A. Finch" in listed
    assert "corrected: entry 1 does not count, wrong car" in listed
    assert run("record", file, "--note", " ").status == 2


def test_a_damaged_record_releases_no_car_until_it_is_mended(run: Run, file: str, tmp_path: Path) -> None:
    run("release", file, "wren", "--grant", "--who", "A. Finch")
    assert "released" in run("release", file).out
    path = tmp_path / "garage.record.jsonl"
    path.write_bytes(path.read_bytes().replace(b"A. Finch", b"B. Finch", 1))
    for command in ("record", "release", "tick"):
        ran = run(command, file)
        assert ran.status == 2
        assert "line 2, sum" in ran.err
        assert "--mend" in ran.err
        assert "no car of this workshop is released" in " ".join(ran.err.split())
        assert not ran.out
    assert run("record", file, "--mend").status == 0
    assert "NOT RELEASED" in run("release", file).out
    assert "nothing to mend" in run("record", file, "--mend").out


def test_a_torn_end_is_told_and_repaired(run: Run, file: str, tmp_path: Path) -> None:
    run("record", file, "--note", "first")
    path = tmp_path / "garage.record.jsonl"
    path.write_bytes(path.read_bytes() + b'{"number":2,"kin')
    ran = run("record", file)
    assert ran.status == 0
    assert "was cut off while it was written" in " ".join(ran.err.split())
    run("record", file, "--note", "second")
    ran = run("record", file, "--all")
    assert not ran.err
    assert "noted: second" in ran.out


def test_an_open_stopgap_is_on_every_page_of_its_car(run: Run, file: str, tmp_path: Path) -> None:
    from onceapart.bench.entries import Limits, StopgapFitted, now

    fitted = StopgapFitted(
        time=now(), car="wren", what="M10 bolt", where="drop link", system="suspension", job="wren-link",
        limits=Limits(do_not_drive=True),
    )  # fmt: skip
    RecordFile(tmp_path / "garage.record.jsonl").append(fitted)
    for command in (["record", file], ["release", file], ["release", file, "wren"]):
        shown = " ".join(run(*command).out.split())
        assert "M10 bolt, drop link (suspension). DO NOT DRIVE" in shown
        assert "NOT RELEASED" in shown
    assert run("release", file, "wren", "--grant", "--who", "A. Finch").status == 1


def test_money_is_counted_once(run: Run, file: str, tmp_path: Path) -> None:
    """By hand: 14.90 + 8.50 ordered, the same boot with its price once more when it comes, 6.00 and 2.20."""
    from onceapart.bench.entries import Arrived, Ordered, SnagOpened, WayChosen, now

    store = RecordFile(tmp_path / "garage.record.jsonl")
    boot = {"wren/front-left/cv-boot-kit": 1}
    store.append(
        Ordered(time=now(), offer="boot", parts=boot, price=1490, delivery=850, arrives=now().date())
    )
    store.append(Arrived(time=now(), part="wren/front-left/cv-boot-kit", pieces=1, offer="boot", price=1490))
    store.append(Arrived(time=now(), part="wren/bulb", pieces=1, price=220))
    snag = store.append(
        SnagOpened(time=now(), car="wren", snag="broken fastener", words="sheared", dangerous=False)
    )
    store.append(WayChosen(time=now(), snag=snag.id, way="drill it out", price=600))
    shown = " ".join(run("record", file).out.split())
    assert "Money 31.60 EUR (ordered 23.40 EUR, parts that came 2.20 EUR, snags 6.00 EUR)" in shown


def test_standard_input_has_no_record(run: Run) -> None:
    ran = run("record", "-")
    assert ran.status == 2
    assert "name the file" in ran.err


def test_the_record_is_shown_without_the_solver(file: str) -> None:
    import subprocess
    import sys

    program = (
        "import sys; from onceapart.cli import main\n"
        f"sys.argv = ['onceapart', 'release', {file!r}]\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "assert 'highspy' not in sys.modules and 'matplotlib' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", program], capture_output=True, check=True)
