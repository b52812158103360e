"""What lies before the camera, as rasters in mm: the part with its print, and paper laid on it."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from scrapeview.simulate.coating import coat
from scrapeview.simulate.fields import Field, Grid, grid_over
from scrapeview.simulate.marks import MarkField
from scrapeview.simulate.metal import bare_metal
from scrapeview.simulate.pose import Pose
from scrapeview.simulate.result import Truth
from scrapeview.simulate.scene import PrintScene
from scrapeview.simulate.shape import (
    body_cover,
    face_area_mm2,
    face_cover,
    metal_cover,
    plane_size_mm,
)
from scrapeview.simulate.surroundings import add_edges
from scrapeview.units import per_square_inch

LEAST_TEXTURE_PX_PER_MM = 6.0
"""Marks are laid at this scale or finer, whatever the photograph holds."""

Layer = Callable[[PrintScene, Grid, Field], MarkField]


@dataclass(frozen=True, eq=False)
class Surface:
    """Rasters over the face and what lies round it.

    Attributes
    ----------
    grid : their place in mm.
    reflectance : (H, W, 3) linear.
    body : (H, W) share of every pixel that hides the background.
    flash : (H, W) how strongly the metal's strokes flash.
    """

    grid: Grid
    reflectance: Field
    body: Field
    flash: Field

    def widened(self, box_mm: tuple[float, float, float, float]) -> "Surface":
        """Return the surface on a raster that reaches over a box (x0, y0, x1, y1) too."""
        low = np.ceil(-self.grid.to_px(np.array(box_mm[:2]))).astype(int)
        high = np.ceil(self.grid.to_px(np.array(box_mm[2:]))).astype(int) + 1
        left, top = (int(v) for v in np.maximum(low, 0))
        right, foot = (int(v) for v in np.maximum(high - self.grid.shape[::-1], 0))
        if left == top == right == foot == 0:
            return self
        room = ((top, foot), (left, right))
        return Surface(
            _moved(self.grid, -left, -top, (left + right, top + foot)),
            np.pad(self.reflectance, (*room, (0, 0))),
            np.pad(self.body, room),
            np.pad(self.flash, room),
        )

    def seen_by(self, pose: Pose) -> "Surface":
        """Return the part of the surface that a photograph shows, without copying it."""
        width, height = pose.photo_px
        x, y = np.linspace(-2, width + 1, 9), np.linspace(-2, height + 1, 9)
        rim = [(u, v) for u in x for v in y]
        seen = self.grid.to_px(pose.to_mm(np.array(rim)))
        shape = np.array(self.grid.shape[::-1])
        left, top = np.clip(np.floor(seen.min(axis=0)).astype(int) - 4, 0, shape - 1)
        right, foot = np.clip(np.ceil(seen.max(axis=0)).astype(int) + 5, (left + 1, top + 1), shape)
        cut = np.s_[top:foot, left:right]
        grid = _moved(self.grid, left, top, (right - left - shape[0], foot - top - shape[1]))
        return Surface(grid, self.reflectance[cut], self.body[cut], self.flash[cut])


def lay_surface(scene: PrintScene, lay: Layer) -> tuple[Surface, MarkField]:
    """Return the part with its print, and the marks by themselves.

    Parameters
    ----------
    scene : what is printed on which face.
    lay : gives the marks on the raster.
    """
    shape = scene.shape
    texture_px_per_mm = max(scene.camera.px_per_mm, LEAST_TEXTURE_PX_PER_MM)
    grid = grid_over(plane_size_mm(shape), shape.border_mm + 1.5, texture_px_per_mm)
    metal = metal_cover(shape, grid)
    marks = lay(scene, grid, metal)
    bare, flash = bare_metal(scene, grid)
    coated = coat(scene, grid, bare, marks)
    body = body_cover(shape, grid)
    add_edges(coated, metal, body, grid)
    flash *= metal
    return Surface(grid, coated, body, flash), marks


def truth_of(scene: PrintScene, grid: Grid, marks: MarkField) -> Truth:
    """Return what is exactly known of a print that was laid on a raster."""
    face = face_cover(scene.shape, grid)
    area_mm2 = face_area_mm2(scene.shape)
    in_contact = float((marks.contact * face).sum(dtype=np.float64))
    at = np.round(grid.to_px(marks.points[["x_mm", "y_mm"]].to_numpy(float))).astype(int)
    at = np.clip(at, 0, np.array(grid.shape[::-1]) - 1)
    points = marks.points[face[at[:, 1], at[:, 0]] >= 0.5].reset_index(drop=True)
    return Truth(
        points=points,
        contact_percent=100 * in_contact / float(face.sum(dtype=np.float64)),
        points_per_square_inch=per_square_inch(len(points), area_mm2),
        area_mm2=area_mm2,
        countable=marks.countable,
        contact_mask=(marks.contact > 0.5) & (face > 0.5),
        mask_px_per_mm=grid.px_per_mm,
        mask_origin_mm=grid.origin_mm,
    )


def _moved(grid: Grid, left: int, top: int, more: tuple[int, int]) -> Grid:
    """Return a grid that begins at pixel (left, top) and has more columns and rows."""
    px = grid.px_per_mm
    x, y = grid.origin_mm[0] + left / px, grid.origin_mm[1] + top / px
    rows, columns = grid.shape[0] + int(more[1]), grid.shape[1] + int(more[0])
    x0, y0 = x - 0.5 / px, y - 0.5 / px
    box = (x0, y0, x0 + columns / px, y0 + rows / px)
    return replace(grid, origin_mm=(x, y), shape=(rows, columns), covers_mm=box)
