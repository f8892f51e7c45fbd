"""``onceapart serve``: the site, for this machine or for the phone in the garage."""

from __future__ import annotations

import os
import socket
import sys
from typing import Annotated

import typer

NOT_SERVED = 2
"""Exit status where the site could not be started."""


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("serve")(serve)


def serve(
    port: Annotated[
        int, typer.Option("--port", metavar="N", min=1, max=65535, help="Port to serve at.")
    ] = 8000,
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Serve to the phones of the house too; they are asked for a passphrase."),
    ] = False,
    address: Annotated[
        str | None,
        typer.Option(
            "--address", metavar="IP", help="This machine's address for --lan, where it has several."
        ),
    ] = None,
    new_passphrase: Annotated[
        bool,
        typer.Option("--new-passphrase", help="Choose another passphrase; whoever came in is out again."),
    ] = False,
    data: Annotated[
        str | None,
        typer.Option(
            "--data", metavar="FOLDER", help="Folder of database, photos and keys; by default ~/.onceapart."
        ),
    ] = None,
) -> None:
    """Serve the site, to this machine or to phones too.

    The first time it begins with the demo. It serves this machine alone; with --lan also the phones of the
    house, and shows its address as a picture to point one at. Ctrl-C ends it; all that was saved is kept.
    """
    from onceapart.site.server.addresses import own_addresses
    from onceapart.site.server.serving import NotServedError, listen, prepare
    from onceapart.site.server.serving import serve as serve_site

    if data is not None:
        os.environ["ONCEAPART_DATA"] = data
    outside = [address] if address else list(own_addresses())[:1]
    try:
        if lan and not outside:
            raise NotServedError("this machine has no address in a house's network; give it with --address")
        sockets = listen(["127.0.0.1", *(outside if lan else [])], port)
        name = socket.gethostname()
        prepare([*outside, name, f"{name}.local"] if lan else [], is_open=lan, say=print)
        if lan or new_passphrase:
            _see_to_the_passphrase(wants_new=new_passphrase)
    except NotServedError as error:
        _say(str(error))
        raise typer.Exit(NOT_SERVED) from None
    except (KeyboardInterrupt, EOFError):
        raise typer.Exit(130) from None
    print(f"On this machine: http://localhost:{port}/")
    if lan:
        _show_way(f"http://{outside[0]}:{port}/")
    print("Ctrl-C ends it.")
    sys.stdout.flush()
    serve_site(sockets)
    print("Ended. All that was saved is kept.")


def _see_to_the_passphrase(*, wants_new: bool) -> None:
    """There is a passphrase afterwards: typed, or made of words and shown."""
    from onceapart.site.server.passphrase import (
        PassphraseError,
        has_passphrase,
        made_passphrase,
        set_passphrase,
    )

    if has_passphrase() and not wants_new:
        print("The phone is asked for the passphrase; --new-passphrase chooses another.")
        return
    while True:
        typed = _asked() if sys.stdin.isatty() else ""
        words = typed or made_passphrase()
        try:
            set_passphrase(words)
        except PassphraseError as error:
            _say(str(error))
            continue
        if not typed:
            print(f"Passphrase for the phone: {words}")
            print("It is shown this once; --new-passphrase makes another.")
        return


def _asked() -> str:
    from getpass import getpass

    while True:
        first = getpass("A passphrase for the phone (Enter makes one of words): ").strip()
        if not first or getpass("The same once more: ").strip() == first:
            return first
        _say("The two are not the same; type it again.")


def _show_way(url: str) -> None:
    """The address for the phone, and as a picture where the terminal can show it."""
    print(f"On a phone in the same network: {url}")
    if sys.stdout.isatty() and "utf" in (sys.stdout.encoding or "").lower():
        import segno

        print()
        segno.make(url, error="m").terminal(out=sys.stdout, compact=True)
        print()


def _say(words: str) -> None:
    from onceapart.cli.screen import say

    say(words)
