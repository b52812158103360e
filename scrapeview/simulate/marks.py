"""The print on the raster: thickness of the film, contact, and the points there are."""

from dataclasses import dataclass

import cv2
import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.simulate.fields import Field, Grid, generator, smooth_field, smoothstep
from scrapeview.simulate.points import ANGLES, Points, scatter_points
from scrapeview.simulate.scene import FilmLayer, Marks, PrintScene

SMALLEST_POINT_MM2 = 0.5
"""Pieces smaller than a disc of 0.8 mm are contact but no points."""

POINT_COLUMNS = ("x_mm", "y_mm", "area_mm2", "hollow", "touching", "cut")


@dataclass(frozen=True)
class MarkField:
    """A print as laid on the raster of the face.

    Attributes
    ----------
    contact : share of each pixel in contact, rubbed middles included, metal only.
    thickness : film of the points, 1 = normal, before haze and smear.
    points : one row a mark on metal, columns `POINT_COLUMNS`, wherever its centroid lies.
    countable : False where marks merge so far that a count has no sharp truth.
    """

    contact: Field
    thickness: Field
    points: pd.DataFrame
    countable: bool


def lay_marks(scene: PrintScene, grid: Grid, metal: Field) -> MarkField:
    """Return the print of a scene.

    Parameters
    ----------
    scene : what to print.
    grid : raster over face and border.
    metal : share of every pixel that is metal; nothing is printed elsewhere.
    """
    rng = generator(scene.seed, "marks")
    if scene.marks.kind == "points":
        return _lay_points(scene, grid, metal, rng)
    if scene.marks.kind == "network":
        field = _network_field(scene.marks, grid, rng)
        level = np.quantile(field[metal > 0.99], 1 - scene.marks.cover_percent / 100)
        contact, thickness = _cut_field(field - np.float32(level), grid, scene.film)
        thickness = mottled(thickness, scene.film, grid, rng)
        return field_marks(contact, thickness, grid, metal)
    empty = np.zeros(grid.shape, np.float32)
    return MarkField(empty, empty.copy(), point_table([]), True)


def field_marks(contact: Field, thickness: Field, grid: Grid, metal: Field) -> MarkField:
    """Return marks given as a field; their 8-connected patches are listed, not countable points."""
    contact = contact * metal
    count, labels = cv2.connectedComponents((contact > 0.5).astype(np.uint8), connectivity=8)
    flat = labels.ravel()
    weight = np.where(flat > 0, contact.ravel(), 0).astype(np.float64)
    area = np.bincount(flat, weight, count)[1:]
    rows, columns = np.divmod(np.arange(flat.size), grid.shape[1])
    safe = np.maximum(area, 1e-9)
    x = np.bincount(flat, weight * columns, count)[1:] / safe
    y = np.bincount(flat, weight * rows, count)[1:] / safe
    table = pd.DataFrame(
        {
            "x_mm": x / grid.px_per_mm + grid.origin_mm[0],
            "y_mm": y / grid.px_per_mm + grid.origin_mm[1],
            "area_mm2": area / grid.px_per_mm**2,
            "hollow": np.zeros(count - 1, bool),
            "touching": np.zeros(count - 1, bool),
            "cut": np.zeros(count - 1, bool),
        }
    )
    large = table["area_mm2"] >= SMALLEST_POINT_MM2
    return MarkField(contact, thickness * metal, table[large].reset_index(drop=True), False)


def mottled(thickness: Field, film: FilmLayer, grid: Grid, rng: np.random.Generator) -> Field:
    """Return the film of merged patches varied from place to place, drawn along the rub."""
    slow = smooth_field(rng, grid, (9.0, 6.0), film.smear_deg)
    fine = smooth_field(rng, grid, (2.6, 1.2), film.smear_deg)
    varied = np.exp(film.between_points * slow) * (1 + film.within_point * fine)
    return thickness * np.clip(varied, 0.3, 2.2)


def point_table(rows: list[tuple[float, float, float, bool, bool, bool]]) -> pd.DataFrame:
    """Return the typed table of points, also when there are none."""
    dtypes = dict.fromkeys(POINT_COLUMNS[:3], float) | dict.fromkeys(POINT_COLUMNS[3:], bool)
    return pd.DataFrame(rows, columns=list(POINT_COLUMNS)).astype(dtypes)


def _lay_points(scene: PrintScene, grid: Grid, metal: Field, rng: np.random.Generator) -> MarkField:
    points = scatter_points(scene.marks, grid.covers_mm[:2], grid.size_mm, rng)
    contact = np.zeros(grid.shape, np.float32)
    thickness = np.zeros(grid.shape, np.float32)
    rows = []
    for stamp in _stamps(points, scene.film, grid, rng):
        here = np.s_[
            stamp.top : stamp.top + stamp.cover.shape[0],
            stamp.left : stamp.left + stamp.cover.shape[1],
        ]
        np.maximum(contact[here], stamp.cover, out=contact[here])
        np.maximum(thickness[here], stamp.thickness, out=thickness[here])
        rows.append(_seen_part(stamp, metal[here], grid))
    table = point_table(rows)
    table["hollow"] = points.hollow
    contact *= metal
    table["touching"] = _touching(contact, points, grid)
    mottle = 1 + scene.film.within_point * smooth_field(rng, grid, (1.6, 1.6))
    thickness *= np.clip(mottle, 0.3, 2.0) * metal
    large = table["area_mm2"] >= SMALLEST_POINT_MM2
    return MarkField(contact, thickness, table[large].reset_index(drop=True), True)


