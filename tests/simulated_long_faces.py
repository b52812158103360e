"""Long faces of known step, tilt and twist, printed placement by placement by the contact model.

A face is a plane a stretch, texture and, if asked, waves and smooth form; each placement is the
reference pressed on its part of one and the same height map until its load is balanced.
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from scrapeview.bearing import Interval
from scrapeview.columns import columns_of, table
from scrapeview.film import Heaviness, Separability
from scrapeview.judge.inline.estimates import PlacedPrint
from scrapeview.judge.verdict.stretches import JudgedPrint
from scrapeview.placements import Placement
from scrapeview.plane import Plane
from scrapeview.result import Reading
from scrapeview.settings import Settings
from scrapeview.simulate.contact import HeightMap, Strokes, cut, press
from scrapeview.simulate.fields import generator, grid_over, smooth_field

PX_PER_MM = 2.0
SIZE_MM = (1200.0, 120.0)
LAID = ((0.0, 500.0), (350.0, 850.0), (700.0, 1200.0))
"""Three placements of a reference of 500 mm that overlap by 150 mm."""
JOINTS_MM = (425.0, 775.0)
WAYS_MM = (600.0, 190.0)
WAY_MM = 40.0
PAST_BORDER_MM = 12.0
FILM_UM, LOAD_UM = 4.0, 0.15


@dataclass(frozen=True, kw_only=True)
class Texture:
    """What a face is covered with.

    Parameters
    ----------
    um, waves_mm : float
        Standard deviation and size of Gaussian texture.
    long_um, long_mm : float
        Of waviness.
    crown_um : float
        Height of a smooth crown over the whole length.
    strokes : bool
        Scraper strokes instead of Gaussian texture.
    """

    um: float = 2.0
    waves_mm: tuple[float, float] = (3.0, 3.0)
    long_um: float = 0.0
    long_mm: tuple[float, float] = (40.0, 40.0)
    crown_um: float = 0.0
    strokes: bool = False


@dataclass(frozen=True, eq=False)
class LongFace:
    """Heights, and the film unit: what is not the stretches' planes, as one deviation."""

    height: HeightMap
    unit_um: float


@dataclass(frozen=True, kw_only=True)
class Bend:
    """How the stretch right of a joint lies against that left of it: um, and um per m."""

    at_mm: float
    step_um: float = 0.0
    along_um_m: float = 0.0
    across_um_m: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Rub:
    """One rub: film, load, and what went wrong: a lean after settling, a rock about the middle.

    `lean_um` and `rock_um` are heights at the ends of the reference.
    """

    film_um: float = FILM_UM
    load_um: float = LOAD_UM
    lean_um: float = 0.0
    rock_um: float = 0.0


RUB = Rub()


def textured(seed, size_mm, texture=None, *, px_per_mm=PX_PER_MM):
    """Heights without stretches, and the deviation of all of them."""
    texture = texture or Texture()
    grid = grid_over(size_mm, 0.0, px_per_mm)
    rng = generator(seed, "long face")
    metal = np.ones(grid.shape, bool)
    if texture.strokes:
        height = _scraped(rng, size_mm, grid)
        height = height * texture.um / height.std()
    else:
        height = texture.um * smooth_field(rng, grid, texture.waves_mm).astype(float)
    if texture.long_um:
        height = height + texture.long_um * smooth_field(rng, grid, texture.long_mm)
    return HeightMap(height, metal, grid), float(height.std())


def _scraped(rng, size_mm, grid):
    """Heights cut by strokes; those past the borders reach into the face like all others."""
    wide = grid_over(size_mm, PAST_BORDER_MM, grid.px_per_mm)
    fine = 0.25 * smooth_field(rng, wide, (1.2, 0.8))
    face = HeightMap(fine, np.ones(wide.shape, bool), wide)
    for direction in (45.0, -45.0, 45.0):
        strokes = Strokes(
            length_mm=8.5, width_mm=3.6, depth_um=4.0, direction_deg=direction,
            pitch_mm=(8.0, 5.4), jitter=0.22,
        )  # fmt: skip
        face = cut(face, strokes, rng)
    past = round(PAST_BORDER_MM * grid.px_per_mm)
    return face.height_um[past:-past, past:-past].astype(float)


def places_of(grid):
    """x and y of the columns and rows, mm."""
    rows, columns = grid.shape
    return (
        np.arange(columns) / grid.px_per_mm + grid.origin_mm[0],
        np.arange(rows) / grid.px_per_mm + grid.origin_mm[1],
    )


def bent(height, bends=(), *, crown_um=0.0):
    """Heights with the stretches' planes and a smooth crown added."""
    x, y = places_of(height.grid)
    added = np.zeros(height.grid.shape)
    middle = height.grid.size_mm[1] / 2
    for bend in bends:
        right = np.maximum(x - bend.at_mm, 0)
        added += (bend.along_um_m / 1000 * right + bend.step_um * (x > bend.at_mm))[None, :]
        added += np.outer(y - middle, bend.across_um_m / 1000 * (x > bend.at_mm))
    along = 2 * x / height.grid.size_mm[0] - 1
    added += crown_um * (1 - along**2)[None, :]
    return replace(height, height_um=height.height_um + added)


