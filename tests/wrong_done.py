"""How often a face just below its target is called done, and one that is well beyond it.

`python tests/wrong_done.py 100` lays that many faces a process and prints a table.
"""

import sys
from dataclasses import dataclass

import numpy as np
from scipy import stats
from simulated_faces import PROCESSES, laid_points, printed, reading_of

from scrapeview.judge import JudgedPrint, judge_face
from scrapeview.targets import Target

BEYOND = (0.9999, 1.05, 1.1, 1.2)
"""True value as a share of the target."""
SIZES_MM = ((200.0, 100.0), (96.0, 64.0))


@dataclass(frozen=True)
class Asked:
    """What a target asks for, and the true value of a process for it."""

    name: str

    def target(self, process, beyond):
        """The target that the process' true value is beyond by a share."""
        values = {}
        if self.name in ("points", "both"):
            values["ppsi_least"] = process.ppsi / beyond
        if self.name in ("contact", "both"):
            values["contact_least_percent"] = process.contact_percent / beyond
        if self.name == "contact, most":
            values["contact_most_percent"] = min(100, process.contact_percent * beyond)
        return Target(name="asked", **values)


ASKED = tuple(Asked(name) for name in ("points", "contact", "contact, most", "both"))


def two_prints(process, size_mm, seed):
    """Two prints of one face, nothing scraped between them."""
    rng = np.random.default_rng([seed, len(process.name)])
    points = laid_points(process, size_mm, rng)
    return [
        JudgedPrint(1, number, "", reading_of(printed(points, rng), size_mm, rng))
        for number in (1, 2)
    ]


def shares_done(process, size_mm, count, first_seed=0):
    """How many of `count` faces are called done, by (what is asked, share of the target)."""
    done = {(asked.name, beyond): 0 for asked in ASKED for beyond in BEYOND}
    for seed in range(first_seed, first_seed + count):
        prints = two_prints(process, size_mm, seed)
        for asked in ASKED:
            for beyond in BEYOND:
                verdict = judge_face(prints, asked.target(process, beyond))
                done[asked.name, beyond] += verdict.outcome == "done"
    return done


def highest(count, of):
    """Upper end of the exact 95 % interval of a share, in percent."""
    return 100 * stats.binomtest(int(count), of).proportion_ci(0.95, "exact").high


def main(count):
    """Print the table."""
    for size_mm in SIZES_MM:
        for process in PROCESSES:
            found = shares_done(process, size_mm, count)
            print(
                f"{process.name}, {size_mm[0]:g} x {size_mm[1]:g} mm: {process.ppsi:.1f} points "
                f"per in2, {process.contact_percent:.1f} % contact"
            )
            for asked in ASKED:
                told = "  ".join(
                    f"x{beyond:.2f}: {100 * found[asked.name, beyond] / count:5.1f} %"
                    for beyond in BEYOND
                )
                most = highest(found[asked.name, BEYOND[0]], count)
                print(f"  {asked.name:14s} {told}   (wrong done at most {most:.1f} %)", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
