"""Faces whose true density and contact are known by closed form, read without a photograph.

Points are laid by a process, drawn as discs with a film that thins out at their edge, read with
errors as large as readings of computed photographs make, and measured by the real functions.
"""

import dataclasses
from dataclasses import dataclass

import numpy as np
from scipy import ndimage
from scipy.spatial import cKDTree

import scrapeview
from scrapeview.bearing import Bearing
from scrapeview.columns import columns_of, table
from scrapeview.figures import measure_figures
from scrapeview.film import Film, Heaviness, Separability
from scrapeview.plane import Plane, View, face_from
from scrapeview.result import Reading
from scrapeview.settings import Settings

SIZE_MM = (200.0, 100.0)
MARGIN_MM = 6.0
PX_PER_MM = 3.0
FILM_EDGE_MM = 0.36
"""Over this breadth film grows from nothing to its full thickness."""
SHOWN = 0.98
"""Share of the points that any one print shows."""
VARIES = 0.05
"""By which share the radius of a point varies from print to print."""
SQUARE_INCH = 645.16


@dataclass(frozen=True)
class Process:
    """How points are laid.

    Parameters
    ----------
    name : str
    site_mm : float
        Points stand on jittered sites this far apart.
    kept : float
        Mean share of the sites that bear a point.
    patch_mm : float
        How far patches of more and fewer points reach, 0 without.
    patchy, slope : float
        By which share of its mean the density goes up and down in patches, and from end to end.
    size_slope : float
        The same for the area of the points.
    radius_mm : (float, float)
        Least and largest radius.
    """

    name: str
    site_mm: float
    kept: float = 1.0
    patch_mm: float = 0.0
    patchy: float = 0.0
    slope: float = 0.0
    size_slope: float = 0.0
    radius_mm: tuple[float, float] = (0.9, 1.6)

    @property
    def ppsi(self) -> float:
        """Expected points per square inch of a print."""
        return SQUARE_INCH * SHOWN * self.kept / self.site_mm**2

    @property
    def contact_percent(self) -> float:
        """Expected contact of a print: the discs do not overlap."""
        low, high = self.radius_mm
        mean_square = (low**2 + low * high + high**2) / 3
        # more points and larger ones at the same end
        mean_square *= 1 + self.slope * self.size_slope / 3
        mean_square *= 1 + VARIES**2
        return 100 * np.pi * mean_square * SHOWN * self.kept / self.site_mm**2


PROCESSES = (
    Process("even lattice", 5.4, radius_mm=(1.2, 2.3)),
    Process("random, apart", 3.6, kept=0.45, radius_mm=(0.8, 1.7)),
    Process("patches of 12 mm", 3.6, kept=0.45, patch_mm=12, patchy=0.6, radius_mm=(0.8, 1.7)),
    Process(
        "patches of 30 mm, gradient", 3.6, kept=0.45, patch_mm=30, patchy=0.4, slope=0.4,
        size_slope=0.3, radius_mm=(0.8, 1.5),
    ),
)  # fmt: skip


def laid_points(process, size_mm, rng):
    """x, y and radius of the points of one face and a margin round it."""
    site = process.site_mm
    x, y = (np.arange(-MARGIN_MM, side + MARGIN_MM, site) for side in size_mm)
    places = np.array([(a, b) for a in x for b in y]) + rng.uniform(0, site, 2)
    low, high = process.radius_mm
    radius = rng.uniform(low, high, len(places))
    along = 2 * (places[:, 0] / size_mm[0]) - 1
    bearing = process.kept * (1 + process.slope * along)
    if process.patch_mm:
        bearing *= 1 + process.patchy * patches(places, size_mm, process.patch_mm, rng)
    stays = rng.random(len(places)) < bearing
    # radii grow by area, so that the mean area stays
    radius *= np.sqrt(np.maximum(0.1, 1 + process.size_slope * along))
    room = np.maximum(0, site / 2 - radius)
    places += rng.uniform(-1, 1, places.shape) * room[:, None]
    return np.column_stack((places, radius))[stays]


def patches(places, size_mm, patch_mm, rng):
    """A smooth field at places, -1 to 1 and 0 in the mean."""
    step = 2.0
    shape = [int((side + 4 * MARGIN_MM) / step) for side in size_mm]
    field = ndimage.gaussian_filter(rng.standard_normal(shape), patch_mm / 2 / step, mode="wrap")
    # the standard deviation by its closed form, so that the mean over all fields stays 0
    field *= np.sqrt(4 * np.pi) * patch_mm / 2 / step
    at = ((places + 2 * MARGIN_MM) / step).T
    return np.tanh(ndimage.map_coordinates(field, at, order=1, mode="wrap"))


def printed(points, rng):
    """The points one print shows: the same, each a little larger or smaller, a few not."""
    shown = points[rng.random(len(points)) < SHOWN].copy()
    shown[:, 2] *= rng.normal(1, VARIES, len(shown))
    return shown


