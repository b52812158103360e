"""How often a face at its target is called done though it is not beyond it, and how often one is.

`python tests/wrong_done.py 100` lays that many faces a process and size, prints each twice, and
prints a table; then five prints in a row of faces 2 % below their target.
"""

import sys
from collections import Counter

import numpy as np
from scipy import stats
from simulated_faces import PROCESSES, laid_points, printed, reading_of

from scrapeview.judge import JudgedPrint, judge_face
from scrapeview.judge.verdict.bounds import standing
from scrapeview.targets import Target

BEYOND = (1.0, 1.05, 1.1, 1.2)
"""True value as a share of the target; at 1 calling a face done is wrong."""
SIZES_MM = ((200.0, 100.0), (96.0, 64.0))
FIGURES = {
    "points": "ppsi_least",
    "contact": "contact_least_percent",
    "contact, most": "contact_most_percent",
}
ASKED = (*FIGURES, "points and contact")
LOOKS = 5
BELOW = 0.98


def target_of(process, asked, beyond):
    """The target that the true value of a process is beyond by a share."""
    values = {}
    if "points" in asked:
        values["ppsi_least"] = process.ppsi / beyond
    if asked in ("contact", "points and contact"):
        values["contact_least_percent"] = process.contact_percent / beyond
    if asked == "contact, most":
        values["contact_most_percent"] = process.contact_percent * beyond
        # a target that asks for no more than this would be none
        values["bare_circle_most_mm"] = 1000
    return Target(name=asked, **values)


def prints_of(process, size_mm, seed, count=2, scraped=False):
    """Prints of one face, one a pass, with nothing scraped between them or all laid anew."""
    rng = np.random.default_rng([seed, PROCESSES.index(process)])
    points = laid_points(process, size_mm, rng)
    prints = []
    for number in range(1, count + 1):
        if scraped and number > 1:
            points = laid_points(process, size_mm, rng)
        reading = reading_of(printed(points, rng), size_mm, rng)
        prints.append(JudgedPrint(number, number, "", reading))
    return prints


def called_done(prints, process):
    """Whether a face is called done, by (what is asked, share of the target).

    Bounds do not depend on targets, so that one verdict says what others would be.
    """
    widest = Target(
        name="all", ppsi_least=0, contact_least_percent=0, contact_most_percent=100,
        bare_circle_most_mm=1000,
    )  # fmt: skip
    verdict = judge_face(prints, widest)
    whole = {one.name: one for one in verdict.criteria if not one.zone}
    rest = [one for name, one in whole.items() if name not in FIGURES.values()]
    sound = all(one.stands == "clears" for one in rest)
    done = {}
    for asked in ASKED:
        for beyond in BEYOND:
            target = target_of(process, asked, beyond)
            values = {n: v for n in FIGURES.values() if (v := getattr(target, n)) is not None}
            done[asked, beyond] = sound and all(
                standing(whole[name].interval, value, whole[name].at_least) == "clears"
                for name, value in values.items()
            )
    return done


def shares_done(process, size_mm, count, first_seed=0):
    """How many of `count` faces are called done, by (what is asked, share of the target)."""
    found = Counter()
    for seed in range(first_seed, first_seed + count):
        found.update(called_done(prints_of(process, size_mm, seed), process))
    return found


def looks_done(process, size_mm, seed, scraped):
    """Whether any of a row of prints of a face below its target is called done, points asked."""
    prints = prints_of(process, size_mm, seed, LOOKS, scraped)
    target = target_of(process, "points", BELOW)
    return any(judge_face(prints[i : i + 2], target).outcome == "done" for i in range(LOOKS - 1))


def highest(found, count):
    """Upper end of the exact 95 % interval of a share, in percent."""
    return 100 * stats.binomtest(int(found), count).proportion_ci(0.95, "exact").high


def line(name, found, count):
    """One line of the table: shares called done, and how high the wrong ones may be."""
    told = "  ".join(f"{100 * found[name, beyond] / count:5.1f}" for beyond in BEYOND)
    return f"  {name:20s} {told}   {highest(found[name, BEYOND[0]], count):5.1f}"


def main(count):
    """Print the tables."""
    everything = Counter()
    heads = "  ".join(f"x{beyond:.2f}" for beyond in BEYOND)
    print(f"called done, %, true value as a share of the target:\n{'':23s}{heads}   at most")
    for size_mm in SIZES_MM:
        for process in PROCESSES:
            found = shares_done(process, size_mm, count)
            everything.update(found)
            print(
                f"{process.name}, {size_mm[0]:g} x {size_mm[1]:g} mm: {process.ppsi:.1f} points "
                f"per in2, {process.contact_percent:.1f} % contact"
            )
            print("\n".join(line(asked, found, count) for asked in ASKED), flush=True)
    print("all of them")
    print("\n".join(line(asked, everything, count * 8) for asked in ASKED), flush=True)
    print(f"{LOOKS} prints in a row, {100 * (1 - BELOW):.0f} % below the target in points:")
    for scraped in (False, True):
        for process in PROCESSES[1:3]:
            size_mm = SIZES_MM[1]
            done = sum(looks_done(process, size_mm, seed, scraped) for seed in range(count))
            how = "scraped between" if scraped else "nothing scraped between"
            print(
                f"  {process.name}, {how}: {100 * done / count:.1f} % called done at least once "
                f"(at most {highest(done, count):.1f} %)",
                flush=True,
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
