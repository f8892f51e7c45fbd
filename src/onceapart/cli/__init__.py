"""The command line: one thin command per capability.

A command parses, calls the function that does the work, and prints. Each stands in a module of its own
(``app.COMMANDS``) that is imported only when it is asked for, and imports what is slow (solver, pydantic,
Rich) only when it runs.
"""

from __future__ import annotations

import sys

__all__ = ["main"]


def main() -> None:
    """Run ``onceapart`` with the arguments it was started with, and exit."""
    for stream in (sys.stdout, sys.stderr):
        # A name that the terminal has no letters for is no reason to stop half way.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        from onceapart.cli.app import command

        command()(prog_name="onceapart")
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        raise SystemExit(130) from None