def reading_of(points, size_mm, rng, *, errors=True, outlines_mm=None, cell_mm=25.4, **changed):
    """A reading of one print, with the errors that readings make."""
    settings = Settings(cell_mm=cell_mm)
    plane = Plane.from_corners(_corners_px(size_mm), size_mm)
    photo_px = tuple(round((side + 12) * 8) for side in size_mm)
    outlines_px = None if outlines_mm is None else [plane.to_px(o) for o in outlines_mm]
    face = face_from(plane, photo_px, outlines_px)
    view = _view(size_mm)
    regions = face.masks(view)
    share = _film_share(points, view, rng.normal(0, 0.075 * FILM_EDGE_MM) if errors else 0.0)
    contact = (share > 0.5) & (regions > 0)
    nothing = np.zeros_like(contact)
    counted = points_table(points, regions, view, rng, errors=errors)
    bearing = Bearing(
        contact, counted, contact.astype(np.int32), nothing, changed.pop("merged_percent", 0.0)
    )
    separability = Separability(1.0, 10.0, 0.9, True, "A print was found.")
    heaviness = Heaviness(changed.pop("haze_percent", 4.0), 0.0, 0.0)
    film = Film("blue", "", share, 0.5, contact, nothing, separability, heaviness)
    figures = measure_figures(face, view, regions, film, bearing, plane, settings)
    found = Reading(
        is_print=True, reason=separability.reason, marking="blue", undercoat="",
        separability=separability, heaviness=heaviness, checks=(), contact_mask=contact,
        px_per_mm=PX_PER_MM, origin_mm=view.origin_mm, regions_mm=face.regions_mm,
        openings_mm=(), plane=plane, settings=settings, corrections=(), photo_sha256="",
        photo_size_px=photo_px, photo_notes=(), taken_at=None, read_at_utc="",
        versions={"scrapeview": scrapeview.__version__}, **vars(figures),
    )  # fmt: skip
    return dataclasses.replace(found, **changed)


def points_table(points, regions, view, rng, *, errors=True):
    """The points counted: near ones told apart and faint ones may be too many or too few."""
    column, row = np.rint(view.to_view(points[:, :2])).astype(int).T
    height, width = regions.shape
    seen = (row >= 0) & (row < height) & (column >= 0) & (column < width)
    region = np.where(seen, regions[row.clip(0, height - 1), column.clip(0, width - 1)], 0)
    points, region = points[region > 0], region[region > 0]
    near = cKDTree(points[:, :2]).query(points[:, :2], k=2)[0][:, 1] if len(points) > 1 else 99.0
    split = np.asarray(near < points[:, 2] * 2.2)
    faint = rng.random(len(points)) < 0.03
    if errors:
        off = rng.normal(0, 0.005) + split * rng.uniform(-0.05, 0.05)
        off += faint * rng.uniform(-0.25, 0.25)
        wrong = rng.random(len(points)) < abs(off)
        missed, twice = wrong & (off < 0), wrong & (off > 0)
        order = np.concatenate((np.flatnonzero(~missed), np.flatnonzero(twice)))
        points, region, split, faint = (each[order] for each in (points, region, split, faint))
    values = {c.name: np.zeros(len(points)) for c in columns_of("points")}
    values |= {"x_mm": points[:, 0], "y_mm": points[:, 1], "diameter_mm": 2 * points[:, 2]}
    values |= {"area_mm2": np.pi * points[:, 2] ** 2, "split": split, "faint": faint}
    values |= {"region": region, "film_share": np.ones(len(points))}
    return table("points", values)


def _corners_px(size_mm):
    w, h = size_mm
    return (np.array([(0, 0), (w, 0), (w, h), (0, h)]) + 6) * 8.0 - 0.5


def _view(size_mm):
    shape = tuple(round((side + 2 * MARGIN_MM) * PX_PER_MM) for side in size_mm[::-1])
    origin = (0.5 / PX_PER_MM - MARGIN_MM,) * 2
    return View(np.zeros((1, 1, 3), np.uint8), np.ones(shape, bool), PX_PER_MM, origin)


def _film_share(points, view, grown_mm):
    """Film as a share of its full thickness: half at the edge of each disc."""
    height, width = view.valid.shape
    share = np.zeros((height, width), np.float32)
    at = (points[:, :2] - view.origin_mm) * PX_PER_MM
    for (x, y), radius in zip(at, points[:, 2] * PX_PER_MM, strict=True):
        reach = int(radius + FILM_EDGE_MM * PX_PER_MM) + 2
        x0, y0 = max(0, int(x) - reach), max(0, int(y) - reach)
        x1, y1 = min(width, int(x) + reach + 2), min(height, int(y) + reach + 2)
        if x0 >= x1 or y0 >= y1:
            continue
        away = np.hypot(np.arange(x0, x1)[None, :] - x, np.arange(y0, y1)[:, None] - y)
        depth_mm = (radius - away) / PX_PER_MM + grown_mm
        here = np.clip(0.5 + depth_mm / FILM_EDGE_MM, 0, 1)
        share[y0:y1, x0:x1] = np.maximum(share[y0:y1, x0:x1], here)
    return share
