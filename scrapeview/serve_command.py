"""`scrapeview serve`: the dashboard in the browser, here or on the shop's network."""

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scrapeview.console import plain_refusals, say
from scrapeview.errors import ServeError

if TYPE_CHECKING:
    from scrapeview.serve.passphrase import LockFile

WHAT_LAN_MEANS = (
    "Everybody on this network who knows the passphrase can see and change the shop's record.",
    "Nothing is encrypted on the way, so use it inside the shop's own network only, never on a "
    "guest or public one.",
    "It stays open until you stop it here with Ctrl-C.",
)


def serve(
    port: Annotated[
        int | None,
        typer.Option(
            metavar="N", min=0, max=65535,
            help="Port to listen on; 0 for any free one. [default: 8501 or the next free one]",
        ),
    ] = None,
    home: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER", help="Folder of the shop's record, if not the usual one."
        ),
    ] = None,
    lan: Annotated[
        bool, typer.Option("--lan", help="Open it to the shop's network, behind a passphrase.")
    ] = False,
    new_passphrase: Annotated[
        bool,
        typer.Option(
            "--new-passphrase", help="Make another passphrase; all logins of the old one end."
        ),
    ] = False,
) -> None:  # fmt: skip
    """Open the dashboard: to this computer only, or with --lan to the phones of the shop too."""
    from scrapeview.serve import server

    with plain_refusals():
        if new_passphrase and not lan:
            raise ServeError("Only the shop's network is asked for a passphrase: add --lan.")
        if home is not None:
            os.environ["SCRAPEVIEW_HOME"] = str(home.absolute())
        address = server.EVERY_NETWORK if lan else server.THIS_COMPUTER
        with server.listen(address, port) as listening:
            record_s_home = _record_s_home()
            listens_at = listening.getsockname()[1]
            say(f"Scrapeview is open on this computer: http://localhost:{listens_at}")
            lock_file = None
            if lan:
                lock_file = _open_to_network(record_s_home, listens_at, new_passphrase)
            else:
                say("Nobody else can reach it. Stop it here with Ctrl-C.")
            sys.stdout.flush()
            with suppress(KeyboardInterrupt):
                server.run(listening, lock_file)
            say("Scrapeview is stopped.")


def _record_s_home() -> Path:
    """Return the record's folder, having seen that the record can be opened at all."""
    from scrapeview.record import Record

    record = Record.open()
    try:
        return record.home
    finally:
        record.close()


def _open_to_network(home: Path, port: int, renew: bool) -> "LockFile":
    """Say where the network finds the dashboard and what that means; return the lock."""
    from scrapeview.serve.addresses import network_addresses, qr_text
    from scrapeview.serve.passphrase import LockFile

    lock_file = LockFile(home)
    urls = [f"http://{address}:{port}" for address in network_addresses()]
    if urls:
        say(f"On the shop's network: {' or '.join(urls)}")
        if _prints_blocks():
            say(f"\n{qr_text(urls[0], coloured=sys.stdout.isatty())}\n")
    else:
        say("This computer is on no network now, so nobody else can reach it.")
    if renew or not lock_file.exists():
        say(f"Passphrase: {lock_file.renew()}")
        say("It is shown this once and cannot be looked up again: write it down.")
    else:
        lock_file.lock()
        say("The passphrase is the one made before; --new-passphrase makes another.")
    for sentence in WHAT_LAN_MEANS:
        say(sentence)
    return lock_file


def _prints_blocks() -> bool:
    try:
        "\u2580\u2584\u2588".encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return False
    return True
