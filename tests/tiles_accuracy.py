"""How far photographs solved by tiles lie from the truth, and whether they say so themselves.

`python tests/tiles_accuracy.py 20` lays that many faces of each kind, photographs and solves them,
and prints a table: true errors, root mean square, beside those told.
"""

import sys
from time import process_time

import numpy as np
from laid_tiles import laid_along, missed, seen_by, shots_along

from scrapeview.errors import PlaneError
from scrapeview.plane.cards import PaperScale
from scrapeview.plane.joined.bundle import solve_by_tiles
from scrapeview.plane.joined.solved import Lens

MEASURED = PaperScale(1.0, 0.0)
# fmt: off
CASES = {
    "a tile every 60 mm": {},
    "noise 0.2 px": {"noise_px": 0.2},
    "noise 0.3 px": {"noise_px": 0.3},
    "a tile every 90 mm": {"every_mm": 90.0},
    "a tile every 40 mm": {"every_mm": 40.0},
    "large tiles": {"kind": "large", "margin_mm": 100.0},
    "large tiles, every 90 mm": {"kind": "large", "margin_mm": 100.0, "every_mm": 90.0},
    "along one edge only": {"sides": 1, "every_mm": 40.0},
    "overlap of a fifth": {"overlap": 0.2},
    "overlap of a half": {"overlap": 0.5},
    "3 px/mm": {"px_per_mm": 3.0},
    "lens k1 = -0.05": {"lens": Lens(-0.05, 0.0)},
    "lens k1 = 0.05, k2 = -0.02": {"lens": Lens(0.05, -0.02)},
    "one corner in ten wrong": {"wrong": 0.1, "overlap": 0.5},
    "a fifth hidden, every 40 mm": {"hidden": 0.2, "every_mm": 40.0},
    "printed within 0.02 mm": {"print_mm": 0.02},
    "the same, little noise": {"print_mm": 0.02, "noise_px": 0.02},
    "the same, each seen often": {
        "print_mm": 0.02, "noise_px": 0.02, "overlap": 0.8, "photos": 20,
    },
    "one photograph": {"photos": 1, "length_mm": 240.0},
    "30 photographs of 5 m": {"photos": 30, "length_mm": 5000.0},
}
# fmt: on
LAID = ("length_mm", "every_mm", "kind", "sides")
SHOT = ("photos", "length_mm", "overlap", "px_per_mm", "lens", "margin_mm")
SEEN = ("noise_px", "hidden", "wrong")


def solved_case(case, seed):
    """Tiles, photographs and the solution of one face; `print_mm` is how far corners are off."""
    rng = np.random.default_rng(seed)
    tiles = laid_along(rng, **{k: v for k, v in case.items() if k in LAID})
    shots = shots_along(rng, **{k: v for k, v in case.items() if k in SHOT})
    printed = {
        number: corners
        + np.append(rng.normal(0, case.get("print_mm", 0), (4, 2)).T, [[0] * 4], 0).T
        for number, corners in tiles.items()
    }
    seeing = {k: v for k, v in case.items() if k in SEEN}
    found = [seen_by(shot, printed, rng, **seeing) for shot in shots]
    return tiles, shots, solve_by_tiles(found, [s.size_px for s in shots], paper=MEASURED)


def row_of(case, count):
    """True and told errors of a case, root mean square, how many were solved, seconds a face."""
    started = process_time()
    true, told = [], []
    for seed in range(count):
        try:
            tiles, shots, solved = solved_case(case, seed)
        except PlaneError:
            # tiles so far apart that neighbouring photographs may share none
            continue
        off = missed(solved, tiles, shots)
        true.append((off.tiles_rms_mm, off.ends_rms_mm, off.scale))
        told.append((solved.position_error_mm, solved.scale_error))
    seconds = (process_time() - started) / count
    return (
        np.sqrt((np.array(true) ** 2).mean(0)),
        np.sqrt((np.array(told) ** 2).mean(0)),
        len(true),
        seconds,
    )


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    only = sys.argv[2] if len(sys.argv) > 2 else ""
    print(f"{'':28}  tiles   ends   told  length   told solved  seconds")
    print(f"{'':28}     mm     mm     mm       %      %")
    for name, case in CASES.items():
        if only in name:
            (tiles, ends, scale), (place, length), solved, seconds = row_of(case, count)
            print(
                f"{name:28} {tiles:6.3f} {ends:6.3f} {place:6.3f} {100 * scale:7.3f}"
                f" {100 * length:6.3f} {solved:6d} {seconds:8.2f}"
            )


if __name__ == "__main__":
    main()
