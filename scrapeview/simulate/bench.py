"""Benchmark: `python -m scrapeview.simulate.bench [--folder FOLDER] [--quick] [--only NAME ...]`.

Prints three tables: our reading beside textbook methods on computed scenes (and on a folder of
photographs with known truth, see `scrapeview.simulate.cases`), speed and memory by the photograph's
size, and how often the 95 % intervals cover the truth. Times depend on the machine and are no test.
"""

import argparse
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from scrapeview.bearing import Interval
from scrapeview.errors import ReadingError
from scrapeview.simulate.cases import Case, case_of, cases_in
from scrapeview.simulate.presets import SCENES
from scrapeview.simulate.render import render
from scrapeview.simulate.scoring import f1_score
from scrapeview.simulate.speed import print_speed
from scrapeview.simulate.textbook import METHODS, grey_face
from scrapeview.simulate.variety import varied_scene
from scrapeview.units import MM2_PER_SQUARE_INCH

SHOWN = (
    "plain", "touching", "crowded", "rings", "faint", "heavy", "smeared", "fine", "coarse",
    "sparse", "glare", "shadow", "window_light", "tungsten", "dim", "soft", "tilt32",
    "low_resolution", "stains_in_pores", "strong_strokes", "cut_edges", "slots", "disc",
    "undercoat_orange", "red", "black", "rubbed", "high_cover", "merged", "blank_stained",
)  # fmt: skip
SEED = 11
MEGAPIXELS = (3, 6, 12, 24, 48)
TRUTHS_VARIED = 40
NAME_WIDTH = 18


@dataclass(frozen=True)
class Size:
    """How much a run does."""

    scenes: tuple[str, ...]
    face_mm: tuple[float, float] | None
    megapixels: tuple[float, ...]
    repeats: int
    varied: int


FULL = Size(SHOWN, None, MEGAPIXELS, 7, TRUTHS_VARIED)
QUICK = Size(("plain", "blank_stained"), (60.0, 40.0), (0.5,), 1, 2)


@dataclass(frozen=True)
class Score:
    """Errors of one method on one photograph; None where the truth is not known."""

    points_error_percent: float | None
    contact_error: float | None
    f1: float | None
    seconds: float

    def row(self) -> str:
        """Return the score as four columns."""
        points = _shown(self.points_error_percent, "+8.1f")
        return f"{points}{_shown(self.contact_error, '+7.1f')}{_shown(self.f1, '6.2f')}" + (
            f"{self.seconds:6.2f}"
        )


def scored(
    case: Case, area_mm2: float, centres_mm: NDArray[np.float64], contact: float, seconds: float
) -> Score:
    """Return how far a method's points and contact lie from a case's truth.

    The error of the points is in percent of their number; on a blank face, where there is no such
    number, it is 0 or infinite.
    """
    ppsi = len(centres_mm) / area_mm2 * MM2_PER_SQUARE_INCH
    return Score(
        None if case.ppsi is None else _error_percent(ppsi, case.ppsi),
        None if case.contact_percent is None else contact - case.contact_percent,
        None if case.points_mm is None else f1_score(centres_mm, case.points_mm),
        seconds,
    )


def scores_of(case: Case) -> dict[str, Score]:
    """Return the scores of our reading and of the textbook methods on one photograph.

    Seconds run from the file to the figures.
    """
    start = time.perf_counter()
    reading = case.read()
    seconds = time.perf_counter() - start
    centres_mm = reading.points[["x_mm", "y_mm"]].to_numpy(dtype=np.float64)
    scores = {
        "Scrapeview": scored(case, reading.area_mm2, centres_mm, reading.contact_percent, seconds)
    }
    for name, method in METHODS.items():
        start = time.perf_counter()
        face = grey_face(case)
        found = method(face)
        seconds = time.perf_counter() - start
        area_mm2 = float(face.inside.sum()) / face.px_per_mm**2
        scores[name] = scored(case, area_mm2, found.centres_mm, found.contact_percent, seconds)
    return scores


def print_accuracy(cases: Iterable[Case]) -> None:
    """Print the table of errors, a row a photograph, and the methods' middles."""
    names = ("Scrapeview", *METHODS)
    heads = "".join(f"  {name:^27s}" for name in names)
    print(f"{'':{NAME_WIDTH}s}{heads}")
    print(f"{'scene':{NAME_WIDTH}s}" + "  points % contact    F1     s" * len(names))
    rows = []
    for case in cases:
        rows.append(scores_of(case))
        print(f"{case.name:{NAME_WIDTH}.{NAME_WIDTH}s}", end="")
        print("".join("  " + rows[-1][name].row() for name in names), flush=True)
    middles = "".join("  " + _middle([row[name] for row in rows]).row() for name in names)
    print(f"{'median, unsigned':{NAME_WIDTH}s}{middles}")


