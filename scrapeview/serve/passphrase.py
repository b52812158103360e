"""The shop's passphrase: made of plain words, kept only as a salted hash beside the record."""

import contextlib
import hashlib
import hmac
import json
import os
import secrets
import tempfile
from dataclasses import dataclass
from pathlib import Path

from scrapeview.errors import ServeError
from scrapeview.serve.words import WORDS

FILE_NAME = "lan-passphrase.json"
WORDS_IN_PASSPHRASE = 4
LONGEST_PASSPHRASE = 200
"""Characters; what is longer is not even hashed."""

_MEMORY_COST = 2**15
_BLOCK_SIZE = 8
_PARALLEL = 1
# what scrypt needs (128 * cost * block size) and as much again
_MEMORY_BYTES = 2 * 128 * _MEMORY_COST * _BLOCK_SIZE


@dataclass(frozen=True)
class Lock:
    """What is kept of a passphrase, and the key that logins are signed with.

    Attributes
    ----------
    salt, passphrase_hash : bytes
    signing_key : bytes
        Drawn anew with every passphrase, so that a new one ends all logins of the old.
    """

    salt: bytes
    passphrase_hash: bytes
    signing_key: bytes

    def opens(self, typed: str) -> bool:
        """Return whether what was typed is the passphrase, in a time that tells nothing of it."""
        if len(typed) > LONGEST_PASSPHRASE:
            return False
        return hmac.compare_digest(_hashed(typed, self.salt), self.passphrase_hash)


def new_passphrase() -> str:
    """Return plain words drawn by chance: about 1 in 900 billion for four of them."""
    return " ".join(secrets.choice(WORDS) for _ in range(WORDS_IN_PASSPHRASE))


def lock_for(passphrase: str) -> Lock:
    """Return what is to be kept of a passphrase, with a fresh salt and signing key."""
    salt = secrets.token_bytes(16)
    return Lock(salt, _hashed(passphrase, salt), secrets.token_bytes(32))


def _hashed(typed: str, salt: bytes) -> bytes:
    return hashlib.scrypt(
        _plain(typed).encode("utf-8", "surrogatepass"), salt=salt,
        n=_MEMORY_COST, r=_BLOCK_SIZE, p=_PARALLEL, maxmem=_MEMORY_BYTES, dklen=32,
    )  # fmt: skip


def _plain(typed: str) -> str:
    """Return the words as they were made: a phone adds capitals, people add hyphens."""
    return " ".join(typed.replace("-", " ").casefold().split())


class LockFile:
    """The file in the record's folder that holds the lock, read again when it changes.

    Parameters
    ----------
    home : pathlib.Path
        Folder of the shop's record.
    """

    def __init__(self, home: Path) -> None:
        self.path = home / FILE_NAME
        self._seen: tuple[int, ...] = ()
        self._lock: Lock | None = None

    def exists(self) -> bool:
        """Return whether a passphrase was made before."""
        return self.path.exists()

    def renew(self) -> str:
        """Make a passphrase, keep its lock and return it: it can never be read again.

        Raises
        ------
        ServeError
        """
        passphrase = new_passphrase()
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            _write_private(self.path, _as_json(lock_for(passphrase)))
        except OSError as error:
            raise ServeError(
                f"The passphrase cannot be kept in '{self.path}': {error.strerror}."
            ) from None
        return passphrase

    def lock(self) -> Lock:
        """Return the lock as it is now on disk, so that a new passphrase counts at once.

        Raises
        ------
        ServeError
        """
        try:
            stat = self.path.stat()
            seen = (stat.st_ino, stat.st_mtime_ns, stat.st_size)
            if self._lock is None or seen != self._seen:
                _keep_private(self.path, stat.st_mode)
                self._lock, self._seen = _from_json(self.path.read_bytes()), seen
        except (OSError, ValueError, KeyError, TypeError):
            raise ServeError(
                f"The passphrase file '{self.path}' cannot be read. "
                "Make another passphrase with: scrapeview serve --lan --new-passphrase"
            ) from None
        return self._lock


def _as_json(lock: Lock) -> bytes:
    kept = {
        "salt": lock.salt.hex(),
        "passphrase_hash": lock.passphrase_hash.hex(),
        "signing_key": lock.signing_key.hex(),
    }
    return json.dumps(kept, indent=2).encode()


def _from_json(text: bytes) -> Lock:
    kept = json.loads(text)
    lock = Lock(
        salt=bytes.fromhex(kept["salt"]),
        passphrase_hash=bytes.fromhex(kept["passphrase_hash"]),
        signing_key=bytes.fromhex(kept["signing_key"]),
    )
    # a short key could be guessed, and an empty one would let everybody sign
    if min(len(lock.salt), len(lock.passphrase_hash), len(lock.signing_key)) < 16:
        raise ValueError("too short")
    return lock


def _keep_private(path: Path, mode: int) -> None:
    if os.name == "posix" and mode & 0o077:
        path.chmod(0o600)


def _write_private(path: Path, text: bytes) -> None:
    """Write a file that only its owner may read, whole or not at all."""
    # a file of tempfile is the owner's alone from its first moment
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise
