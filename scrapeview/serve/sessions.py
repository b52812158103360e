"""Logins: a signed token in a cookie, good for a week and for one passphrase."""

import hashlib
import secrets
import time
from collections.abc import Callable

from itsdangerous import BadSignature, TimestampSigner

from scrapeview.serve.passphrase import Lock

COOKIE = "scrapeview_login"
LASTS_S = 7 * 24 * 3600
"""Seconds a login is good for."""

Clock = Callable[[], float]


class _Signer(TimestampSigner):
    """Signs with the lock's key and tells the time by a clock that can be given."""

    def __init__(self, lock: Lock, clock: Clock) -> None:
        super().__init__(lock.signing_key, salt="scrapeview login", digest_method=hashlib.sha256)
        self._clock = clock

    def get_timestamp(self) -> int:
        return int(self._clock())


def new_token(lock: Lock, clock: Clock = time.time) -> str:
    """Return a login as the cookie holds it: a random name, the time, and their signature."""
    return _Signer(lock, clock).sign(secrets.token_hex(8)).decode("ascii")


def is_good(token: str | None, lock: Lock, clock: Clock = time.time) -> bool:
    """Return whether a token was signed with this lock and has not run out."""
    if not token:
        return False
    try:
        _Signer(lock, clock).unsign(token.encode("latin-1", "replace"), max_age=LASTS_S)
    except BadSignature:
        return False
    return True
