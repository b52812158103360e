"""What is costly to make is made once a run, however many processes the run has."""

import fcntl
import hashlib
import pickle
from contextlib import contextmanager


class MadeOnce:
    """A folder that all processes of a run share; who asks first makes, the others wait for it."""

    def __init__(self, folder):
        self._folder = folder
        self._at_hand = {}

    def value(self, key, make):
        """Return what `make` gives; always the same object in one process."""
        if key not in self._at_hand:
            path = self._folder / hashlib.sha256(repr(key).encode()).hexdigest()
            self._at_hand[key] = self._stored(path, make)
        return self._at_hand[key]

    def _stored(self, path, make):
        with self._alone(path):
            if not path.exists():
                half = path.with_suffix(".half")
                half.write_bytes(pickle.dumps(make()))
                half.rename(path)
            return pickle.loads(path.read_bytes())

    def folder(self, name, fill):
        """Return a folder that `fill` has filled; to be copied, not changed."""
        path = self._folder / name
        with self._alone(path):
            if not path.exists():
                half = path.with_suffix(".half")
                half.mkdir()
                fill(half)
                half.rename(path)
        return path

    @contextmanager
    def _alone(self, path):
        with path.with_suffix(".lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            yield