@dataclass(frozen=True)
class Told:
    """A figure with its interval, beside the truth."""

    seed: int
    found: float
    interval: Interval
    truth: float

    @property
    def covered(self) -> bool:
        """Whether the interval holds the truth."""
        return self.interval.low <= self.truth <= self.interval.high


def print_coverage(seeds: Iterable[int], face_mm: tuple[float, float] | None) -> None:
    """Print how often the intervals cover the truth over varied scenes, and each miss."""
    contact, points, unread = [], [], []
    for seed in seeds:
        shot = render(varied_scene(seed), size_mm=face_mm)
        reading, truth = case_of(f"varied {seed}", shot).read(), shot.truth
        if not reading.is_print:
            unread.append(seed)
            continue
        contact.append(
            Told(seed, reading.contact_percent, reading.contact_interval, truth.contact_percent)
        )
        if truth.countable:
            ppsi, known = reading.points_per_square_inch, truth.points_per_square_inch
            points.append(Told(seed, ppsi, reading.ppsi_interval, known))
    _print_covered("contact %", contact)
    _print_covered("points/in2", points)
    print(f"read as carrying no print: {len(unread)} scenes, seeds {unread}")


def _print_covered(name: str, told: list[Told]) -> None:
    covered = sum(t.covered for t in told)
    half = np.median([(t.interval.high - t.interval.low) / 2 for t in told]) if told else 0.0
    share = 100 * covered / max(1, len(told))
    print(f"{name}: {covered} of {len(told)} covered ({share:.0f} %), median half width {half:.2f}")
    for t in told:
        if not t.covered:
            print(
                f"  missed: seed {t.seed}, {t.found:.1f} "
                f"({t.interval.low:.1f} to {t.interval.high:.1f}), true {t.truth:.1f}"
            )


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the benchmark with the options of the command line."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--folder", type=Path, help="photographs with known truth to read as well")
    parser.add_argument("--quick", action="store_true", help="few scenes, small ones")
    parser.add_argument(
        "--only", nargs="+", metavar="NAME", help="the errors on these, and no more"
    )
    chosen = parser.parse_args(arguments)
    size = QUICK if chosen.quick else FULL
    names = chosen.only or SHOWN
    try:
        photographs = cases_in(chosen.folder) if chosen.folder else []
    except ReadingError as error:
        parser.error(str(error))
    if chosen.only:
        photographs = [case for case in photographs if case.name in names]
    print("Points % and contact: error in percent of their number and in points of percent.\n")
    print("Computed scenes")
    print_accuracy(_scenes([n for n in names if n in SCENES] if chosen.only else size.scenes, size))
    if photographs:
        print(f"\nPhotographs of {chosen.folder}")
        print_accuracy(photographs)
    if chosen.only:
        return
    print("\nSpeed: median from file to Reading, beside cv2.imdecode of the same file")
    print_speed(_largest(photographs) or _large_case(size), size.megapixels, size.repeats)
    print("\nCoverage of the 95 % intervals over varied scenes")
    print_coverage(range(size.varied), size.face_mm)


def _scenes(names: Sequence[str], size: Size) -> Iterator[Case]:
    for name in names:
        yield case_of(name, render(name, seed=SEED, size_mm=size.face_mm))


def _large_case(size: Size) -> Case:
    """A plain print whose photograph holds about 12 million pixels, or a small one."""
    if size.face_mm:
        return case_of("plain", render("plain", seed=SEED, size_mm=size.face_mm))
    return case_of("plain", render("plain", seed=SEED, size_mm=(305.0, 225.0), px_per_mm=11.8))


def _largest(cases: list[Case]) -> Case | None:
    rectangles = [case for case in cases if case.corners_px is not None]
    return max(rectangles, key=lambda case: np.prod(case.shape_px), default=None)


def _error_percent(found: float, known: float) -> float:
    if known == 0:
        return 0.0 if found == 0 else float("inf")
    return 100 * (found / known - 1)


def _middle(scores: list[Score]) -> Score:
    def middle(values: Iterable[float | None]) -> float | None:
        held = [abs(v) for v in values if v is not None]
        return float(np.median(held)) if held else None

    return Score(
        middle(s.points_error_percent for s in scores),
        middle(s.contact_error for s in scores),
        middle(s.f1 for s in scores),
        float(np.median([s.seconds for s in scores])) if scores else 0.0,
    )


def _shown(value: float | None, form: str) -> str:
    width = int(form.strip("+").split(".")[0])
    return f"{'-':>{width}s}" if value is None else f"{value:{form}}"


if __name__ == "__main__":
    main()
