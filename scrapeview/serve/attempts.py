"""Waits between wrong passphrases: they grow, for one address and for the whole network.

No wait grows past a minute, and the bench itself never waits for what others tried, so that nobody
can lock the shop out by typing nonsense.
"""

import ipaddress
import time
from collections.abc import Callable
from dataclasses import dataclass

FREE_TRIES = 3
"""Wrong passphrases of one address before it has to wait."""
LONGEST_WAIT_S = 60.0
FREE_TRIES_OF_ALL = 20
"""Wrong passphrases from the whole network before everybody new to it has to wait."""
LONGEST_WAIT_OF_ALL_S = 10.0
FORGOTTEN_AFTER_S = 900.0


@dataclass
class _Count:
    tries: int = 0
    last_s: float = 0.0

    def wait_s(self, now_s: float, free: int, longest_s: float) -> float:
        if self.tries < free:
            return 0.0
        pause_s = min(longest_s, 2.0 ** min(self.tries - free, 30))
        return max(0.0, self.last_s + pause_s - now_s)

    def add(self, now_s: float) -> None:
        self.tries += 1
        self.last_s = now_s


class Attempts:
    """Who tried how often, and how long they have to wait before the next try.

    Parameters
    ----------
    clock : callable, optional
        Seconds that only go forward.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._by_address: dict[str, _Count] = {}
        self._of_all = _Count()
        self._known: set[str] = set()

    def begin(self, address: str) -> float:
        """Return 0 where a try may be made now, and count it as a wrong one; else the wait in s.

        It counts before it is known to be wrong, so that many at once gain nothing.
        """
        now_s = self._clock()
        self._forget(now_s)
        count = self._by_address.get(address, _Count())
        wait_s = count.wait_s(now_s, FREE_TRIES, LONGEST_WAIT_S)
        if not self._trusted(address):
            of_all_s = self._of_all.wait_s(now_s, FREE_TRIES_OF_ALL, LONGEST_WAIT_OF_ALL_S)
            wait_s = max(wait_s, of_all_s)
        if wait_s > 0:
            return wait_s
        count.add(now_s)
        self._by_address[address] = count
        if not self._trusted(address):
            self._of_all.add(now_s)
        return 0.0

    def succeeded(self, address: str) -> None:
        """Forget the wrong tries of an address that knew the passphrase."""
        self._by_address.pop(address, None)
        if not self._trusted(address):
            self._of_all.tries -= 1
        self._known.add(address)

    def _trusted(self, address: str) -> bool:
        """This computer, and who has known the passphrase before, do not wait for others."""
        return address in self._known or is_this_computer(address)

    def _forget(self, now_s: float) -> None:
        old = [a for a, c in self._by_address.items() if now_s - c.last_s > FORGOTTEN_AFTER_S]
        for address in old:
            del self._by_address[address]
        if now_s - self._of_all.last_s > FORGOTTEN_AFTER_S:
            self._of_all = _Count()


def is_this_computer(address: str) -> bool:
    """Return whether an address is a loopback address."""
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False
