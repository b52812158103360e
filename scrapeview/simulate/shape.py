"""Outline and openings of a face, as polygons in mm and as exact pixel cover."""

import numpy as np
from numpy.typing import NDArray

from scrapeview.simulate.fields import Field, Grid, box_cover, disc_cover, grid_over
from scrapeview.simulate.scene import FaceShape

Polygon = NDArray[np.float64]


def plane_size_mm(shape: FaceShape) -> tuple[float, float]:
    """Return the bounding rectangle whose corners fix the plane."""
    if shape.kind == "disc":
        diameter = min(shape.size_mm)
        return diameter, diameter
    return shape.size_mm


def outline_polygons(shape: FaceShape) -> list[Polygon]:
    """Return the face's outline, one polygon (N, 2) a region, in mm."""
    if shape.kind == "disc":
        diameter, _ = plane_size_mm(shape)
        return [_circle((diameter / 2, diameter / 2), diameter / 2)]
    return [_box(box) for box in _region_boxes(shape)]


def opening_polygons(shape: FaceShape) -> list[Polygon]:
    """Return slots and holes as polygons (N, 2) in mm."""
    slots = [_box(box) for box in _slot_boxes(shape)]
    return slots + [_circle((x, y), radius) for x, y, radius in _hole_circles(shape)]


def metal_cover(shape: FaceShape, grid: Grid) -> Field:
    """Return the share of every pixel that is metal of the face or its border, openings out."""
    return _regions_cover(shape, grid, shape.border_mm) * _openings_left(shape, grid)


def face_cover(shape: FaceShape, grid: Grid) -> Field:
    """Return the share of every pixel that belongs to the face, openings out."""
    return _regions_cover(shape, grid, 0.0) * _openings_left(shape, grid)


def body_cover(shape: FaceShape, grid: Grid) -> Field:
    """Return the share of every pixel on the part's whole body: face, border and recesses."""
    if shape.kind == "rails":
        return box_cover(grid, _grown((0.0, 0.0, *shape.size_mm), shape.border_mm))
    return _regions_cover(shape, grid, shape.border_mm)


def face_area_mm2(shape: FaceShape) -> float:
    """Return the face's area without openings, summed at 0.05 mm with exact pixel shares."""
    width, height = plane_size_mm(shape)
    grid = grid_over((width, height), 0.0, 20.0)
    if not shape.slots and not shape.holes and shape.kind != "disc":
        boxes = _region_boxes(shape)
        return float(sum((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in boxes))
    return float(face_cover(shape, grid).sum(dtype=np.float64)) / 400.0


def _regions_cover(shape: FaceShape, grid: Grid, border_mm: float) -> Field:
    if shape.kind == "disc":
        diameter, _ = plane_size_mm(shape)
        return disc_cover(grid, (diameter / 2, diameter / 2), diameter / 2 + border_mm)
    covers = [box_cover(grid, _grown(box, border_mm)) for box in _region_boxes(shape)]
    return np.maximum.reduce(covers)


def _openings_left(shape: FaceShape, grid: Grid) -> Field:
    left = np.ones(grid.shape, np.float32)
    for box in _slot_boxes(shape):
        left *= 1 - box_cover(grid, box)
    for x, y, radius in _hole_circles(shape):
        left *= 1 - disc_cover(grid, (x, y), radius)
    return left


def _region_boxes(shape: FaceShape) -> list[tuple[float, float, float, float]]:
    width, height = shape.size_mm
    if shape.kind == "rails":
        rail = shape.rail_share * width
        return [(0.0, 0.0, rail, height), (width - rail, 0.0, width, height)]
    return [(0.0, 0.0, width, height)]


def _slot_boxes(shape: FaceShape) -> list[tuple[float, float, float, float]]:
    width, height = plane_size_mm(shape)
    return [(x0 * width, y0 * height, x1 * width, y1 * height) for x0, y0, x1, y1 in shape.slots]


def _hole_circles(shape: FaceShape) -> list[tuple[float, float, float]]:
    width, height = plane_size_mm(shape)
    return [(x * width, y * height, radius) for x, y, radius in shape.holes]


def _grown(
    box: tuple[float, float, float, float], by_mm: float
) -> tuple[float, float, float, float]:
    return box[0] - by_mm, box[1] - by_mm, box[2] + by_mm, box[3] + by_mm


def _box(box: tuple[float, float, float, float]) -> Polygon:
    x0, y0, x1, y1 = box
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], float)


def _circle(centre_mm: tuple[float, float], radius_mm: float) -> Polygon:
    """Return 96 corners of a polygon whose area equals the circle's."""
    turn = np.arange(96) * (2 * np.pi / 96)
    reach = radius_mm * np.sqrt(2 * np.pi / (96 * np.sin(2 * np.pi / 96)))
    return np.column_stack(
        [centre_mm[0] + reach * np.cos(turn), centre_mm[1] + reach * np.sin(turn)]
    )
