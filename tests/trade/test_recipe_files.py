"""A recipe of one's own: read, checked and used; whatever is wrong with it is said with its line."""

from __future__ import annotations

import textwrap

import pytest
from trade_workshop import make_workshop

from onceapart.errors import TradeDataError, WorkshopFileError
from onceapart.trade import apply_recipes, describe_recipe, load_recipe, load_recipe_file, recipe_ids
from onceapart.workshop import Layout, Tool, check_references

OWN = """\
format: onceapart-recipe/1
id: heat-shield
title: Heat shield
cures: A heat shield that rattles.
basis: own record, four of them
places: [underside]
touches: [exhaust]
operations:
  - id: off-and-on
    do: Cut the old one loose and fit the new one with wide washers.
    minutes: {good: 10, typical: 20, bad: 45}
access: [front/undertray, heat-trap]
parts:
  heat-shield: {title: Heat shield, pieces: 1, per: job}
tools: [shield-spreader]
cautions: [hot-exhaust]
measurements:
  - {id: gap, during: off-and-on, what: gap to the pipe, quantity: length, unit: mm}
aftercare: [rattle-drive]
release: [nothing-left]
defines:
  access:
    - id: heat-trap
      title: Heat trap
      at: car
      minutes: {good: 2, typical: 4, bad: 9}
      under: [rear/on-stands]
      do: Unclip it.
  aftercare:
    - id: rattle-drive
      title: Drive to listen
      at: car
      minutes: {good: 5, typical: 8, bad: 20}
      price: "0.00"
      do: Drive over cobbles and listen.
  tools:
    - {id: shield-spreader, title: Spreader, use: Spreads the shield.}
"""


