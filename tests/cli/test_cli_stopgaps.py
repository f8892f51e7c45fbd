"""Open stopgaps stand on top of what is shown of their cars, and no plan leaves what makes them good."""

import json

import pytest

from onceapart.demo import demo_text


@pytest.fixture
def file(run, tmp_path):
    path = tmp_path / "demo.yaml"
    path.write_text(demo_text())
    on = ("--today", "2026-03-28")
    words = ("--words", "hanger bolt sheared", "--harmless")
    opened = run("snag", str(path), "duchess", "broken-fastener", "do:duchess-exhaust", *words, *on)
    assert opened.status == 0, opened.err
    fitted = ("--what", "M8 through-bolt", "--where", "rear hanger", "--system", "exhaust")
    limits = ("--until", "2026-04-03", "--sign", "A. Finch")
    chosen = run("snag", str(path), "1", "--way", "fastener-stopgap", *fitted, *limits, *on)
    assert chosen.status == 0, chosen.err
    return str(path)


@pytest.mark.parametrize("command", [("plan",), ("compare",), ("card", "--stint", "2026-03-28")])
def test_they_stand_on_top(run, file, command):
    name, *options = command
    shown = run(name, file, *options)
    assert shown.status == 0, shown.err
    assert "OPEN STOPGAPS" in shown.out[:200]
    assert "M8 through-bolt" in shown.out


def test_the_plan_has_the_job_that_makes_it_good_in_time(run, file):
    plan = json.loads(run("plan", file, "--json").out)
    good = {name for stint in plan["stints"] for name in stint["jobs"] if "make-good" in name}
    assert len(good) == 1
    name = good.pop()
    day = next(stint["date"] for stint in plan["stints"] if name in stint["jobs"])
    assert day <= "2026-04-03"


def test_without_a_record_nothing_is_said(run, tmp_path):
    path = tmp_path / "demo.yaml"
    path.write_text(demo_text())
    assert "STOPGAPS" not in run("plan", str(path)).out
