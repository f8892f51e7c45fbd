"""``onceapart sum``: engineering sums, listed, described and run."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from onceapart.cli.files import UNUSABLE

if TYPE_CHECKING:
    from onceapart.sums.inputs import Input
    from onceapart.sums.registry import Sum
    from onceapart.sums.result import Result
    from onceapart.sums.run import InputProblem

_INPUT = re.compile(r"([A-Za-z][\w-]*)\s*=(.*)", re.DOTALL)


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    # An unknown option is most likely an input typed as one; it is answered with the way to write it.
    settings = {"ignore_unknown_options": True, "help_option_names": ["-h", "--help"]}
    app.command("sum", context_settings=settings)(sum_command)


def sum_command(
    name: Annotated[
        str, typer.Argument(metavar="[NAME]", help="The sum, or a family of sums; none lists them all.")
    ] = "",
    inputs: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[INPUT=VALUE]...", help='Such as grip="1 3/4 in"; none shows what it asks for.'
        ),
    ] = None,
    example: Annotated[
        bool, typer.Option("--example", help="Run the sum's example; inputs given replace its own.")
    ] = False,
    imperial: Annotated[bool, typer.Option("--imperial", help="Show the answer in imperial units.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")] = False,
    drawing: Annotated[
        str, typer.Option("--drawing", metavar="FILE.svg", help="Write a drawing to scale here.")
    ] = "",
    plot: Annotated[
        str, typer.Option("--plot", metavar="FILE", help="Write a plot here: a .png or .svg file.")
    ] = "",
) -> None:
    """Work out what a bolt holds, a brake takes, a tyre changes.

    NAME alone shows what the sum asks for, in which range, what it answers, where its figures come from,
    and an example. Values are typed as one says them, metric or imperial: 45 lb-ft, 32 psi, 12.5 mm.
    """
    from onceapart.errors import SumError
    from onceapart.sums.registry import family_names, find_sum

    if not name or name in family_names():
        if example or drawing or plot or inputs:
            _refuse("name the sum first; `onceapart sum` lists them all")
        _list([name] if name else family_names(), as_json=as_json)
        return
    if "=" in name:
        _refuse(f"{name}: name the sum before its inputs; `onceapart sum` lists them all")
    try:
        asked = find_sum(name)
    except SumError as error:
        _refuse(f"{error}. `onceapart sum` lists them with the question each answers.")
    if not (inputs or example):
        if drawing or plot:
            _refuse(f"{asked.name}: give inputs, or --example, and there is something to draw")
        _describe(asked, as_json=as_json)
        return
    _check_file("drawing", drawing, (".svg",))
    _check_file("plot", plot, (".svg", ".png"))
    result = _answered(asked, inputs or [], asked.example if example else {})
    if as_json:
        print(json.dumps(answer_data(asked, result), indent=2))
    else:
        from onceapart.cli.sum_page import answer_page

        answer_page(asked, result, "imperial" if imperial else "metric").show()
    _write_pictures(asked, result, drawing, plot)


def split_inputs(words: Sequence[str]) -> tuple[dict[str, str], list[InputProblem]]:
    """What was typed for each input, from the words of a command line.

    Parameters
    ----------
    words : sequence of str
        ``grip=34`` ``mm`` ``holds`` ``=`` ``bracket``: an input begins with its name and ``=``, and takes the
        words up to the next, so that a value with blanks needs no quotes.

    Returns
    -------
    (dict, list of InputProblem)
        Input name -> text, and what cannot be understood.

    Examples
    --------
    >>> split_inputs(["grip=1", "3/4", "in", "Wall_Side", "=", "left"])
    ({'grip': '1 3/4 in', 'wall-side': 'left'}, [])
    """
    from onceapart.sums.quantity import shorten
    from onceapart.sums.run import InputProblem

    problems = [
        InputProblem(shorten(word), "", "no such option; an input is written input=value, without strokes")
        for word in words
        if word.startswith("--")
    ]
    pieces: list[list[str]] = [[]]
    for word in words:
        if word.startswith("=") and re.fullmatch(r"[A-Za-z][\w-]*", (pieces[-1] or [""])[-1]):
            pieces.append([pieces[-1].pop() + word])
        elif _INPUT.match(word) or word.startswith("--"):
            pieces.append([word])
        else:
            pieces[-1].append(word)
    typed: dict[str, str] = {}
    if pieces[0]:
        text = " ".join(pieces[0])
        problems.append(InputProblem(shorten(text), "", "belongs to no input; write it as input=value"))
    for piece in pieces[1:]:
        found = _INPUT.match(" ".join(piece))
        if found is None:
            continue
        name = found[1].lower().replace("_", "-")
        if name in typed:
            problems.append(
                InputProblem(name, "", f"given twice, {shorten(typed[name])} and {shorten(found[2])}")
            )
        typed[name] = found[2].strip()
    return typed, problems


def describe_data(asked: Sum) -> dict[str, Any]:
    """All about a sum as plain data."""
    return {
        "name": asked.name,
        "title": asked.title,
        "question": asked.question,
        "inputs": [_input_data(each) for each in asked.inputs],
        "outputs": [{"name": each.name, "label": each.label, "unit": each.unit} for each in asked.outputs],
        "verdicts": list(asked.verdicts),
        "example": dict(asked.example),
        **_trust(asked),
    }


def answer_data(asked: Sum, result: Result) -> dict[str, Any]:
    """An answer as plain data: unrounded, each figure with its unit."""
    from onceapart.sums.present import as_plain

    head = {"format": "onceapart-sum/1", "sum": asked.name, "question": asked.question}
    return {**head, **as_plain(asked.outputs, result), **_trust(asked)}


def _input_data(each: Input) -> dict[str, Any]:
    data: dict[str, Any] = {
        "name": each.name,
        "label": each.label,
        "accepts": each.accepts,
        "example": each.example,
        "default": each.default,
        "optional": each.optional,
        "help": each.help,
    }
    return data | {
        key: value for key in ("unit", "low", "high") if (value := getattr(each, key, None)) is not None
    }


def _trust(asked: Sum) -> dict[str, Any]:
    return {
        "cautions": list(asked.cautions),
        "sources": [
            {"document": one.document, "place": one.place, "gives": one.gives, "status": one.status.value}
            for one in asked.sources
        ],
    }


def _list(families: Sequence[str], *, as_json: bool) -> None:
    from onceapart.sums.registry import load_family

    loaded = [load_family(family) for family in families]
    if as_json:
        print(json.dumps([describe_data(each) for family in loaded for each in family.sums], indent=2))
        return
    from onceapart.cli.screen import width_of
    from onceapart.cli.sum_page import list_text

    typer.echo(list_text(loaded, width_of(sys.stdout), lambda text: typer.style(text, bold=True)))


def _describe(asked: Sum, *, as_json: bool) -> None:
    if as_json:
        print(json.dumps(describe_data(asked), indent=2))
        return
    from onceapart.cli.sum_page import describe_page

    describe_page(asked).show()


def _answered(asked: Sum, words: Sequence[str], example: Any) -> Result:
    """Run the sum, or say all that is wrong with its inputs and exit with 2."""
    from onceapart.errors import SumError
    from onceapart.sums.run import SumInputsError, read_inputs, run_sum

    given, problems = split_inputs(words)
    typed = {**example, **given}
    try:
        if not problems:
            return run_sum(asked.name, typed)
        read_inputs(asked, typed)
    except SumInputsError as error:
        problems += error.problems
    except SumError as error:
        _refuse(f"{asked.name}: {error}")
    _say_input_problems(asked, problems)
    raise typer.Exit(UNUSABLE)


def _say_input_problems(asked: Sum, problems: Sequence[InputProblem]) -> None:
    from onceapart.cli.screen import width_of
    from onceapart.cli.words import count
    from onceapart.cli.wrapping import wrapped

    width = width_of(sys.stderr)
    lines = [wrapped(f"{asked.name}: {count(len(problems), 'problem')}", width)]
    for problem in problems:
        label = f" ({problem.label})" if problem.label else ""
        lines.append(wrapped(f"{problem.name}{label}", width, "  ", "    "))
        lines.append(wrapped(problem.message, width, "    ", "    "))
    lines.append(wrapped(f"`onceapart sum {asked.name}` shows what it asks for.", width))
    print("\n".join(lines), file=sys.stderr)


def _check_file(what: str, name: str, suffixes: Sequence[str]) -> None:
    """Refuse a name that no picture can be written to, before anything is worked out."""
    if name and Path(name).suffix.lower() not in suffixes:
        _refuse(f"{name}: a {what} is written as {' or '.join(suffixes)}; give a name that ends so")


def _write_pictures(asked: Sum, result: Result, drawing: str, plot: str) -> None:
    """Write what was asked for; what cannot be is said, with exit status 2, after all else is done."""
    from onceapart.cli.screen import say

    done = True
    for what, name, is_there in (
        ("drawing", drawing, bool(result.drawing)),
        ("plot", plot, result.plot is not None),
    ):
        if not name:
            continue
        if not is_there:
            say(
                f"{name} was not written: {asked.name} makes no {what} from these inputs; leave out --{what}."
            )
            done = False
        else:
            content = result.drawing.encode() if what == "drawing" else _plotted(result, name)
            done = _write_new(name, content) and done
    if not done:
        raise typer.Exit(UNUSABLE)


def _plotted(result: Result, name: str) -> bytes:
    from onceapart.sums.plots import plot_png, plot_svg

    assert result.plot is not None
    figure = result.plot()
    return plot_png(figure) if name.lower().endswith(".png") else plot_svg(figure).encode()


def _write_new(name: str, content: bytes) -> bool:
    """Write a file, never over another one; say what came of it."""
    from onceapart.cli.screen import say

    try:
        with Path(name).open("xb") as file:
            file.write(content)
    except FileExistsError:
        say(f"{name}: there is a file of this name already; it was left alone. Give another name.")
    except (OSError, ValueError) as error:
        what = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        say(f"{name}: the file cannot be written ({what}); check the name, the folder and its permissions.")
    else:
        say(f"{name} written.")
        return True
    return False


def _refuse(message: str) -> NoReturn:
    from onceapart.cli.screen import say

    say(message)
    raise typer.Exit(UNUSABLE)
