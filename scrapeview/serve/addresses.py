"""Where the server is found: this computer's addresses on the shop's network, and a QR code."""

import contextlib
import io
import ipaddress
import socket

import segno

# addresses of documentation and of private networks; nothing is sent to them
_TOWARDS = ("192.0.2.1", "192.168.255.254", "10.255.255.254", "172.31.255.254")

_WHITE_ON_BLACK = "\033[97;40m"
_PLAIN = "\033[0m"


def network_addresses() -> tuple[str, ...]:
    """Return this computer's addresses on its networks, the one most used first."""
    found = [*(_address_towards(other) for other in _TOWARDS), *_addresses_of_own_name()]
    return tuple(dict.fromkeys(address for address in found if _is_of_a_network(address)))


def _address_towards(other: str) -> str:
    """Return the address that this computer would speak to another one with."""
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        # a datagram socket sends nothing when it is connected
        probe.connect((other, 9))
        return probe.getsockname()[0]
    return ""


def _addresses_of_own_name() -> list[str]:
    with contextlib.suppress(OSError):
        return socket.gethostbyname_ex(socket.gethostname())[2]
    return []


def _is_of_a_network(address: str) -> bool:
    if not address:
        return False
    known = ipaddress.ip_address(address)
    return not (known.is_global or known.is_loopback or known.is_unspecified)


def qr_text(url: str, *, coloured: bool) -> str:
    """Return a QR code of an address as lines of text.

    Parameters
    ----------
    url : str
    coloured : bool
        Whether to set white on black by codes of the terminal, so that it can be read from a
        light one as well.
    """
    drawn = io.StringIO()
    segno.make(url, error="m", micro=False).terminal(drawn, border=2, compact=True)
    lines = drawn.getvalue().splitlines()
    if coloured:
        lines = [f"{_WHITE_ON_BLACK}{line}{_PLAIN}" for line in lines]
    return "\n".join(lines)
