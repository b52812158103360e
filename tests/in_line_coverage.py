"""How often estimates of line and plane hold what is built into simulated faces, and find it.

`python tests/in_line_coverage.py 60` prints the tables of docs/in-line.md: so many faces a row.

Faces of 1,200 x 120 mm are printed in three placements of a reference of 500 mm by the contact
model, pairs of ways of 600 x 40 mm, 150 mm apart, in one. `inside`: the 95 % interval holds the
truth. `found`: it leaves zero out. `right`: of those found, the sign is right. Sizes are in
micrometres, or micrometres per metre; half widths in film units, or film units per metre.
"""

import sys
from dataclasses import dataclass

import numpy as np
import pandas as pd
from simulated_long_faces import (
    JOINTS_MM,
    SIZE_MM,
    WAY_MM,
    WAYS_MM,
    Bend,
    Rub,
    Texture,
    bent,
    box,
    contact_of,
    pair_of_ways,
    placed,
    prints_along,
    reading_of_contact,
    shim_contact,
    textured,
    way_lifted,
)

from scrapeview.judge.inline import film_unit_from_shim, in_line, share_a_plane

TEXTURES = {
    "spots of 3 mm": Texture(),
    "spots of 6 x 3 mm": Texture(waves_mm=(6.0, 3.0)),
    "and waves of 25 mm": Texture(long_um=0.7, long_mm=(25.0, 25.0)),
    "and waves of 40 mm": Texture(long_um=0.7),
    "and waves of 60 mm": Texture(long_um=1.0, long_mm=(60.0, 60.0)),
    "and form of 200 mm": Texture(long_um=0.7, long_mm=(200.0, 100.0)),
    "scraper strokes": Texture(strokes=True),
}
SIZES = {
    "step": (0.5, 1.0, 2.0, 4.0),
    "along": (3.0, 6.0, 12.0, 25.0),
    "across": (5.0, 10.0, 20.0, 40.0),
}
WAY_SIZES = {
    "offset": (1.0, 2.0, 4.0, 6.0),
    "tilt_across": (15.0, 30.0, 60.0, 100.0),
    "twist": (3.0, 6.0, 12.0, 25.0),
}
FIELDS = {"step": "step", "along": "tilt_along", "across": "tilt_across"}
SHIM_FACE_MM, SHIM_AT_MM, SHIM_UM = (500.0, 120.0), 480.0, 20.0
FILMS_UM = (2.4, 3.0, 3.8)
COARSE_PX_PER_MM = 1.0
"""Blocks of 20 mm lose nothing by it, and four times as many faces can be tried."""


@dataclass(frozen=True)
class Case:
    """One estimate beside its truth."""

    texture: str
    kind: str
    size: float
    truth: float
    value: float
    low: float
    high: float
    truth_um: float = 0.0
    low_um: float = -np.inf
    high_um: float = np.inf


def case_of(texture, kind, size_um, deviation_um, found):
    """A case from an estimate and what was built in, um or um per m."""
    ends = (found.low_um, found.high_um) if found.low_um is not None else (-np.inf, np.inf)
    return Case(
        texture, kind, abs(size_um), size_um / deviation_um, found.value, found.low, found.high,
        size_um, *ends,
    )  # fmt: skip


def long_cases(texture, seed, *, built_in=False, unit=None):
    """Six estimates of one long face: straight, or one thing built in at either joint."""
    rng = np.random.default_rng([seed, 5])
    heights, deviation = textured(seed, SIZE_MM, TEXTURES[texture], px_per_mm=COARSE_PX_PER_MM)
    kinds = list(SIZES)
    truth = [dict.fromkeys(kinds, 0.0) for _ in JOINTS_MM]
    if built_in:
        for i, here in enumerate(truth):
            kind = kinds[(seed + i) % 3]
            here[kind] = float(rng.choice(SIZES[kind]) * rng.choice((-1, 1)))
    bends = [
        Bend(at_mm=at, step_um=t["step"], along_um_m=t["along"], across_um_m=t["across"])
        for at, t in zip(JOINTS_MM, truth, strict=True)
    ]
    rub = Rub(film_um=FILMS_UM[seed % len(FILMS_UM)])
    line = in_line(prints_along(bent(heights, bends), rubs=[rub] * 3), unit=unit)
    return [
        case_of(texture, kind, here[kind], deviation, getattr(joint, FIELDS[kind]))
        for joint, here in zip(line.joints, truth, strict=True)
        for kind in kinds
        if joint.step is not None
    ]


