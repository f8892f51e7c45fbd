"""What the environment says, and what the site begins with."""

from __future__ import annotations

import datetime as dt
import stat
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ImproperlyConfigured
from hypothesis import given, settings
from hypothesis import strategies as st

from onceapart.demo import read_demo
from onceapart.planning.solve import best_plan
from onceapart.planning.workload import workload_from
from onceapart.site.server.environment import data_folder, hosts, is_open, secret_key, time_zone
from onceapart.site.server.first_run import demo_for
from onceapart.site.server.serving import free_name
from onceapart.trade import apply_recipes
from onceapart.workshop import parse_workshop


def test_the_data_folder_and_its_key_are_for_their_owner_alone(tmp_path: Path) -> None:
    folder = data_folder({"ONCEAPART_DATA": str(tmp_path / "a" / "b")})
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    key = secret_key(folder)
    assert len(key) >= 60
    assert secret_key(folder) == key, "made once"
    assert stat.S_IMODE((folder / "secret-key").stat().st_mode) == 0o600
    (folder / "secret-key").write_text("short")
    with pytest.raises(ImproperlyConfigured, match="delete the file"):
        secret_key(folder)


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(ImproperlyConfigured, match="ONCEAPART_DATA"):
        data_folder({"ONCEAPART_DATA": str(tmp_path / "file" / "below")})


def test_hosts_are_names_and_addresses() -> None:
    assert hosts({}) == []
    assert hosts({"ONCEAPART_HOSTS": "192.168.1.20, garage.local,,"}) == ["192.168.1.20", "garage.local"]
    for wrong in ("*", "http://garage", "*.local", "a b"):
        with pytest.raises(ImproperlyConfigured, match="ONCEAPART_HOSTS"):
            hosts({"ONCEAPART_HOSTS": wrong})


def test_open_is_said_with_yes_or_no() -> None:
    assert [is_open({"ONCEAPART_OPEN": said}) for said in ("yes", "no", "YES")] == [True, False, True]
    assert not is_open({})
    with pytest.raises(ImproperlyConfigured, match="yes or no"):
        is_open({"ONCEAPART_OPEN": "1"})


def test_the_time_zone_is_that_of_the_machine(tmp_path: Path) -> None:
    link = tmp_path / "localtime"
    assert time_zone({"TZ": "Europe/Lisbon"}, link) == "Europe/Lisbon"
    assert time_zone({"TZ": ":Europe/Lisbon"}, link) == "Europe/Lisbon"
    assert time_zone({}, link) == "UTC"
    link.symlink_to("/usr/share/zoneinfo/Pacific/Auckland")
    assert time_zone({}, link) in ("Pacific/Auckland", "UTC")
    for wrong in ("No/Where", "../../etc/passwd", "EST5EDT4,M3.2.0", "\0"):
        assert time_zone({"TZ": wrong}, tmp_path / "none") == "UTC"


@settings(max_examples=8, deadline=None)
@given(st.dates(dt.date(2025, 1, 1), dt.date(2060, 12, 31)))
def test_the_demo_is_of_this_week_whatever_the_week(today: dt.date) -> None:
    was, found = read_demo().workshop, parse_workshop(demo_for(today))
    assert found.today is None
    assert 2 <= (min(stint.date for stint in found.stints) - today).days < 9
    assert -7 < (max(one.date for one in found.findings) - today).days <= 0
    moved = {new.date - old.date for new, old in zip(found.stints, was.stints, strict=True)}
    moved |= {
        new.inspection.due - old.inspection.due
        for new, old in zip(found.cars, was.cars, strict=True)
        if new.inspection and old.inspection
    }
    moved |= {new.by - old.by for new, old in zip(found.jobs, was.jobs, strict=True) if new.by and old.by}
    assert len(moved) == 1
    assert moved.pop().days % 7 == 0, "Saturdays stay Saturdays"
    assert [car.registered for car in found.cars] == [car.registered for car in was.cars]
    same: dict[str, Any] = {"today": None, "cars": (), "findings": (), "jobs": (), "stints": ()}
    assert found.model_copy(update=same) == was.model_copy(update=same)


@pytest.mark.parametrize("day", [0, 3, 5])
def test_the_demo_has_a_plan_whatever_the_day_of_the_week(day: int) -> None:
    today = dt.date(2031, 5, 5) + dt.timedelta(day)
    workshop = apply_recipes(parse_workshop(demo_for(today)))
    answer = best_plan(workload_from(workshop, today))
    assert answer.plan is not None


def test_no_copy_is_written_over(tmp_path: Path) -> None:
    path = tmp_path / "copy"
    for name in ("copy", "copy-2", "copy-3"):
        found = free_name(path)
        assert found.name == name
        found.touch()
