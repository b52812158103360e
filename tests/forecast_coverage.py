"""How often the forecast's 80 % interval holds the passes that simulated series then needed.

`python tests/forecast_coverage.py 200` prints a table: a row a family of series, of 200 each.

A series is a curve with prints scattered about it: every print has its own error, of which the
reading's interval is only an estimate, and now and then a print is bad. The target is one the face
comes to on some pass, early or late, for one in five a little beyond all it comes to; the forecast
is made once a series, on a pass drawn at random among those before the target is cleared. A row of
its own tells of series of the contact model, 2 s each.

Whole passes hold an interval more often than it says, so that two shares are told: `held`, the
passes needed lie in the interval told; `exact`, its ends count by the part of their chance that
lies inside (the expectation under a randomised interval), which is 80 % for a true model.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from forecast_series import CONTACT, LONGEST, POINTS, Curve, Rng, modelled, passes_table, printed

from scrapeview.judge.forecast.clearing import BOUND_Z, HORIZON
from scrapeview.judge.forecast.forecast import Forecast, forecast
from scrapeview.targets import Target

OUT_OF_REACH = 0.2


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


def contact_model_case(seed: int) -> Case | None:
    """Return a series of the contact model forecast once; None where too few passes are usable.

    Its eight passes end when the face is done, so that the target is one of the later passes'.
    """
    rng = np.random.default_rng(seed)
    points, contact, merged = modelled(seed)
    error = 0.05 * points
    figure = points + 0.7 * error * rng.standard_normal(len(points))
    reached = int(rng.integers(6, 9))
    target = Target(name="drawn", ppsi_least=float((figure - BOUND_Z * error)[reached - 1]))
    cleared = np.flatnonzero(figure - BOUND_Z * error >= target.ppsi_least - 1e-9)
    usable = np.flatnonzero(merged < 50)
    if len(usable) < 3 or usable[2] >= cleared[0]:
        return None
    now = int(rng.integers(usable[2] + 1, cleared[0] + 1))
    rows = passes_table(
        (figure[:now], (figure - 1.96 * error)[:now], (figure + 1.96 * error)[:now]),
        (contact[:now], 0.9 * contact[:now], 1.1 * contact[:now]),
        merged_percent=merged[:now],
    )
    return Case("contact model", int(cleared[0]) + 1 - now, forecast(rows, target))


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
    modelled = [contact_model_case(seed) for seed in range(max(1, count // 3))]
    groups["contact model"] = [c for c in modelled if c is not None]
    groups["forecast from 3 passes"] = [c for c in found if c.found.last_pass == 3]
    groups["from 4 or 5"] = [c for c in found if 4 <= c.found.last_pass <= 5]
    groups["from 6 or more"] = [c for c in found if c.found.last_pass >= 6]
    groups["reached"] = [c for c in found if c.needed <= HORIZON]
    rows = pd.DataFrame({name: shares(chosen) for name, chosen in groups.items()}).T
    print(rows.to_string(float_format=lambda v: f"{v:.0f}"))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