@pytest.fixture
def file_of(tmp_path):
    def write(text, name="own.yaml"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return write


def problems_of(path):
    with pytest.raises(TradeDataError) as caught:
        load_recipe_file(path)
    assert caught.value.source == str(path)
    for problem in caught.value.problems:
        assert problem.rule
        assert problem.way_out
        assert "workshop" not in f"{problem.rule} {problem.way_out}", "a recipe is no workshop file"
    return caught.value.problems


def test_own_recipe_is_applied_with_what_it_defines(file_of):
    recipe = load_recipe_file(file_of(OWN))
    before = make_workshop(
        {"recipe": "heat-shield", "place": "underside"}, tools=(Tool(id="shield-spreader", have=True),)
    )
    workshop = apply_recipes(before, [recipe])
    assert check_references(workshop) == []
    (job,) = workshop.jobs
    assert job.minutes == 20
    assert job.parts == {"wren/underside/heat-shield": 1}
    assert job.access == ("wren/undertray", "wren/heat-trap")
    minutes = {access.id: access.minutes for access in workshop.access}
    assert minutes["wren/heat-trap"] == 4
    assert {"wren/front/on-stands", "wren/rear/on-stands"} < set(minutes)
    assert [(one.id, one.minutes, one.price) for one in workshop.aftercare] == [("wren/rattle-drive", 8, 0)]


def test_own_recipe_replaces_the_shipped_one_of_its_id(file_of):
    recipe = load_recipe_file(file_of(OWN.replace("id: heat-shield\n", "id: cv-boot\n", 1)))
    tools = (Tool(id="shield-spreader", have=True),)
    workshop = apply_recipes(
        make_workshop({"recipe": "cv-boot", "place": "underside"}, tools=tools), [recipe]
    )
    assert workshop.jobs[0].minutes == 20


def test_own_recipe_keeps_its_basis(file_of):
    told = describe_recipe(load_recipe_file(file_of(OWN)), Layout())
    assert {one["basis"] for one in told["operations"]} == {"own record, four of them"}


def test_two_own_recipes_that_define_one_name_differently_are_refused(file_of):
    one = load_recipe_file(file_of(OWN))
    other = load_recipe_file(
        file_of(OWN.replace("id: heat-shield\n", "id: other\n", 1).replace("typical: 4", "typical: 5"))
    )
    job = {"recipe": "heat-shield", "place": "underside", "tools": ()}
    with pytest.raises(WorkshopFileError) as caught:
        apply_recipes(make_workshop(job), [one, other])
    assert "access/heat-trap" in [problem.value for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("old", "new", "line", "value", "said"),
    [
        ("title: Heat shield\n", "titel: Heat shield\n", 3, "titel", "`title`"),
        ("cures: A heat shield that rattles.\n", "", 1, "", "`cures` is missing"),
        ("typical: 20", "typical: 5", 11, "", "good is at most typical"),
        ("typical: 20", "typical: soon", 11, "soon", "whole number"),
        ("typical: 20", "typical: -20", 11, "-20", "at least 0"),
        ("typical: 20", "typical: .nan", 11, ".nan", "whole number"),
        ("typical: 20, bad: 45", "typical: 20", 11, "", "`bad` is missing"),
        ("typical: 20", "typical: " + "9" * 5000, 11, "9999", ""),
        ("[underside]", "[undersaid]", 6, "undersaid", "corner, axle or one of"),
        ("[underside]", "[]", 6, "", "at least one"),
        ("basis: own record, four of them", "basis: '  '", 5, "", "blank"),
        ("front/undertray", "front/undertrey", 12, "undertrey", "did you mean undertray"),
        ("front/undertray", "wheel", 12, "", "wheel is one a corner, and underside has no corner"),
        ("per: job", "per: corner", 14, "", "heat-shield is one a corner"),
        ("per: job", "per: axel", 14, "axel", "did you mean axle"),
        ("pieces: 1, per: job", "pieces: 1, per: axle, named: corner", 14, "", "no corner of its own"),
        ("tools: [shield-spreader]", "tools: [ball-joint-spliter]", 15, "ball-joint-spliter", "splitter"),
        ("[hot-exhaust]", "[hot-exhausts]", 16, "hot-exhausts", "did you mean hot-exhaust"),
        ("during: off-and-on", "during: off-an-on", 18, "off-an-on", "did you mean off-and-on"),
        ("unit: mm", "unit: inch", 18, "", "length is written down in mm"),
        ("[rattle-drive]", "[rattle-drive, rattle-drive]", 19, "rattle-drive", "named twice"),
        ("[nothing-left]", "[nothing-lost]", 20, "nothing-lost", "did you mean nothing-left"),
        ("release: [nothing-left]\n", "", 1, "", "`release` is missing"),
        ("- id: heat-trap", "- id: wheel", 23, "wheel", "another id"),
        ("under: [rear/on-stands]", "under: [heat-trap]", 27, "heat-trap", "leads back"),
        ('price: "0.00"', "price: 1.234", 34, "1.234", "two places"),
        ("touches: [exhaust]", "touches: [brakes]", 16, "", "checked-brakes"),
        ("touches: [exhaust]", "touches: [steering]", 16, "", "licensed mechanic|checked-steering"),
        ("touches: [exhaust]", "touches: [airbags]", 16, "", "airbags"),
        ("id: heat-shield\n", "id: wren/heat-shield\n", 2, "wren/heat-shield", "no / in it"),
        ("id: heat-shield\n", "id: Heat Shield\n", 2, "Heat Shield", "lower-case"),
        ("title: Heat shield\n", "title: Heat shield\ntitle: Twice\n", 4, "title", "already"),
        ("title: Heat shield\n", "title: &a Heat shield\n", 3, "&a", "no anchors"),
        ("title: Heat shield\n", "title: !!python/object Heat\n", 3, "python/object", "no tags"),
        ("title: Heat shield\n", "title: [Heat\n", 4, "", "YAML"),
        ("title: Heat shield\n", "title: {a: b}\n", 3, "a map", "one text"),
        ("touches: [exhaust]\n", "touches: exhaust\n", 7, "exhaust", "list"),
        ("format: onceapart-recipe/1", "format: onceapart-recipe/2", 1, "onceapart-recipe/2", "recipe/1"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(file_of, old, new, line, value, said):
    assert old in OWN
    problems = problems_of(file_of(OWN.replace(old, new, 1)))
    found = [problem for problem in problems if problem.line == line]
    assert found, [str(problem) for problem in problems]
    assert any(value in problem.value for problem in found)
    text = " ".join(str(problem) for problem in found)
    assert any(one in text for one in said.split("|")), text


def test_all_problems_are_said_at_once(file_of):
    text = (
        OWN.replace("[underside]", "[nowhere]")
        .replace("typical: 20", "typical: x")
        .replace("per: job", "per: x")
    )
    assert [problem.line for problem in problems_of(file_of(text))] == [6, 11, 14]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "# nothing\n",
        "- a\n- list\n",
        "just text",
        "[" * 5000,
        "{a: " * 2000,
        b"\xff\xfe\x00 not UTF-8",
        "format: onceapart-recipe/1\n" + "x: 1\n" * 60_000,
        "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n",
        "title: a\x00b\n",
        "--- \na: b\n---\nc: d\n",
    ],
)
def test_hostile_files_are_refused_with_a_problem(file_of, text):
    problems_of(file_of(text))


def test_file_that_is_not_there(tmp_path):
    assert problems_of(tmp_path / "none.yaml")[0].line is None
    problems_of(tmp_path)


def test_unknown_recipe_names_the_nearest():
    with pytest.raises(TradeDataError) as caught:
        load_recipe("brake-pad")
    (problem,) = caught.value.problems
    assert problem.value == "brake-pad"
    assert problem.way_out == "did you mean brake-pads?"


@pytest.mark.parametrize(
    "name", ["", "../recipes/cv-boot", "brake-pads.yaml", "BRAKE-PADS", "/etc/passwd", "x" * 5000]
)
def test_only_ids_name_recipes(name):
    with pytest.raises(TradeDataError):
        load_recipe(name)


def test_a_shipped_recipe_may_be_copied_to_start_ones_own_with(tmp_path):
    """Every shipped file passes the full check that a file of one's own has to pass."""
    from importlib.resources import files

    for name in recipe_ids():
        text = (files("onceapart.trade") / "recipes" / f"{name}.yaml").read_text(encoding="utf-8")
        path = tmp_path / f"{name}.yaml"
        path.write_text(text, encoding="utf-8")
        assert load_recipe_file(path) == load_recipe(name)


def test_words_may_run_over_several_lines(file_of):
    text = OWN.replace("cures: A heat shield that rattles.", "cures: >-\n  A heat shield\n  that rattles.")
    assert load_recipe_file(file_of(textwrap.dedent(text))).cures == "A heat shield that rattles."
