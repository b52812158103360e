"""How well maps of long faces agree with their truth, and what they cost in time and memory.

    python tests/long_face_accuracy.py [SEEDS] [PX_PER_MM]

1,200 x 120 mm in 7 photographs of about 12 megapixels, each seed read as one map and photograph by
photograph; then 30 photographs of a face of 4 m. Joining and reading run in a process of their own,
which tells its time and its largest memory. Rendering takes minutes and some 3 GB.
"""

import json
import re
import subprocess
import sys
import tempfile
import time
from dataclasses import asdict
from pathlib import Path

import cv2
import numpy as np
from joined_faces import (
    LENS,
    LONG_MM,
    contact_between,
    corners_on,
    outline,
    seen_twice,
    stretch_shown,
)

import scrapeview
from scrapeview.joining import join_photos
from scrapeview.simulate import render_long

NEAR_SEAM_MM = 14.0
MB = 1024
"""The largest memory is told in kilobytes."""
MANY, MANY_MM, TWICE = 30, (4000.0, 120.0), 2


class Picked:
    """As much of a long face as picking its corners needs."""

    def __init__(self, corners):
        self.corners = corners


def measure(folder):
    """Join and read the photographs in a folder; print what was found and what it took."""
    told = json.loads((folder / "told.json").read_text())
    photos = sorted(folder.glob("*.jpg"))
    started = time.perf_counter()
    joined = join_photos(photos)
    at_map = time.perf_counter()
    plane = joined.plane.placed(corners_on(joined, Picked(told["corners"])), told["size_mm"])
    reading = scrapeview.read_print(joined.picture, plane=plane, marking=told["marking"])
    done = time.perf_counter()
    seams = plane.to_mm(joined.plane.to_px(joined.seams[["x_mm", "y_mm"]]))
    found = {
        "join_s": at_map - started, "read_s": done - at_map,
        "processor_s": time.process_time(),
        "memory_mb": largest_memory_mb(),
        "contact_percent": reading.contact_percent, "points": len(reading.points),
        "area_mm2": reading.area_mm2, "residual_mm": joined.solved.residual_mm,
        "apart_mm": float(joined.seams["apart_mm"].max()), "gaps": len(joined.gaps),
        "seams": seams[(seams[:, 1] > 0) & (seams[:, 1] < told["size_mm"][1])].tolist(),
        "lens": asdict(joined.solved.lens),
    }  # fmt: skip
    reading.points[["x_mm", "y_mm"]].to_csv(folder / "points.csv", index=False)
    print(json.dumps(found))


def largest_memory_mb():
    """Largest memory this process has held; what its parent held does not count."""
    status = Path("/proc/self/status").read_text()
    return int(re.search(r"VmHWM:\s+(\d+)", status)[1]) / MB


def in_own_process(face, photos, corners):
    """Return what `measure` found, with the points, in a process of its own."""
    import pandas as pd

    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        for number, photo in enumerate(photos):
            (folder / f"{number:02}.jpg").write_bytes(photo)
        told = {"corners": corners, "size_mm": face.size_mm, "marking": face.marking}
        (folder / "told.json").write_text(json.dumps(told))
        call = [sys.executable, __file__, "--measure", str(folder)]
        run = subprocess.run(call, capture_output=True, text=True, check=False)
        if run.returncode:
            sys.exit(run.stderr)
        return json.loads(run.stdout), pd.read_csv(folder / "points.csv")


def singles(face):
    """Errors of contact (points of percent) and of points (percent) of single photographs."""
    errors = []
    for photo, jpeg in enumerate(face.photos):
        start, end = stretch_shown(face, photo)
        size = (end - start, face.size_mm[1])
        corners = face.solved.to_px(photo, outline(size) + np.array([start, 0]))
        plane = scrapeview.Plane.from_corners(corners, size)
        reading = scrapeview.read_print(jpeg, plane=plane, marking=face.marking)
        x = face.truth.points["x_mm"]
        true = ((x >= start) & (x < end)).sum()
        errors.append((
            reading.contact_percent - contact_between(face, start, end),
            100 * (len(reading.points) / true - 1),
        ))  # fmt: skip
    return np.array(errors)


def line_of(name, face, found, points):
    """One line of the table."""
    twice = seen_twice(points, face.truth.points)
    seams = np.array(found["seams"]).reshape(-1, 2)[:, 0]
    near = (np.abs(points["x_mm"].to_numpy()[:, None] - seams) < NEAR_SEAM_MM).any(axis=1)
    return (
        f"{name:16} contact {found['contact_percent'] - face.truth.contact_percent:+.2f}  "
        f"points {100 * (found['points'] / len(face.truth.points) - 1):+.2f} %  "
        f"twice {100 * twice[near].mean():.2f} % near seams, {100 * twice[~near].mean():.2f} % "
        f"elsewhere  apart {found['apart_mm']:.2f} mm  gaps {found['gaps']}  "
        f"join {found['join_s']:.1f} s + read {found['read_s']:.1f} s "
        f"({found['processor_s']:.1f} s of processor, start included), {found['memory_mb']:.0f} MB"
    )


def seven(seed, px_per_mm):
    """Print how one face of seven photographs comes out."""
    face = render_long("plain", size_mm=LONG_MM, px_per_mm=px_per_mm, lens=LENS, seed=seed)
    height, width = face.rgb[0].shape[:2]
    found, points = in_own_process(face, face.photos, face.corners)
    print(line_of(f"7 x {width * height / 1e6:.1f} MP, {seed}", face, found, points), flush=True)
    errors = singles(face)
    print(
        f"{'  single photos':16} contact {errors[:, 0].mean():+.2f} ({errors[:, 0].min():+.2f} to "
        f"{errors[:, 0].max():+.2f})  points {errors[:, 1].mean():+.2f} %",
        flush=True,
    )


def thirty(seed, px_per_mm):
    """Print what thirty photographs cost; they are enlarged, as so large a face is slow to make."""
    face = render_long(
        "plain", photos=MANY, size_mm=MANY_MM, px_per_mm=px_per_mm / TWICE, lens=LENS, seed=seed
    )
    large = [cv2.resize(rgb, None, fx=TWICE, fy=TWICE)[..., ::-1] for rgb in face.rgb]
    photos = [cv2.imencode(".jpg", bgr)[1].tobytes() for bgr in large]
    corners = [
        (photo, (x + 0.5) * TWICE - 0.5, (y + 0.5) * TWICE - 0.5) for photo, x, y in face.corners
    ]
    megapixels = large[0].shape[0] * large[0].shape[1] / 1e6
    del large
    found, points = in_own_process(face, photos, corners)
    print(line_of(f"{MANY} x {megapixels:.1f} MP", face, found, points), flush=True)


def main(seeds, px_per_mm):
    """Print the table."""
    for seed in range(1, seeds + 1):
        seven(seed, px_per_mm)
    thirty(1, px_per_mm)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--measure"]:
        measure(Path(sys.argv[2]))
    else:
        main(
            int(sys.argv[1]) if len(sys.argv) > 1 else 3,
            float(sys.argv[2]) if len(sys.argv) > 2 else 15.0,
        )
