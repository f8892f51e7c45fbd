"""Keep the results shown in README.md and docs/ in step with what the program prints.

A shown result stands between two comments; what is between them is written by this script:

    <!-- shown: onceapart demo -->
    <!-- end of shown -->

The command runs in a folder with the files of docs/shown/ and demo.yaml, the demo workshop, in 80 columns,
without a terminal; error messages are shown with the rest. Options stand in square brackets before the
command: `[lines 1-30]` shows a part, and `[exit 2]` says which exit status is expected other than 0.

usage: shown.py --check | --write
"""

from __future__ import annotations

import argparse
import difflib
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FILES = ROOT / "docs" / "shown"
DEMO = ROOT / "src" / "onceapart" / "demo" / "workshop.yaml"
BLOCK = re.compile(
    r"^(?P<start><!-- shown: (?P<options>(?:\[[^\]]*\] )*)(?P<command>onceapart[^\n]*?) -->\n)"
    r"(?P<body>.*?)"
    r"^(?P<end><!-- end of shown -->)$",
    re.MULTILINE | re.DOTALL,
)


class ShownError(Exception):
    """A shown command does not do what the page says."""


def pages() -> list[Path]:
    """Every page that may show results."""
    return [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]


@cache
def run(command: str) -> tuple[int, str]:
    """Exit status and output of a command, run beside copies of the files of docs/shown/."""
    name, *arguments = shlex.split(command)
    program = Path(sys.executable).with_name(name)
    keep = {key: os.environ[key] for key in ("PATH", "HOME", "TMPDIR") if key in os.environ}
    with tempfile.TemporaryDirectory() as folder:
        for file in FILES.iterdir():
            shutil.copy(file, folder)
        shutil.copy(DEMO, Path(folder) / "demo.yaml")
        done = subprocess.run(
            [program, *arguments],
            cwd=folder,
            env={**keep, "COLUMNS": "80", "LC_ALL": "C.UTF-8"},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            timeout=120,
            check=False,
        )
    return done.returncode, done.stdout


def shown(block: re.Match[str]) -> str:
    """The block as it should stand."""
    command = block["command"]
    options = dict(option.split(" ", 1) for option in re.findall(r"\[([^\]]*)\]", block["options"]))
    unknown = set(options) - {"lines", "exit"}
    if unknown:
        raise ShownError(f"`{command}`: unknown options {', '.join(sorted(unknown))}; use lines or exit")
    status, output = run(command)
    if status != int(options.get("exit", "0")):
        raise ShownError(f"`{command}` ended with exit status {status}:\n{output}")
    lines = output.rstrip("\n").split("\n")
    if "lines" in options:
        first, last = map(int, options["lines"].split("-"))
        lines = [*(["..."] if first > 1 else []), *lines[first - 1 : last], *(["..."] * (last < len(lines)))]
    fence = "`" * max(3, 1 + max((len(ticks) for ticks in re.findall("`+", output)), default=0))
    body = "\n".join([f"{fence}console", f"$ {command}", *lines, fence])
    return f"{block['start']}{body}\n{block['end']}"


def main() -> int:
    """Check or write all pages; the exit status."""
    parser = argparse.ArgumentParser(description="Keep shown results in step with the program.")
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("--check", action="store_true", help="fail with a diff where a page is out of step")
    what.add_argument("--write", action="store_true", help="write the pages again")
    wanted = parser.parse_args()
    stale = False
    for page in pages():
        old = page.read_text(encoding="utf-8")
        starts = old.count("<!-- shown:")
        if starts != len(BLOCK.findall(old)):
            raise ShownError(f"{page.relative_to(ROOT)}: a shown block has no end, or no onceapart command")
        new = BLOCK.sub(shown, old)
        if new == old:
            continue
        name = str(page.relative_to(ROOT))
        if wanted.write:
            page.write_text(new, encoding="utf-8")
            print(f"{name} written")
        else:
            stale = True
            diff = difflib.unified_diff(
                old.splitlines(keepends=True), new.splitlines(keepends=True), name, f"{name} as it should be"
            )
            sys.stdout.writelines(diff)
    if stale:
        print("shown results are out of step with the program: look at the diff, then `make docs`")
    return int(stale)


if __name__ == "__main__":
    try:
        sys.exit(main())
    except ShownError as error:
        sys.exit(str(error))
