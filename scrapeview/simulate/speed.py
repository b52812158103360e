"""How long a reading takes and how much memory, beside decoding the same file."""

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import cv2
import numpy as np

from scrapeview.simulate.cases import Case


def print_speed(case: Case, megapixels: Sequence[float], repeats: int) -> None:
    """Print time and peak memory of the reading by size of one photograph, beside its decoding."""
    print(f"{'MP':>6s} {'file MB':>8s} {'decode s':>9s} {'read s':>8s} {'ratio':>6s}", end="")
    print(f" {'s per MP':>9s} {'peak MB':>8s}")
    height, width = case.shape_px
    for wanted in megapixels:
        factor = float(np.sqrt(wanted * 1e6 / (height * width)))
        sized = case if abs(factor - 1) < 0.02 else case.resized(factor)
        decode_s, read_s = _times(sized, repeats)
        pixels = np.prod(sized.shape_px) / 1e6
        print(
            f"{pixels:6.1f} {len(sized.jpeg) / 1e6:8.2f} {decode_s:9.3f} {read_s:8.3f} "
            f"{read_s / decode_s:6.1f} {read_s / pixels:9.4f} {peak_memory_mb(sized):8.0f}",
            flush=True,
        )


def peak_memory_mb(case: Case) -> float:
    """Return the peak of memory in use while a process of its own reads a case, in MB.

    Python and the libraries are part of it. Only known where /proc tells it (Linux), else nan.
    """
    if case.corners_px is None or case.size_mm is None:
        return float("nan")
    with tempfile.TemporaryDirectory() as folder:
        photo = Path(folder) / "photo.jpg"
        photo.write_bytes(case.jpeg)
        code = _READ_ALONE.format(
            photo=str(photo),
            corners=case.corners_px.tolist(),
            size=tuple(float(v) for v in case.size_mm),
            marking=case.marking,
        )
        told = subprocess.run(
            [sys.executable, "-c", code], check=True, capture_output=True, text=True
        )
    return float(told.stdout)


_READ_ALONE = """
from pathlib import Path
import scrapeview
plane = scrapeview.Plane.from_corners({corners!r}, size_mm={size!r})
scrapeview.read_print({photo!r}, plane=plane, marking={marking!r})
status = Path("/proc/self/status")
lines = status.read_text().splitlines() if status.exists() else []
peak = [line.split()[1] for line in lines if line.startswith("VmHWM")]
print(int(peak[0]) / 1000 if peak else "nan")
"""


def _times(case: Case, repeats: int) -> tuple[float, float]:
    """Median seconds of decoding and of reading, turn by turn so that both see the same load."""
    data = np.frombuffer(case.jpeg, np.uint8)
    case.read()
    decoding, reading = [], []
    for _ in range(repeats):
        decoding.append(_seconds(lambda: cv2.imdecode(data, cv2.IMREAD_COLOR)))
        reading.append(_seconds(case.read))
    return float(np.median(decoding)), float(np.median(reading))


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start