def contact_of(height, x_mm, rub=RUB):
    """Contact of a reference that covers the columns from x_mm[0] to x_mm[1]."""
    x, _ = places_of(height.grid)
    here = (x >= x_mm[0]) & (x < x_mm[1])
    part = HeightMap(height.height_um[:, here], height.metal[:, here], height.grid)
    gap = press(part, rub.load_um).gap_um
    along = np.linspace(-1, 1, here.sum())[None, :]
    gap = gap + rub.lean_um * along - rub.rock_um * np.abs(along)
    contact = np.zeros(height.grid.shape, bool)
    contact[:, here] = (gap < rub.film_um / 2) & part.metal
    return contact


def shim_contact(height, shim_um, at_mm, rub=RUB):
    """Contact of a reference as long as the face that rests on a shim across it, 10 mm wide."""
    x, _ = places_of(height.grid)
    strip = np.abs(x - at_mm) < 5
    raised = height.height_um.copy()
    raised[:, strip] = np.quantile(raised, 0.95) + shim_um
    contact = contact_of(replace(height, height_um=raised), (0.0, height.grid.size_mm[0]), rub)
    contact[:, strip] = False
    return contact


def box(x0, y0, x1, y1):
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dtype=float)


def reading_of_contact(contact, grid, regions_mm, points=None):
    """A reading that knows of its contact, its regions and its points alone."""
    rows, columns = contact.shape
    area = sum(float(np.ptp(r[:, 0]) * np.ptp(r[:, 1])) for r in regions_mm)
    return Reading(
        contact_percent=100 * contact.sum() / grid.px_per_mm**2 / area,
        points_per_square_inch=0.0,
        contact_interval=Interval(0.0, 100.0), ppsi_interval=Interval(0.0, 100.0),
        area_mm2=area, washed_out_percent=0.0, merged_percent=0.0,
        points=table("points", {c.name: np.zeros(0) for c in columns_of("points")})
        if points is None else points,
        cells=pd.DataFrame(), regions=pd.DataFrame(), sizes=pd.DataFrame(),
        worst_square=None, best_square=None, bare_patch=None, evenness=None,
        is_print=True, reason="", marking="blue", undercoat="",
        separability=Separability(1.0, 10.0, 0.9, True, "A print was found."),
        heaviness=Heaviness(4.0, 0.0, 0.0), checks=(), contact_mask=contact,
        px_per_mm=grid.px_per_mm, origin_mm=grid.origin_mm, regions_mm=tuple(regions_mm),
        openings_mm=(), plane=Plane.from_map(grid.px_per_mm, grid.origin_mm),
        settings=Settings(), corrections=(), photo_sha256="",
        photo_size_px=(columns, rows), photo_notes=(), taken_at=None, read_at_utc="",
        versions={},
    )  # fmt: skip


def placed(height, x_mm, name, *, rub=RUB, print_id=1, pass_number=3, ways_mm=None):
    """The print of one placement."""
    contact = contact_of(height, x_mm, rub)
    spans = ways_mm or ((0.0, height.grid.size_mm[1]),)
    regions = [box(x_mm[0], top, x_mm[1], foot) for top, foot in spans]
    reading = reading_of_contact(contact, height.grid, regions)
    placement = Placement(name=name, start_mm=x_mm[0], length_mm=x_mm[1] - x_mm[0])
    return PlacedPrint(JudgedPrint(pass_number, print_id, name, reading), placement)


def prints_along(height, laid=LAID, rubs=None, **told):
    """The prints of all placements along a face: A, B, C."""
    rubs = rubs or [RUB] * len(laid)
    return tuple(
        placed(height, x_mm, chr(ord("A") + i), rub=rub, print_id=i + 1, **told)
        for i, (x_mm, rub) in enumerate(zip(laid, rubs, strict=True))
    )


def pair_of_ways(height):
    """Heights with the metal between two ways of 40 mm, 150 mm apart, taken out."""
    _, y = places_of(height.grid)
    width = height.grid.size_mm[1]
    metal = height.metal & ((y < WAY_MM) | (y > width - WAY_MM))[:, None]
    return replace(height, metal=metal)


def way_lifted(height, *, offset_um=0.0, twist_um_m=0.0, across_um_m=0.0):
    """Heights with the near way's plane moved against the far one's, about halfway between."""
    x, y = places_of(height.grid)
    length, width = height.grid.size_mm
    near = (y > width / 2)[:, None]
    plane = offset_um + twist_um_m / 1000 * (x - length / 2)[None, :]
    plane = plane + across_um_m / 1000 * (y - width / 2)[:, None]
    return replace(height, height_um=height.height_um + near * plane)