def way_cases(texture, seed, *, built_in=False, unit=None):
    """Three estimates of one pair of ways: in one plane, or with one thing built in."""
    rng = np.random.default_rng([seed, 6])
    heights, deviation = textured(seed, WAYS_MM, TEXTURES[texture], px_per_mm=COARSE_PX_PER_MM)
    kinds = list(WAY_SIZES)
    truth = dict.fromkeys(kinds, 0.0)
    if built_in:
        kind = kinds[seed % 3]
        truth[kind] = float(rng.choice(WAY_SIZES[kind]) * rng.choice((-1, 1)))
    face = way_lifted(
        pair_of_ways(heights), offset_um=truth["offset"], twist_um_m=truth["twist"],
        across_um_m=truth["tilt_across"],
    )  # fmt: skip
    spans = ((0.0, WAY_MM), (WAYS_MM[1] - WAY_MM, WAYS_MM[1]))
    rub = Rub(film_um=FILMS_UM[seed % len(FILMS_UM)])
    printed = placed(face, (0.0, WAYS_MM[0]), "both", rub=rub, ways_mm=spans)
    shared = share_a_plane(printed.printed.reading, unit=unit)
    if shared.why_not:
        return []
    return [case_of(texture, kind, truth[kind], deviation, getattr(shared, kind)) for kind in kinds]


def shim_unit(texture, seed, shim_um=SHIM_UM):
    """The film unit from a simulated shim print, and the true one, um."""
    heights, deviation = textured(seed + 7000, SHIM_FACE_MM, TEXTURES[texture])
    rub = Rub(film_um=FILMS_UM[seed % len(FILMS_UM)])
    outline = [box(0, 0, *SHIM_FACE_MM)]
    level, shimmed = (
        reading_of_contact(contact, heights.grid, outline)
        for contact in (
            contact_of(heights, (0.0, SHIM_FACE_MM[0]), rub),
            shim_contact(heights, shim_um, SHIM_AT_MM, rub),
        )
    )
    found = film_unit_from_shim(
        level, shimmed, shim_um=shim_um, shim_at_mm=SHIM_AT_MM, rests_at_mm=10.0
    )
    return found, deviation


def shares(cases, by):
    """The rows of a table: shares in percent, half widths as means."""
    table = pd.DataFrame([vars(case) for case in cases])
    table["inside"] = (table.low <= table.truth) & (table.truth <= table.high)
    table["inside um"] = (table.low_um <= table.truth_um) & (table.truth_um <= table.high_um)
    table["found"] = (table.low > 0) | (table.high < 0)
    table["half"] = (table.high - table.low) / 2
    table["off"] = table.value - table.truth
    right = np.sign(table.value) == np.sign(table.truth)
    table["right"] = np.where(table.found, right, np.nan)
    rows = table.groupby(by, sort=False)
    found = rows[["inside", "inside um", "found", "right"]].mean() * 100
    return found.assign(
        half=rows.half.mean(), spread=1.96 * rows.off.std(), bias=rows.off.mean(), cases=rows.size()
    )


def show(title, rows):
    print(f"\n{title}")
    print(rows.to_string(float_format=lambda v: f"{v:.2f}"), flush=True)


def tables(name, count):
    """Print the tables of one texture."""
    show(f"straight: {name}", shares(
        [c for s in range(count) for c in long_cases(name, s)], ["kind"]
    ))  # fmt: skip
    show(f"ways in one plane: {name}", shares(
        [c for s in range(2 * count) for c in way_cases(name, s)], ["kind"]
    ))  # fmt: skip
    units = [shim_unit(name, s) for s in range(max(1, count // 2))]
    inside = np.mean([u.low_um <= true <= u.high_um for u, true in units])
    ratio = np.array([u.um / true for u, true in units])
    wide = np.mean([(u.high_um - u.low_um) / 2 / u.um for u, true in units])
    print(f"\nshim: {name}: inside {100 * inside:.0f} %, found / true {ratio.mean():.2f} "
          f"± {ratio.std():.2f}, half width {100 * wide:.0f} %, of {len(units)}")  # fmt: skip
    show(f"built in: {name}", shares(
        [
            c
            for s in range(1000, 1000 + 2 * count)
            for c in long_cases(name, s, built_in=True, unit=units[s % len(units)][0])
        ],
        ["kind", "size"],
    ).sort_index())  # fmt: skip
    show(f"built in between ways: {name}", shares(
        [
            c
            for s in range(1000, 1000 + 4 * count)
            for c in way_cases(name, s, built_in=True, unit=units[s % len(units)][0])
        ],
        ["kind", "size"],
    ).sort_index())  # fmt: skip


def main(count, names):
    """Print the tables of all textures."""
    for name in names:
        tables(name, count)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60, sys.argv[2:] or list(TEXTURES))
