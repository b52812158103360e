"""How often the forecast's 80 % interval holds the passes that simulated series then needed.

`python tests/forecast_coverage.py 200` prints a table: a row a family of series, of 200 each.

A series is a curve with prints scattered about it: every print has its own error, of which the
reading's interval is only an estimate, and now and then a print is bad. The target is set so that
it is reached on some pass, early, late or never; the forecast is made once a series, on a pass
drawn at random among those before the target is cleared. None of the curves knows how the forecast
is made. Whole passes hold an interval more often than it says, so that two shares are told: `held`,
the passes needed lie in the interval told; `exact`, ends count by the part of their chance that
lies inside (their expectation under a randomised interval), which would be 80 % for a true model.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from scrapeview.columns import columns_of, table
from scrapeview.judge.clearing import BOUND_Z, HORIZON
from scrapeview.judge.forecast import Forecast, forecast
from scrapeview.judge.pass_figures import FIGURE_COLUMNS
from scrapeview.targets import Target

LONGEST = 50
BAD_PRINTS = 0.06
OUT_OF_REACH = 0.2
Curve = np.ndarray
Printed = tuple[Curve, Curve, Curve]
Rng = np.random.Generator
N = np.arange(LONGEST)


def saturating(rng: Rng) -> Curve:
    """Exponential saturation."""
    start, limit, rate = rng.uniform(2, 8), rng.uniform(15, 45), rng.uniform(0.08, 0.5)
    return limit - (limit - start) * np.exp(-rate * N)


def logistic(rng: Rng) -> Curve:
    """Slow, then fast, then slow."""
    limit, rate, middle = rng.uniform(15, 45), rng.uniform(0.25, 0.9), rng.uniform(2, 9)
    return limit / (1 + np.exp(-rate * (N - middle)))


def linear_then_flat(rng: Rng) -> Curve:
    """As many points more each pass until nothing more is gained."""
    start, gain, limit = rng.uniform(2, 8), rng.uniform(1, 4), rng.uniform(15, 45)
    return np.minimum(start + gain * N, limit)


def root(rng: Rng) -> Curve:
    """A power of the pass number: slower and slower, and without a limit."""
    return rng.uniform(3, 9) * (N + 1.0) ** rng.uniform(0.35, 0.9)


def hill(rng: Rng) -> Curve:
    """A quotient of powers: a long tail towards the limit."""
    limit, half, power = rng.uniform(20, 50), rng.uniform(2, 8), rng.uniform(1, 2.5)
    return limit * (N + 1.0) ** power / (half**power + (N + 1.0) ** power)


def finishing(rng: Rng) -> Curve:
    """Saturation to a low limit, and from some pass on, with shorter strokes, to a higher one."""
    start, limit, rate = rng.uniform(2, 8), rng.uniform(10, 22), rng.uniform(0.2, 0.5)
    change, further = int(rng.integers(2, 6)), rng.uniform(1.2, 2.0)
    curve = limit - (limit - start) * np.exp(-rate * N)
    level, end = curve[change], limit * further
    later = end - (end - level) * np.exp(-rng.uniform(0.2, 0.5) * (N - change))
    return np.where(change > N, curve, later)


def uneven(rng: Rng) -> Curve:
    """Gains drawn anew each pass, slowly fading."""
    gains = rng.gamma(2.0, rng.uniform(0.8, 2.0), LONGEST) * rng.uniform(0.85, 0.97) ** N
    return rng.uniform(2, 8) + np.concatenate(([0.0], np.cumsum(gains)[:-1]))


def growing(rng: Rng) -> Curve:
    """By the same share more each pass up to a limit, as strokes grow shorter."""
    return np.minimum(rng.uniform(2, 6) * rng.uniform(1.12, 1.4) ** N, rng.uniform(20, 60))


def contact_falling(rng: Rng) -> Curve:
    """Contact that falls towards a level, straight and then flat or ever more slowly."""
    start, end = rng.uniform(45, 85), rng.uniform(25, 55)
    return _towards(rng, start, min(end, start - 5))


def contact_rising(rng: Rng) -> Curve:
    """Contact that rises towards a level."""
    start, end = rng.uniform(5, 30), rng.uniform(30, 60)
    return _towards(rng, start, end)


def _towards(rng: Rng, start: float, end: float) -> Curve:
    if rng.random() < 0.5:
        share = 1 - np.exp(-rng.uniform(0.1, 0.5) * N)
    else:
        share = np.minimum(N * rng.uniform(0.05, 0.25), 1.0)
    return start + (end - start) * share


POINTS: tuple[Callable[[Rng], Curve], ...] = (
    saturating, logistic, linear_then_flat, root, hill, finishing, uneven, growing,
)  # fmt: skip
CONTACT: tuple[Callable[[Rng], Curve], ...] = (contact_falling, contact_rising)


@dataclass(frozen=True)
class Case:
    """One series forecast once.

    Parameters
    ----------
    family : str
    needed : int
        Passes it then needed; HORIZON + 1 where it needed more, or never cleared.
    found : Forecast
    """

    family: str
    needed: int
    found: Forecast

    @property
    def held(self) -> bool:
        """Whether the interval told holds the passes needed."""
        low, high = (HORIZON + 1 if n is None else n for n in (self.found.passes.low,
                                                               self.found.passes.high))  # fmt: skip
        return bool(low <= self.needed <= high)

    @property
    def exact(self) -> float:
        """The part of its chance with which the passes needed lie inside the central interval."""
        chance = self.found.chances
        up_to = float(chance[: self.needed].sum())
        below = up_to - float(chance[self.needed - 1])
        tail = (1 - self.found.confidence) / 2
        if up_to == below:
            return float(tail <= up_to <= 1 - tail)
        return max(0.0, min(up_to, 1 - tail) - max(below, tail)) / (up_to - below)


def case(family: Callable[[Rng], Curve], seed: int) -> Case | None:
    """Return one series forecast once; None where the target is cleared too early to ask."""
    rng = np.random.default_rng([seed, *family.__name__.encode()])
    face = family(rng)
    contact = family in CONTACT
    figure, low, high = printed(face, rng, contact)
    target = _target(face, contact, rng)
    z = BOUND_Z / 1.96
    clear = np.ones(LONGEST, dtype=bool)
    least, most = target.ppsi_least, target.contact_most_percent
    if contact:
        least = target.contact_least_percent
    if least is not None:
        clear &= figure - z * (figure - low) >= least
    if most is not None:
        clear &= figure + z * (high - figure) <= most
    reached = int(np.argmax(clear)) + 1 if clear.any() else LONGEST
    if reached < 4:
        return None
    now = int(rng.integers(3, min(reached, 13)))
    needed = min(reached - now, HORIZON + 1) if clear.any() else HORIZON + 1
    seen = figure[:now], low[:now], high[:now]
    still = np.full(now, 20.0), np.full(now, 18.0), np.full(now, 22.0)
    found = forecast(passes_table(still, seen) if contact else passes_table(seen, still), target)
    return Case(family.__name__, needed, found)


def printed(face: Curve, rng: Rng, contact: bool) -> Printed:
    """Return the figures of prints of a face and the ends of their intervals.

    A bad print shows fewer points; more contact where the film was heavy, else less.
    """
    most, heavy = (100.0, 0.7) if contact else (np.inf, 0.0)
    error = rng.uniform(0.025, 0.08) * face * np.exp(0.3 * rng.standard_normal(LONGEST))
    told = error * np.exp(0.2 * rng.standard_normal(LONGEST)) / rng.uniform(0.6, 1.2)
    figure = face + error * rng.standard_normal(LONGEST)
    wrong = np.where(rng.random(LONGEST) < heavy, rng.uniform(1.15, 1.5), rng.uniform(0.5, 0.85))
    bad = rng.random(LONGEST) < BAD_PRINTS
    figure = np.clip(np.where(bad, figure * wrong, figure), 0.1, most)
    return figure, np.maximum(figure - 1.96 * told, 0), np.minimum(figure + 1.96 * told, most)


def _target(face: Curve, contact: bool, rng: Rng) -> Target:
    """A level the face has on some pass; for one in five a little beyond all it comes to."""
    falls = bool(face[0] > face[-1])
    level = float(face[int(rng.integers(3, 15))] * rng.uniform(0.88, 1.03))
    if rng.random() < OUT_OF_REACH:
        level = float(face[30] * (rng.uniform(0.75, 1.0) if falls else rng.uniform(1.0, 1.3)))
    if not contact:
        return Target(name="drawn", ppsi_least=level)
    if falls:
        return Target(name="drawn", contact_most_percent=min(level * 1.12, 100.0))
    return Target(name="drawn", contact_least_percent=min(level * 0.92, 100.0))


def passes_table(points: Printed, contact: Printed, **changed: object) -> pd.DataFrame:
    """Return the table of passes of prints with these figures; `changed` replaces columns."""
    n = len(points[0])
    values: dict[str, object] = {
        c.name: [""] * n if c.dtype == "str" else np.zeros(n) for c in columns_of("passes")
    }
    values |= {
        "number": np.arange(1, n + 1), "print_id": np.arange(1, n + 1), "hours": np.full(n, np.nan),
        "is_print": np.ones(n, bool), "count_reliable": np.ones(n, bool),
        "area_mm2": np.full(n, 20000.0),
    }  # fmt: skip
    values |= dict(zip(FIGURE_COLUMNS["points"], points, strict=True))
    values |= dict(zip(FIGURE_COLUMNS["contact"], contact, strict=True))
    return table("passes", values | changed)


def cases(count: int, first_seed: int = 0) -> list[Case]:
    """Return so many cases of every family."""
    found = []
    for family in (*POINTS, *CONTACT):
        seed, wanted = first_seed, count
        while wanted:
            one = case(family, seed)
            seed += 1
            if one is not None:
                found.append(one)
                wanted -= 1
    return found


def shares(chosen: list[Case]) -> dict[str, float]:
    """Return the shares a row of the table tells, in percent."""
    if not chosen:
        return {}
    late = [c for c in chosen if c.needed > HORIZON]
    width = [(c.found.passes.high or HORIZON + 1) - (c.found.passes.low or HORIZON + 1)
             for c in chosen]  # fmt: skip
    return {
        "cases": len(chosen),
        "held": 100 * float(np.mean([c.held for c in chosen])),
        "exact": 100 * float(np.mean([c.exact for c in chosen])),
        "sooner": 100 * float(np.mean([(c.found.passes.low or HORIZON + 1) > c.needed
                                       for c in chosen])),
        "later": 100 * float(np.mean([(c.found.passes.high or HORIZON + 1) < c.needed
                                      for c in chosen])),
        "never": 100 * len(late) / len(chosen),
        "told never": 100 * float(np.mean([c.found.never_chance for c in chosen])),
        "open": 100 * float(np.mean([c.found.passes.high is None for c in chosen])),
        "wide": float(np.median(width)),
    }  # fmt: skip


def main(count: int) -> None:
    """Print the table."""
    found = cases(count)
    families = list(dict.fromkeys(c.family for c in found))
    groups = {name: [c for c in found if c.family == name] for name in families}
    groups["all"] = found
    groups["forecast from 3 passes"] = [c for c in found if c.found.last_pass == 3]
    groups["from 4 or 5"] = [c for c in found if 4 <= c.found.last_pass <= 5]
    groups["from 6 or more"] = [c for c in found if c.found.last_pass >= 6]
    groups["reached"] = [c for c in found if c.needed <= HORIZON]
    rows = pd.DataFrame({name: shares(chosen) for name, chosen in groups.items()}).T
    print(rows.to_string(float_format=lambda v: f"{v:.0f}"))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
