"""The layers of an overlay, each drawn onto a canvas from a reading."""

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from scrapeview.bearing.components import MARKS, label
from scrapeview.charts import marks, shown
from scrapeview.charts.canvas import Canvas
from scrapeview.charts.shown import Units
from scrapeview.result import Reading

DIM_SHARE = 0.68
TOUCHING = 1.5
"""Pieces of one mark whose middles are nearer than this many times their radii were split."""


def dim_outside(canvas: Canvas, inside: NDArray[np.bool_]) -> None:
    """Darken what is not face: around it and in its openings; a thin line runs round it."""
    canvas.blend(~inside, marks.NIGHT, DIM_SHARE)
    canvas.outline(inside, marks.WHITE, max(1, line_width(canvas) // 2))


def hatch(canvas: Canvas, mask: NDArray[np.bool_]) -> None:
    """Hatch what glare has washed out."""
    if not mask.any():
        return
    pitch = max(6, round(canvas.shape[1] / 160))
    y, x = np.indices(canvas.shape)
    stripe = (x + y) % pitch
    canvas.blend(mask & (stripe < pitch // 2), marks.NIGHT, 0.75)
    canvas.blend(mask & (stripe >= pitch // 2), marks.WHITE, 0.75)
    canvas.outline(mask, marks.NIGHT, 1)


def draw_cells(canvas: Canvas, reading: Reading) -> None:
    """Draw the grid of cells, faintly."""
    side = reading.settings.cell_mm
    grid = Canvas(canvas.rgb.copy(), canvas.px_per_mm, canvas.origin_mm)
    for x, y in reading.cells[["x_mm", "y_mm"]].to_numpy():
        square = canvas.to_px([[x, y], [x + side, y], [x + side, y + side], [x, y + side]])
        grid.line(square, marks.CELLS.colour, 1, closed=True)
    canvas.rgb[:] = cv2.addWeighted(canvas.rgb, 0.4, grid.rgb, 0.6, 0)


def draw_contact(canvas: Canvas, reading: Reading, merged: NDArray[np.bool_]) -> None:
    """Draw the outlines of contact, those of merged patches in a style of their own."""
    at = reading.px_per_mm, reading.origin_mm
    single = canvas.brought_mask(reading.contact_mask & ~merged, *at)
    canvas.outline(single, marks.OUTLINE.colour, max(1, line_width(canvas) // 2))
    dash = 7.0 * line_width(canvas)
    patches = canvas.brought_mask(merged, *at)
    canvas.blend(patches, marks.MERGED.colour, 0.12)
    canvas.outline(patches, marks.MERGED.colour, line_width(canvas), dash_px=dash)


def merged_mask(reading: Reading) -> NDArray[np.bool_]:
    """Contact that lies in merged patches, found from the points flagged as merged."""
    merged = reading.points[reading.points["merged"]]
    nothing = np.zeros_like(reading.contact_mask)
    if merged.empty or not reading.contact_mask.any():
        return nothing
    labels, areas = label(reading.contact_mask, MARKS)
    held = np.argwhere(labels > 0)
    places = (merged[["y_mm", "x_mm"]].to_numpy() - reading.origin_mm[::-1]) * reading.px_per_mm
    # a middle may lie beside its own mark, as that of a crescent does
    nearest = held[cKDTree(held).query(places)[1]]
    in_patch = np.zeros(len(areas), dtype=bool)
    in_patch[labels[nearest[:, 0], nearest[:, 1]]] = True
    return np.asarray(in_patch[labels])


def draw_splits(canvas: Canvas, reading: Reading) -> None:
    """Draw a short line where touching points were split."""
    width = max(1, line_width(canvas) // 2)
    for ends in split_necks_mm(reading):
        canvas.line(canvas.to_px(ends), marks.SPLIT.colour, width)


def split_necks_mm(reading: Reading) -> NDArray[np.float64]:
    """Both ends (N, 2, 2) of a short line at every neck where touching points were split, mm.

    The line lies where two circles of the points' areas have equal power, square to the line
    between their middles.
    """
    points = reading.points
    split = points[points["split"] & ~points["merged"]]
    if len(split) < 2:
        return np.empty((0, 2, 2))
    xy, radius = split[["x_mm", "y_mm"]].to_numpy(), split["diameter_mm"].to_numpy() / 2
    mark = split["mark"].to_numpy()
    near = cKDTree(xy).query_pairs(2 * TOUCHING * float(radius.max()), output_type="ndarray")
    one, two = near[mark[near[:, 0]] == mark[near[:, 1]]].T
    apart = np.linalg.norm(xy[two] - xy[one], axis=1)
    touching = (apart < TOUCHING * (radius[one] + radius[two])) & (apart > 0)
    one, two, apart = one[touching], two[touching], apart[touching]
    along = (xy[two] - xy[one]) / apart[:, None]
    share = (apart**2 + radius[one] ** 2 - radius[two] ** 2) / (2 * apart)
    middle = xy[one] + along * np.clip(share, 0.1 * apart, 0.9 * apart)[:, None]
    half = 0.6 * np.minimum(radius[one], radius[two])[:, None] * along[:, ::-1] * (-1, 1)
    return np.stack((middle - half, middle + half), axis=1)


def draw_points(canvas: Canvas, reading: Reading) -> None:
    """Draw a marker at the middle of every counted point, its shape by its flags."""
    points = reading.points
    names = points_by_mark(reading)
    xy = canvas.to_px(points[["x_mm", "y_mm"]].to_numpy())
    radius = marker_radius(canvas, reading)
    for mark, chosen in names:
        for x, y in xy[chosen]:
            marks.draw_marker(canvas, mark, x, y, radius)


def draw_by_hand(canvas: Canvas, reading: Reading) -> None:
    """Draw a marker round every point a hand has touched, and the areas it left out."""
    touched = reading.points[reading.points["by_hand"]]
    radius = 1.8 * marker_radius(canvas, reading)
    for x, y in canvas.to_px(touched[["x_mm", "y_mm"]].to_numpy()):
        marks.draw_marker(canvas, marks.BY_HAND, x, y, radius)
    width = line_width(canvas)
    for polygon in reading.left_out_mm:
        border = canvas.to_px(polygon)
        canvas.line(border, marks.NIGHT, 2 * width + 1, closed=True)
        canvas.line(border, marks.LEFT_OUT.colour, width, closed=True, dash_px=5.0 * width)


def points_by_mark(reading: Reading) -> list[tuple[marks.Mark, NDArray[np.bool_]]]:
    """Which points get which marker: each one marker, the flag that matters most first."""
    points = reading.points
    left = np.ones(len(points), dtype=bool)
    shared = []
    for mark, flag in (
        (marks.MERGED_POINT, "merged"), (marks.HOLLOW, "hollow"),
        (marks.FAINT, "faint"), (marks.EDGE, "edge"),
    ):  # fmt: skip
        chosen = points[flag].to_numpy() & left
        left &= ~chosen
        shared.append((mark, chosen))
    return [(marks.POINT, left), *shared]


def marker_radius(canvas: Canvas, reading: Reading) -> float:
    """Radius of the markers: by the points' own size, so that they stay inside them."""
    typical = reading.evenness.median_diameter_mm * canvas.px_per_mm
    return float(np.clip(typical / 6, 1.6, 0.008 * max(canvas.shape)))


def draw_bare(canvas: Canvas, reading: Reading) -> None:
    """Draw the largest circle that touches no contact."""
    patch = reading.bare_patch
    if patch.circle_mm <= 0:
        return
    turn = np.linspace(0, 2 * np.pi, 181)
    ring = np.column_stack((np.cos(turn), np.sin(turn))) * patch.circle_mm / 2
    line = canvas.to_px(ring + np.array([patch.x_mm, patch.y_mm]))
    width = line_width(canvas)
    canvas.line(line, marks.WHITE, 2 * width + 1)
    canvas.line(line, marks.BARE.colour, width, dash_px=6.0 * width)


def worst_label(reading: Reading, units: Units) -> str:
    """Return what the worst square is called, with its count where that can be relied on."""
    square = reading.worst_square
    if square is None or not reading.count_reliable:
        return marks.WORST.name
    value = shown.points_by(square.points_per_square_inch, units)
    return f"{marks.WORST.name}, {value:.0f} points/{shown.points_unit(units)}"


def draw_worst(canvas: Canvas, reading: Reading) -> None:
    """Draw the square with the fewest points."""
    square = reading.worst_square
    if square is None:
        return
    x, y, side = square.x_mm, square.y_mm, square.side_mm
    corners = canvas.to_px([[x, y], [x + side, y], [x + side, y + side], [x, y + side]])
    width = line_width(canvas)
    canvas.line(corners, marks.WHITE, 2 * width + 2, closed=True)
    canvas.line(corners, marks.WORST.colour, width + 1, closed=True)


def line_width(canvas: Canvas) -> int:
    """Width of a plain line, px: the same share of every overlay, so that it survives shrinking."""
    return max(2, round(max(canvas.shape) / 500))
