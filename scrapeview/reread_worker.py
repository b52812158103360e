"""A process that reads photographs again, one after another, until nothing more comes in."""

import contextlib
import os
import pickle
import subprocess
import sys
from pathlib import Path
from typing import Any, BinaryIO

from scrapeview.errors import ReadingError, ScrapeviewError
from scrapeview.record.entries import FacePlan
from scrapeview.result import Reading

Job = tuple[FacePlan, bytes, Reading]


class Worker:
    """A process of our own that reads; where it is lost, only the print it was at is."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None

    def reread(self, job: Job) -> Reading:
        """Return the photograph of a job read again.

        Raises
        ------
        ScrapeviewError
            Where it cannot be read.
        """
        process = self._process = self._process or _started()
        into, out = _pipes(process)
        try:
            pickle.dump(job, into)
            into.flush()
            answer = pickle.load(out)
        except (OSError, EOFError, pickle.UnpicklingError):
            self.close()
            raise ReadingError("Reading it broke off: there may be too little memory.") from None
        if isinstance(answer, Exception):
            raise answer
        return answer

    def close(self) -> None:
        """End the process, also from another thread than the one that waits for its answer."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait()
            with contextlib.suppress(OSError):
                for pipe in _pipes(process):
                    pipe.close()


def _started() -> "subprocess.Popen[bytes]":
    # not multiprocessing: its processes run the main module again, which in the dashboard is a page
    here = str(Path(__file__).resolve().parents[1])
    paths = [here, *filter(None, [os.environ.get("PYTHONPATH")])]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(paths), "OMP_NUM_THREADS": "1"}
    return subprocess.Popen(
        [sys.executable, "-m", "scrapeview.reread_worker"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=environment,
        # Ctrl-C is for whoever started this process, who then ends it
        start_new_session=True,
    )  # fmt: skip


def _pipes(process: "subprocess.Popen[bytes]") -> tuple[Any, Any]:
    return process.stdin, process.stdout


def main() -> None:
    """Answer jobs from stdin on stdout until the one who asks is gone."""
    import cv2

    # every core has a process of its own
    cv2.setNumThreads(1)
    with os.fdopen(os.dup(0), "rb") as jobs, os.fdopen(os.dup(1), "wb") as answers:
        # what a library prints must not come between the answers
        os.dup2(2, 1)
        _answer_all(jobs, answers)


def _answer_all(jobs: BinaryIO, answers: BinaryIO) -> None:
    while True:
        try:
            job: Job = pickle.load(jobs)
        except EOFError:
            return
        try:
            pickle.dump(_answer(job), answers)
            answers.flush()
        except BrokenPipeError:
            return


def _answer(job: Job) -> Reading | ScrapeviewError:
    from scrapeview.face_reading import reread_print

    try:
        return reread_print(*job)
    except ScrapeviewError as error:
        return error
    except Exception as error:
        # a fault of ours at one print must not keep the others from being read
        return ReadingError(f"It cannot be read: {type(error).__name__}, {error}.")


if __name__ == "__main__":
    main()
