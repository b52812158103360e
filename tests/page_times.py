"""Print how long the server takes for the Shop page and for a Face page with 100 passes.

`python tests/page_times.py [FOLDER]` measures on the large record in that folder, and makes it
there first where there is none; without a folder it is made in a temporary one.
"""

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

from large_record import LONG_FACE, make_large_record
from streamlit.testing.v1 import AppTest
from streamlit.util import calc_hash

from scrapeview.record import Record

ROOT = Path(__file__).parents[1]
MOST_S = 1.0
LOADS = 7


def page_times_s(home: Path, path: str, face_id: int | None = None) -> tuple[float, list[float]]:
    """Return the time of a page's first load in a new tab, and of loads after it, in seconds.

    Each load runs the whole script as the server does, and parses what it sent.
    """
    os.environ["SCRAPEVIEW_HOME"] = str(home)
    times_s = []
    for _ in range(1 + LOADS):
        app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=120)
        if path:
            app._page_hash = calc_hash(path)
        if face_id is not None:
            app.query_params["face"] = str(face_id)
        begun = time.perf_counter()
        app.run()
        times_s.append(time.perf_counter() - begun)
        assert not app.exception, app.exception
        assert not app.error, app.error
    return times_s[0], times_s[1:]


def long_face(home: Path) -> int:
    """Return the number of the face with the many passes, making the record where there is none."""
    if not (home / "record.sqlite").exists():
        print("Making a record of 200 faces and 5,000 passes ...")
        return make_large_record(home)
    record = Record.open(home)
    face_id = next(face.face_id for face in record.faces() if face.plan.name == LONG_FACE)
    record.close()
    return face_id


def print_times(home: Path) -> bool:
    """Print the times of both pages; return whether each is below the limit."""
    face_id = long_face(home)
    sound = True
    for name, path, of_face in (("Shop", "", None), ("Face, 100 passes", "face", face_id)):
        first_s, later_s = page_times_s(home, path, of_face)
        middle_s = statistics.median(later_s)
        print(
            f"{name:18} first load {first_s:5.2f} s, then {middle_s:5.2f} s "
            f"({min(later_s):.2f} to {max(later_s):.2f}), limit {MOST_S:.2f} s"
        )
        sound &= middle_s < MOST_S
    return sound


if __name__ == "__main__":
    if len(sys.argv) > 1:
        sys.exit(not print_times(Path(sys.argv[1])))
    with tempfile.TemporaryDirectory() as folder:
        sys.exit(not print_times(Path(folder)))
