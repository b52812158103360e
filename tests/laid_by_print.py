"""How well photographs are laid on each other by the print, and which wrong sets are refused.

    python tests/laid_by_print.py [--quick]

Prints the error over the face for sets that fit, and for sets that do not what was said. A wrong
set that is accepted with places off by more than `WRONG_MM` is told as WRONG.
"""

import argparse
import sys
import time
from dataclasses import dataclass

import numpy as np

from scrapeview.errors import PlaneError
from scrapeview.photo import load_photo
from scrapeview.plane.joined.overlap import solve_by_print
from scrapeview.plane.joined.solved import Lens
from scrapeview.simulate import SCENES, Jitter, render_long
from scrapeview.simulate.marks import field_marks, lay_marks

WRONG_MM = 1.0
EVEN = {"strokes": 0.0, "grain": 0.01, "stain": 0.0, "scratches": 0, "pores_per_cm2": 0.0}
"""Metal on which only the print tells one place from another."""
SMALL = {"photos": 3, "size_mm": (420.0, 80.0), "px_per_mm": 6.0, "tiles": ()}
LARGE = {"photos": 5, "size_mm": (700.0, 100.0), "px_per_mm": 6.0, "tiles": ()}


@dataclass(frozen=True)
class Photographs:
    """What is given to the solver, and the truth of each photograph."""

    photos: tuple
    corners: tuple
    size_mm: tuple
    truths: tuple


def given(face):
    """Return the photographs of a face as they are."""
    truths = tuple((face.solved, number) for number in range(len(face.rgb)))
    return Photographs(face.rgb, face.corners, face.size_mm, truths)


def in_order(those, order):
    """Return photographs in another order, some of them left out or taken twice."""
    corners = tuple((order.index(photo), x, y) for photo, x, y in those.corners)
    photos = tuple(those.photos[n] for n in order)
    return Photographs(photos, corners, those.size_mm, tuple(those.truths[n] for n in order))


def with_strangers(those, strangers, numbers):
    """Return photographs some of which are of another face."""
    photos = tuple(
        (strangers if n in numbers else those).photos[n] for n in range(len(those.photos))
    )
    return Photographs(photos, those.corners, those.size_mm, those.truths)


def solve(those, **changed):
    """Lay photographs on each other by the print."""
    told = {"corners": those.corners, "size_mm": those.size_mm} | changed
    return solve_by_print([load_photo(rgb) for rgb in those.photos], **told)


def errors_mm(those, found):
    """Return how far off every place of the face is, in every photograph that shows it."""
    width, height = those.size_mm
    x, y = np.meshgrid(np.linspace(0, width, 61), np.linspace(0, height, 9))
    xy = np.column_stack((x.ravel(), y.ravel()))
    off = []
    for number, (truth, photo) in enumerate(those.truths):
        size = np.array(truth.photo_sizes_px[photo])
        px = truth.to_px(photo, xy)
        # far outside the frame the lens folds back
        shown = ((px >= 0) & (px < size)).all(axis=1)
        shown &= np.linalg.norm(truth.to_mm(photo, px) - xy, axis=1) < 0.01
        off.append(np.linalg.norm(found.to_mm(number, px[shown]) - xy[shown], axis=1))
    return np.concatenate(off)


def repeated(period_mm):
    """Return a layer whose print repeats itself along the face."""

    def lay(scene, grid, metal):
        marks = lay_marks(scene, grid, metal)
        step = round(period_mm * grid.px_per_mm)
        columns = 2 * step + np.arange(grid.shape[1]) % step
        return field_marks(marks.contact[:, columns], marks.thickness[:, columns], grid, metal)

    return lay


def narrowed(face, keep):
    """Return photographs cut at both sides so that they share less."""
    width = face.rgb[0].shape[1]
    cut = round(width * (1 - keep) / 2)
    photos = tuple(rgb[:, cut : width - cut].copy() for rgb in face.rgb)
    corners = tuple(
        (photo, float(np.clip(x - cut, 0, width - 2 * cut - 1)), y) for photo, x, y in face.corners
    )
    those = given(face)
    return Photographs(photos, corners, face.size_mm, those.truths)


