"""How often the intervals of readings cover the truth on varied computed prints.

`python tests/interval_coverage.py 40` prints a line a print and the shares covered.
"""

import sys
from dataclasses import dataclass

from scipy import stats

import scrapeview
from scrapeview.simulate import render, varied_scene


@dataclass(frozen=True)
class Covered:
    """One varied print: what was read, its intervals and the truth."""

    seed: int
    contact_percent: tuple[float, float, float]
    points_per_square_inch: tuple[float, float, float]
    true_contact_percent: float
    true_points_per_square_inch: float

    @property
    def contact(self) -> bool:
        """Whether the interval holds the true contact."""
        return self.contact_percent[0] <= self.true_contact_percent <= self.contact_percent[2]

    @property
    def points(self) -> bool:
        """Whether the interval holds the true points per square inch."""
        low, _, high = self.points_per_square_inch
        return low <= self.true_points_per_square_inch <= high


def covered(seed: int, size_mm: tuple[float, float] = (96.0, 64.0)) -> Covered:
    """Render and read one varied scene; intervals as (low, figure, high)."""
    shot = render(varied_scene(seed), size_mm=size_mm)
    found = scrapeview.read_print(
        shot.jpeg,
        plane=scrapeview.Plane.from_corners(shot.corners_px, size_mm=shot.size_mm),
        marking=shot.marking,
    )
    contact, points = found.contact_interval, found.ppsi_interval
    return Covered(
        seed,
        (contact.low, found.contact_percent, contact.high),
        (points.low, found.points_per_square_inch, points.high),
        shot.truth.contact_percent,
        shot.truth.points_per_square_inch,
    )


def coverage(count: int, first_seed: int = 0) -> list[Covered]:
    """Read varied prints, one a seed."""
    return [covered(seed) for seed in range(first_seed, first_seed + count)]


def main(count: int) -> None:
    """Print what is covered, and the Wilson interval of the shares."""
    results = coverage(count)
    for r in results:
        contact = " ".join(f"{v:6.2f}" for v in r.contact_percent)
        points = " ".join(f"{v:6.2f}" for v in r.points_per_square_inch)
        print(
            f"{r.seed:4d}  contact {r.true_contact_percent:6.2f} in {contact} {r.contact!s:5}  "
            f"points {r.true_points_per_square_inch:6.2f} in {points} {r.points!s:5}"
        )
    for name in ("contact", "points"):
        hits = sum(getattr(r, name) for r in results)
        wilson = stats.binomtest(hits, count).proportion_ci(0.95, "wilson")
        share = 100 * hits / count
        print(f"{name}: {share:.1f} % covered ({100 * wilson.low:.1f} to {100 * wilson.high:.1f})")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