@dataclass(frozen=True)
class _Stamp:
    top: int
    left: int
    cover: Field
    thickness: Field


def _stamps(points: Points, film: FilmLayer, grid: Grid, rng: np.random.Generator) -> list[_Stamp]:
    """Return every point on its own little raster; one wholly off the grid is an empty stamp."""
    px = grid.px_per_mm
    centres = grid.to_px(points.xy_mm)
    strength = np.exp(film.between_points * rng.standard_normal(len(centres)))
    tilt = rng.normal(0, 0.12, (len(centres), 2))
    middle = rng.uniform(0.4, 0.62, len(centres))
    slope = np.gradient(np.pad(points.radius_mm, ((0, 0), (1, 1)), mode="wrap"), axis=1)[:, 1:-1]
    slant = 1 / np.sqrt(1 + (slope * ANGLES / (2 * np.pi) / points.radius_mm) ** 2)
    reach = points.radius_mm.max(axis=1, initial=0) * px + max(0.5 * film.edge_mm * px, 1) + 1
    stamps = []
    for n, (cx, cy) in enumerate(centres):
        left, top = max(int(cx - reach[n]), 0), max(int(cy - reach[n]), 0)
        right = min(int(cx + reach[n]) + 2, grid.shape[1])
        bottom = min(int(cy + reach[n]) + 2, grid.shape[0])
        x = (np.arange(left, max(right, left)) - cx).astype(np.float32)
        y = (np.arange(top, max(bottom, top)) - cy).astype(np.float32)
        if not (x.size and y.size):
            none = np.zeros((0, 0), np.float32)
            stamps.append(_Stamp(0, 0, none, none))
            continue
        dx, dy = np.meshgrid(x / px, y / px)
        far, angle = cv2.cartToPolar(dx, dy)
        bin_ = (angle * (ANGLES / (2 * np.pi)) + 0.5).astype(np.int32) % ANGLES
        edge = points.radius_mm[n].astype(np.float32)[bin_]
        lean = slant[n].astype(np.float32)[bin_]
        depth = (edge - far) * lean
        layer = smoothstep(depth / film.edge_mm + 0.5)
        layer *= 1 - film.rim * (1 - np.exp(-np.maximum(depth, 0) / 0.45))
        layer *= 1 + (tilt[n, 0] * dx + tilt[n, 1] * dy) / float(edge.max())
        if points.hollow[n]:
            inner = smoothstep((middle[n] * edge - far) * lean / film.edge_mm + 0.5)
            layer *= 1 - (1 - film.hollow_rest) * inner
        cover = np.clip(depth * px + 0.5, 0, 1)
        stamps.append(_Stamp(top, left, cover, layer * np.float32(strength[n])))
    return stamps


def _seen_part(
    stamp: _Stamp, metal: Field, grid: Grid
) -> tuple[float, float, float, bool, bool, bool]:
    seen = stamp.cover * metal
    total, whole = float(seen.sum()), float(stamp.cover.sum())
    if total <= 0:
        return 0.0, 0.0, 0.0, False, False, False
    x = float(seen.sum(axis=0) @ np.arange(seen.shape[1])) / total + stamp.left
    y = float(seen.sum(axis=1) @ np.arange(seen.shape[0])) / total + stamp.top
    px = grid.px_per_mm
    place = (x / px + grid.origin_mm[0], y / px + grid.origin_mm[1])
    return *place, total / px**2, False, False, total < 0.999 * whole


def _touching(contact: Field, points: Points, grid: Grid) -> NDArray[np.bool_]:
    """Return which points share an 8-connected component of the contact mask with another."""
    count, labels = cv2.connectedComponents((contact > 0.5).astype(np.uint8), connectivity=8)
    at = np.round(grid.to_px(points.xy_mm)).astype(int)
    at = np.clip(at, 0, np.array(grid.shape[::-1]) - 1)
    label = labels[at[:, 1], at[:, 0]]
    shared = np.bincount(label, minlength=count)[label] > 1
    return shared & (label > 0)


def _network_field(marks: Marks, grid: Grid, rng: np.random.Generator) -> Field:
    """Return heights as two crossing directions of scraping leave them."""
    length, width = 1.6 * marks.network_mm, 0.9 * marks.network_mm
    one = smooth_field(rng, grid, (length, width), 40.0)
    two = smooth_field(rng, grid, (length, width), -50.0)
    fine = smooth_field(rng, grid, (width / 2.5, width / 2.5))
    slow = smooth_field(rng, grid, (12 * width, 12 * width))
    return np.maximum(one, two) + 0.25 * fine + 0.3 * slow


def _cut_field(field: Field, grid: Grid, film: FilmLayer) -> tuple[Field, Field]:
    """Return contact and thickness of a field cut at 0, with edges of the film's width."""
    gx = cv2.Sobel(field, cv2.CV_32F, 1, 0, scale=0.125)
    gy = cv2.Sobel(field, cv2.CV_32F, 0, 1, scale=0.125)
    steep = cv2.GaussianBlur(cv2.magnitude(gx, gy), (0, 0), 0.15 * grid.px_per_mm + 0.5)
    depth_px = field / (steep + 0.02 / grid.px_per_mm)
    contact = np.clip(depth_px + 0.5, 0, 1)
    depth = depth_px / grid.px_per_mm
    thickness = smoothstep(depth / film.edge_mm + 0.5)
    return contact, thickness * (1 - film.rim * (1 - np.exp(-np.maximum(depth, 0) / 0.45)))