def right_sets(quick):
    """Yield names and photographs that fit."""
    scenes = ("plain",) if quick else ("plain", "touching", "merged", "faint", "rubbed", "glare")
    for seed, name in enumerate(scenes, start=1):
        yield name, given(render_long(name, seed=seed, **LARGE))
    if quick:
        return
    yield "lens", given(render_long("plain", seed=21, lens=Lens(0.03, -0.01), **LARGE))
    yield "barrel", given(render_long("plain", seed=22, lens=Lens(-0.04, 0.0), **LARGE))
    tilted = Jitter(tilt_deg=18.0, roll_deg=6.0)
    yield "tilt 18", given(render_long("plain", seed=23, jitter=tilted, **LARGE))
    light = Jitter(exposure_ev=1.0, colour=0.2, gradient=2.4)
    yield "light", given(render_long("plain", seed=24, jitter=light, **LARGE))
    seven = {"photos": 7, "size_mm": (1200.0, 120.0), "px_per_mm": 7.0, "tiles": ()}
    yield "1200 x 120", given(render_long("plain", seed=25, **seven))
    thirty = {"photos": 30, "size_mm": (5000.0, 120.0), "px_per_mm": 6.0, "tiles": ()}
    yield "5000 x 120", given(render_long("plain", seed=26, **thirty))


def wrong_sets(quick):
    """Yield names, photographs and what else is told, which must not be laid wrongly."""
    kinds = ("plain",) if quick else ("plain", "merged", "fine", "machined")
    for seed, kind in enumerate(kinds, start=31):
        one = given(render_long(kind, seed=seed, **SMALL))
        other = given(render_long(kind, seed=seed + 50, **SMALL))
        yield f"{kind}: middle of another face", with_strangers(one, other, {1}), {}
        yield f"{kind}: end of another face", with_strangers(one, other, {2}), {}
        yield f"{kind}: middle missing", in_order(one, [0, 2]), {}
    wide = (one.size_mm[0] + 20.0, one.size_mm[1])
    yield "length told wrong by 20 mm", one, {"size_mm": wide}
    turned = (*one.corners[2:], *one.corners[:2])
    yield "corners from another one on", one, {"size_mm": one.size_mm[::-1], "corners": turned}
    yield "corners the other way round", one, {"corners": one.corners[::-1]}
    periods = (90.0,) if quick else (30.0, 45.0, 60.0, 90.0, 120.0)
    scene = SCENES["plain"].with_(metal=EVEN, shape={"background": "dark"})
    for period in periods:
        face = render_long(scene, seed=41, lay=repeated(period), **SMALL)
        yield f"repeats every {period:g} mm", given(face), {}
    ground = SCENES["blank"].with_(metal=EVEN)
    yield "blank ground face", given(render_long(ground, seed=42, **SMALL)), {}
    for name in () if quick else ("blank", "blank_stained", "blank_scraped"):
        yield name, given(render_long(name, seed=43, **SMALL)), {}
    for keep in () if quick else (0.75, 0.7, 0.65):
        face = render_long("plain", seed=44, **SMALL)
        yield f"cut to {keep:g} of their length", narrowed(face, keep), {}


def main():
    """Print both tables; the status is 1 where a wrong set was accepted."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true")
    quick = parser.parse_args().quick
    print(f"{'set':34s} {'rms mm':>7s} {'max mm':>7s} {'told mm':>8s} {'s':>6s}")
    for name, those in right_sets(quick):
        start = time.process_time()
        found = solve(those)
        seconds = time.process_time() - start
        off = errors_mm(those, found)
        rms, told = np.sqrt((off**2).mean()), found.position_error_mm
        print(f"{name:34s} {rms:7.3f} {off.max():7.3f} {told:8.3f} {seconds:6.1f}", flush=True)
    wrong = 0
    for name, those, changed in wrong_sets(quick):
        try:
            found = solve(those, **changed)
        except PlaneError as error:
            print(f"{name:34s} refused: {error}", flush=True)
            continue
        cut = those.photos[0].shape[1] != those.truths[0][0].photo_sizes_px[0][0]
        off = np.inf if changed or cut else errors_mm(those, found).max()
        wrong += off > WRONG_MM
        said = "WRONG" if off > WRONG_MM else "accepted, and right"
        print(f"{name:34s} {said}: off by {off:.2f} mm at most", flush=True)
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
