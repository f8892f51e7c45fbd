"""Writing what was read, and reading what was written."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from hypothesis import given, settings
from ruamel.yaml import YAML
from workshop_cases import SMALL, workshops

from onceapart.errors import WorkshopFileError
from onceapart.workshop import Workshop, check_workshop, parse_workshop, read_workshop, write_workshop


@settings(deadline=None)  # drawing a whole workshop takes most of the time
@given(workshops())
def test_a_written_workshop_reads_equal(workshop: Workshop) -> None:
    assert check_workshop(workshop) == []
    text = write_workshop(workshop)
    again = parse_workshop(text)
    assert again == workshop
    assert [job.overrides for job in again.jobs if job.recipe] == [
        job.overrides for job in workshop.jobs if job.recipe
    ]
    assert write_workshop(again) == text
    assert Workshop.model_validate_json(workshop.model_dump_json()) == workshop


@settings(max_examples=50, deadline=None)
@given(workshops())
def test_a_yaml_reader_that_guesses_sees_the_same_texts_and_numbers(workshop: Workshop) -> None:
    # Another way to read YAML 1.2, by looks: ids and names must come out as text, amounts as numbers.
    plain = YAML(typ="safe", pure=True).load(write_workshop(workshop))
    assert plain["name"] == workshop.name
    assert [car["id"] for car in plain.get("cars", [])] == [car.id for car in workshop.cars]
    assert [seller["name"] for seller in plain.get("sellers", [])] == [
        seller.name for seller in workshop.sellers
    ]
    for read, offer in zip(plain.get("offers", []), workshop.offers, strict=True):
        assert round(read["price"] * 100) == offer.price
        assert read["parts"] == offer.parts


def test_what_says_nothing_new_is_left_out() -> None:
    text = write_workshop(parse_workshop(SMALL))
    assert "worth: 0" not in text
    assert "have: false" not in text
    assert "[]" not in text
    assert "layout: {drive: rear, rear-brakes: disc}" in text


def test_an_empty_override_of_a_recipe_is_kept() -> None:
    text = SMALL.replace("minutes: 5, worth: 20.5,", "recipe: mats, parts: {}, worth: 20.5,")
    job = parse_workshop(write_workshop(parse_workshop(text))).jobs[1]
    assert job.overrides == {"parts"}
    assert job.parts == {}


def test_values_with_units_need_no_quotes() -> None:
    text = SMALL.replace(
        "    layout:", "    mass: '980 kg'\n    marks: {disc: '3/8 in', wheel: '1 3/8 in'}\n    layout:"
    )
    written = write_workshop(parse_workshop(text))
    assert "    mass: 980 kg\n" in written
    assert '    marks: {disc: 3/8 in, wheel: "1 3/8 in"}\n' in written


def test_a_part_that_is_called_as_a_key_for_money_keeps_its_pieces() -> None:
    workshop = parse_workshop(
        SMALL.replace("shelf: {wren/front/drop-link: 1}", "shelf: {price: 2, worth: 1}")
    )
    assert parse_workshop(write_workshop(workshop)).shelf == {"price": 2, "worth": 1}


def test_written_lines_fit_a_wide_window() -> None:
    many = ", ".join(f"wren/front-left/part-{i}: 1" for i in range(40))
    text = SMALL.replace("parts: {wren/front-left/cv-boot-kit: 1}", f"parts: {{{many}}}")
    assert max(map(len, write_workshop(parse_workshop(text)).splitlines())) <= 110


def test_a_file_is_written_and_read(tmp_path: Path) -> None:
    workshop = parse_workshop(SMALL)
    path = tmp_path / "quay lane.yaml"
    assert write_workshop(workshop, path) == path.read_text(encoding="utf-8")
    assert read_workshop(path) == workshop
    assert read_workshop(str(path)) == workshop
    assert os.listdir(tmp_path) == ["quay lane.yaml"]


def test_a_replaced_file_keeps_its_permissions_and_its_link(tmp_path: Path) -> None:
    target, link = tmp_path / "real.yaml", tmp_path / "link.yaml"
    target.write_text("old")
    target.chmod(0o640)
    link.symlink_to(target)
    write_workshop(parse_workshop(SMALL), link)
    assert link.is_symlink()
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    assert read_workshop(target).name == "Quay Lane"


def test_a_write_that_fails_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "workshop.yaml"
    path.write_text("old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(WorkshopFileError, match="No space left"):
        write_workshop(parse_workshop(SMALL), path)
    assert path.read_text() == "old"
    assert os.listdir(tmp_path) == ["workshop.yaml"]


@pytest.mark.parametrize("name", ["", "no/such/folder.yaml", "a\0b"])
def test_a_place_that_can_not_be_written_is_named(tmp_path: Path, name: str) -> None:
    with pytest.raises(WorkshopFileError, match="cannot be written"):
        write_workshop(parse_workshop(SMALL), tmp_path / name)


def test_a_workshop_too_large_to_be_read_is_not_written() -> None:
    workshop = parse_workshop(SMALL)
    shelf = {f"part-{i}-{'x' * 80}": 1 for i in range(12_000)}
    with pytest.raises(WorkshopFileError, match="at most 1,000,000 bytes"):
        write_workshop(workshop.model_copy(update={"shelf": shelf}))
