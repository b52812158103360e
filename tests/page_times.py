"""Print how long the server takes for the Shop page and for a Face page with 100 passes.

`python tests/page_times.py [FOLDER]` measures on the large record in that folder, and makes it
there first where there is none; without a folder it is made in a temporary one.
"""

import logging
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

from large_record import LONG_FACE, make_large_record
from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash

from scrapeview.dashboard import pages
from scrapeview.face_verdict import shop_verdicts
from scrapeview.record import Record

ROOT = Path(__file__).parents[1]
MOST_S = 1.0
LOADS = 7


Loads = list[tuple[float, float]]
"""Of each load: time on the clock and of the processor, in seconds."""


def load_times_s(home: Path, path: str, face_id: int | None = None) -> Loads:
    """Return the times of a page's loads, each in a new tab; the first fills what is kept."""
    os.environ["SCRAPEVIEW_HOME"] = str(home)
    times_s: Loads = []
    show_pages = pages.show_pages

    def timed() -> None:
        begun, worked = time.perf_counter(), time.thread_time()
        show_pages()
        times_s.append((time.perf_counter() - begun, time.thread_time() - worked))

    pages.show_pages = timed
    for _ in range(1 + LOADS):
        app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=120)
        if path:
            app._page_hash = calc_hash(path)
        if face_id is not None:
            app.query_params["face"] = str(face_id)
        app.run()
        assert not app.exception, app.exception
        assert not app.error, app.error
    pages.show_pages = show_pages
    return times_s


def long_face(home: Path) -> int:
    """Return the number of the face with the many passes, making the record where there is none."""
    if not (home / "record.sqlite").exists():
        print("Making a record of 200 faces and 5,000 passes ...")
        return make_large_record(home)
    record = Record.open(home)
    face_id = next(face.face_id for face in record.faces() if face.plan.name == LONG_FACE)
    record.close()
    return face_id


def _judge_all(home: Path) -> None:
    """Keep all verdicts, as the page does once and then never again for the same readings."""
    begun = time.perf_counter()
    record = Record.open(home)
    shop_verdicts(record)
    record.close()
    print(f"All faces judged in {time.perf_counter() - begun:.1f} s")


def print_times(home: Path) -> bool:
    """Print the times of both pages; return whether each is below the limit."""
    face_id = long_face(home)
    _judge_all(home)
    sound = True
    for name, path, of_face in (("Shop", "", None), ("Face, 100 passes", "face", face_id)):
        first, *later = load_times_s(home, path, of_face)
        clock_s = statistics.median(on_clock for on_clock, _ in later)
        worked_s = statistics.median(worked for _, worked in later)
        print(
            f"{name:17} first load {first[0]:5.2f} s, then {clock_s:5.2f} s "
            f"({worked_s:.2f} s of the processor), limit {MOST_S:.2f} s"
        )
        sound &= clock_s < MOST_S
    return sound


if __name__ == "__main__":
    # a script run without its server warns of that at each load
    logging.disable(logging.WARNING)
    if len(sys.argv) > 1:
        sys.exit(not print_times(Path(sys.argv[1])))
    with tempfile.TemporaryDirectory() as folder:
        sys.exit(not print_times(Path(folder)))
