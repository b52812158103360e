"""Prints whose points are known: drawn as discs on a mask, or photographed by the simulation."""

import dataclasses

import numpy as np

import scrapeview
from scrapeview.bearing import Interval
from scrapeview.columns import columns_of, table
from scrapeview.simulate import PrintScene, render
from scrapeview.simulate.marks import field_marks

SIZE_MM = (96.0, 64.0)
"""No face here is square, and its sides are whole squares of the grid."""


def spread_points(seed, spacing_mm=5.0, radius_mm=(0.8, 1.3), size_mm=SIZE_MM):
    """x, y and diameter of points strewn about a lattice, none of which touch."""
    rng = np.random.default_rng(seed)
    x, y = (np.arange(spacing_mm / 2 + 1, side - 1.5, spacing_mm) for side in size_mm)
    places = np.array([(a, b) for a in x for b in y])
    places += rng.uniform(-0.22, 0.22, places.shape) * spacing_mm
    radius = rng.uniform(*radius_mm, len(places))
    return np.column_stack((places, 2 * radius))


def strewn_points(seed, count=240, apart_mm=3.0, radius_mm=(0.8, 1.3), size_mm=SIZE_MM):
    """x, y and diameter of points strewn at random, none nearer to another than `apart_mm`."""
    rng = np.random.default_rng(seed)
    kept = np.empty((0, 2))
    for place in rng.uniform((1, 1), np.subtract(size_mm, 1), (40 * count, 2)):
        if len(kept) < count and (np.hypot(*(kept - place).T) > apart_mm).all():
            kept = np.vstack((kept, place))
    return np.column_stack((kept, 2 * rng.uniform(*radius_mm, len(kept))))


def print_of(
    base, points, *, size_mm=SIZE_MM, px_per_mm=5.0, margin_mm=3.0, start_mm=(0.0, 0.0),
    openings_mm=(), merged_percent=0.0, moved_mm=(0.0, 0.0),
):  # fmt: skip
    """A reading with discs as its contact; only what comparing needs is true of it."""
    points = np.asarray(points, dtype=float).reshape(-1, 3) + np.array([*moved_mm, 0.0])
    low = np.array(start_mm) - margin_mm + 0.5 / px_per_mm
    width, height = (round((side + 2 * margin_mm) * px_per_mm) for side in size_mm)
    x = low[0] + np.arange(width)[None, :] / px_per_mm
    y = low[1] + np.arange(height)[:, None] / px_per_mm
    contact = np.zeros((height, width), dtype=bool)
    for px, py, across in points:
        contact |= (x - px) ** 2 + (y - py) ** 2 < across**2 / 4
    (x0, y0), (x1, y1) = start_mm, np.add(start_mm, size_mm)
    face = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    contact &= (x > x0) & (x < x1) & (y > y0) & (y < y1)
    photo_px = 8.0
    corners = (face - start_mm + 6) * photo_px - 0.5
    values = {c.name: np.zeros(len(points)) for c in columns_of("points")}
    values |= {"x_mm": points[:, 0], "y_mm": points[:, 1], "diameter_mm": points[:, 2]}
    values["area_mm2"] = np.pi / 4 * points[:, 2] ** 2
    plane = scrapeview.Plane.from_corners(corners, size_mm)
    to_px = plane.mm_to_px @ np.array([[1, 0, -x0], [0, 1, -y0], [0, 0, 1.0]])
    area = float(np.prod(size_mm))
    return dataclasses.replace(
        base,
        contact_mask=contact,
        px_per_mm=px_per_mm,
        origin_mm=tuple(low),
        regions_mm=(face,),
        openings_mm=tuple(np.array(hole, dtype=float) for hole in openings_mm),
        points=table("points", values),
        plane=dataclasses.replace(plane, mm_to_px=to_px, face_mm=(face,)),
        photo_size_px=tuple(int((side + 12) * photo_px) for side in size_mm),
        merged_percent=merged_percent,
        contact_percent=100 * contact.sum() / px_per_mm**2 / area,
        contact_interval=Interval(0.0, 100.0),
        points_per_square_inch=len(points) * 645.16 / area,
        ppsi_interval=Interval(0.0, 100.0),
        washed_out_percent=0.0,
        area_mm2=area,
        corrections=(),
    )


def photographed(points, *, seed, size_mm=SIZE_MM, corners_off_px=(0.0, 0.0), **camera):
    """The reading of a computed photograph of a print with known points."""

    def lay(_, grid, metal):
        x = (np.arange(grid.shape[1]) / grid.px_per_mm + grid.origin_mm[0])[None, :]
        y = (np.arange(grid.shape[0]) / grid.px_per_mm + grid.origin_mm[1])[:, None]
        depth = np.full(grid.shape, -1.0, np.float32)
        for px, py, across in points:
            rows = np.abs(y[:, 0] - py) < across
            columns = np.abs(x[0] - px) < across
            box = np.ix_(rows, columns)
            near = across / 2 - np.hypot(x[:, columns] - px, y[rows] - py)
            depth[box] = np.maximum(depth[box], near)
        contact = np.clip(depth * grid.px_per_mm + 0.5, 0, 1).astype(np.float32)
        thickness = np.clip(depth / 0.18 + 0.5, 0, 1).astype(np.float32)
        return field_marks(contact, thickness, grid, metal)

    scene = PrintScene(seed=seed).with_(shape={"size_mm": size_mm}, camera=camera)
    shot = render(scene, lay=lay)
    plane = scrapeview.Plane.from_corners(shot.corners_px + corners_off_px, size_mm=size_mm)
    return scrapeview.read_print(shot.jpeg, plane=plane, marking=shot.marking)
