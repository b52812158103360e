"""The dashboard as a person meets it: the real server in a process, and Debian's Chromium."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

CHROMIUM = Path("/usr/bin/chromium")
CHROMIUM_OPTIONS = [
    "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-first-run",
]  # fmt: skip
BENCH = {"width": 1280, "height": 900}
PHONE = {"width": 360, "height": 740}


@dataclass(frozen=True)
class Served:
    """A server that runs: where it is found, and what it has said so far."""

    url: str
    said: list[str]
    process: subprocess.Popen[str]

    @property
    def port(self) -> int:
        """Port that it listens on."""
        return int(self.url.rsplit(":", 1)[1])


@contextmanager
def served(home: Path, *options: str, command: list[str] | None = None) -> Iterator[Served]:
    """Run `scrapeview serve` on a free port over a record in a folder, and stop it at the end.

    Parameters
    ----------
    home : pathlib.Path
    *options : str
        Further options, such as --lan.
    command : list of str, optional
        What to run in place of this checkout's `scrapeview`.
    """
    start = command or [sys.executable, "-m", "scrapeview.cli"]
    env = {name: value for name, value in os.environ.items() if name != "SCRAPEVIEW_RECORD"}
    log = home.parent / f"{home.name}.log"
    with log.open("w") as errors:
        process = subprocess.Popen(
            [*start, "serve", "--port", "0", "--home", str(home), *options],
            stdout=subprocess.PIPE, stderr=errors, text=True, cwd=home.parent, env=env,
        )  # fmt: skip
        try:
            said = _opening_words(process)
            yield Served(re.findall(r"http://localhost:\d+", said[0])[0], said, process)
        finally:
            process.send_signal(signal.SIGINT)
            try:
                said += process.communicate(timeout=15)[0].splitlines()
            except subprocess.TimeoutExpired:
                process.kill()
                process.communicate()


def _opening_words(process: subprocess.Popen[str]) -> list[str]:
    """Read what the server says up to how it is stopped, which it says last."""
    said: list[str] = []
    for line in process.stdout or ():
        said.append(line.rstrip("\n"))
        if "Ctrl-C" in line:
            return said
    raise RuntimeError(f"The server ended with {process.wait()}: {' '.join(said)}")
