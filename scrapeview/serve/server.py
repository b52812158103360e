"""Listen, and run the dashboard behind its gate until it is stopped."""

import errno
import socket

import uvicorn

from scrapeview.errors import ServeError
from scrapeview.serve.gate import Gate
from scrapeview.serve.passphrase import LockFile

THIS_COMPUTER = "127.0.0.1"
EVERY_NETWORK = "0.0.0.0"
USUAL_PORT = 8501
_PORTS_TRIED = 20
_PATIENCE_S = 3


def listen(address: str, port: int | None) -> socket.socket:
    """Return a socket that listens.

    Parameters
    ----------
    address : str
        `THIS_COMPUTER` or `EVERY_NETWORK`.
    port : int or None
        None takes the usual one, or one of the next where it is taken; 0 any free one.

    Raises
    ------
    ServeError
        Where the port is taken.
    """
    if port is not None:
        return _listen_at(address, port)
    for usual in range(USUAL_PORT, USUAL_PORT + _PORTS_TRIED):
        try:
            return _listen_at(address, usual)
        except ServeError as error:
            refused = error
    raise refused


def _listen_at(address: str, port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET)
    try:
        # without it a port stays taken for a minute after the last server
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((address, port))
        listening.listen(128)
    except (OSError, OverflowError) as error:
        listening.close()
        raise ServeError(_why_not(port, error)) from None
    return listening


def _why_not(port: int, error: Exception) -> str:
    code = getattr(error, "errno", None)
    if code == errno.EADDRINUSE:
        return f"Port {port} is taken by another program. Choose another one with --port."
    if code == errno.EACCES:
        return f"Port {port} is kept for the system. Choose one from 1024 on with --port."
    return f"Port {port} cannot be listened on: {getattr(error, 'strerror', None) or error}."


def run(listening: socket.socket, lock_file: LockFile | None) -> None:
    """Serve the dashboard until the process is told to stop.

    Parameters
    ----------
    listening : socket.socket
    lock_file : LockFile or None
        The passphrase's lock for the shop's network; None for this computer only.
    """
    from scrapeview.dashboard.served import dashboard_app

    config = uvicorn.Config(
        Gate(dashboard_app(), lock_file),
        ws="websockets-sansio",
        log_level="warning",
        access_log=False,
        server_header=False,
        # who calls is who is connected, whatever a header says
        proxy_headers=False,
        timeout_graceful_shutdown=_PATIENCE_S,
    )
    uvicorn.Server(config).run(sockets=[listening])
