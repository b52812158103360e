"""By which name or address the server is reached, and whether a request comes from its own page.

A strange page in the same browser may send requests here (its name in Origin), and may even let its
own name lead here (its name in Host). Both are refused.
"""

import ipaddress
import socket
from urllib.parse import urlsplit

SAFE_METHODS = frozenset({"GET", "HEAD"})


def host_name(host: str) -> str | None:
    """Return the name or address of a Host header in lower case, without its port; None if bad."""
    try:
        parts = urlsplit(f"//{host}")
        parts.port  # noqa: B018  a port that is no number raises here
    except ValueError:
        return None
    if parts.path or parts.query or parts.fragment or parts.username is not None:
        return None
    return parts.hostname.rstrip(".").lower() if parts.hostname else None


def is_own_host(host: str, *, lan: bool) -> bool:
    """Return whether a Host header names this server.

    Parameters
    ----------
    host : str
    lan : bool
        Whether the shop's network may reach it. An address is no name that somebody else's name
        service could lead here, so any address of a private network will do: behind a tunnel or
        in a container the server does not know its own.
    """
    name = host_name(host)
    if name is None:
        return False
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        return name == "localhost" or (lan and name in _own_names())
    return address.is_loopback or (lan and not address.is_global)


def _own_names() -> set[str]:
    """Names of this computer on the shop's network: bench, bench.local."""
    name = socket.gethostname().rstrip(".").lower()
    return {name, f"{name.split('.')[0]}.local"} - {""}


def is_own_origin(origin: str | None, host: str) -> bool:
    """Return whether an Origin header names the very server that the Host header names."""
    return origin is not None and origin.lower() == f"http://{host.lower()}"


def is_near(address: str) -> bool:
    """Return whether a caller's address is this computer's or one of a private network."""
    try:
        caller = ipaddress.ip_address(address)
    except ValueError:
        return False
    mapped = getattr(caller, "ipv4_mapped", None)
    return not (mapped or caller).is_global
