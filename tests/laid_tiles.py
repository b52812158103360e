"""Tiles laid along a long face and what cameras see of them, by OpenCV's own camera model.

No picture is rendered: corners are projected by `cv2.projectPoints`, which shares no code with what
is tested, and moved by noise.
"""

from dataclasses import dataclass, replace

import cv2
import numpy as np

from scrapeview.plane.cards import TILES
from scrapeview.plane.joined.solved import Lens
from scrapeview.plane.markers import FoundMarker

FOCAL_HALVES = 1.5
"""Focal length in halves of the photograph's diagonal: a telephone's usual camera."""
IDEAL = Lens()
EDGE_PX = 4
LEAST_SIDE_PX = 25


@dataclass(frozen=True)
class Shot:
    """One photograph: its camera over the plane z = 0, whose z points away from the camera."""

    size_px: tuple[int, int]
    at_mm: tuple[float, float]
    px_per_mm: float
    tilt_deg: tuple[float, float]
    turn_deg: float = 0.0
    lens: Lens = IDEAL

    @property
    def focal_px(self):
        return FOCAL_HALVES * self.half_px

    @property
    def half_px(self):
        return float(np.hypot(*self.size_px)) / 2

    @property
    def camera(self):
        """Matrix of the camera, and its distortion as OpenCV counts it: in focal lengths."""
        f, (width, height) = self.focal_px, self.size_px
        matrix = np.array([[f, 0, (width - 1) / 2], [0, f, (height - 1) / 2], [0, 0, 1.0]])
        share = f / self.half_px
        return matrix, np.array([self.lens.k1 * share**2, self.lens.k2 * share**4, 0, 0, 0])

    @property
    def pose(self):
        tilt = cv2.Rodrigues(np.deg2rad(np.append(self.tilt_deg, 0.0)))[0]
        turn = cv2.Rodrigues(np.array([0, 0, np.deg2rad(self.turn_deg)]))[0]
        rotation = tilt @ turn
        looked_at = np.append(self.at_mm, 0.0)
        return rotation, np.array([0, 0, self.focal_px / self.px_per_mm]) - rotation @ looked_at

    def picture(self, xyz_mm):
        """Pixels (N, 2) of points (N, 3), distorted."""
        rotation, shift = self.pose
        matrix, distortion = self.camera
        points = np.asarray(xyz_mm, dtype=float).reshape(-1, 1, 3)
        seen = cv2.projectPoints(points, cv2.Rodrigues(rotation)[0], shift, matrix, distortion)[0]
        return seen.reshape(-1, 2)

    def ideal(self, xyz_mm):
        """Pixels (N, 2) without the lens's distortion."""
        return replace(self, lens=IDEAL).picture(xyz_mm)

    @property
    def homography(self):
        """From mm on the plane to pixels without the lens's distortion."""
        rotation, shift = self.pose
        matrix = self.camera[0] @ np.column_stack((rotation[:, :2], shift))
        return matrix / matrix[2, 2]


def laid_along(
    rng, *, length_mm=1200.0, width_mm=120.0, every_mm=60.0, kind="small", sides=2, first=1
):
    """Corners (4, 3) of each tile's marker by its number, laid by hand along the face's edges."""
    tiles = TILES[kind]
    places = [
        (x + rng.uniform(-12, 12), y + rng.uniform(-4, 4))
        for y in (-tiles.marker_mm, width_mm + tiles.marker_mm)[:sides]
        for x in np.arange(every_mm / 2, length_mm, every_mm)
    ]
    turns = rng.normal(0, 10, len(places))
    return {
        tiles.first_id + first - 1 + i: square(place, tiles.marker_mm, turn)
        for i, (place, turn) in enumerate(zip(places, turns, strict=True))
    }


def square(at_mm, side_mm, turn_deg=0.0, height_mm=0.0):
    """Corners (4, 3) of a square, clockwise from its own top left, so high above the plane."""
    turn = np.deg2rad(turn_deg)
    across = side_mm / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1.0]])
    rotation = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    return np.column_stack((across @ rotation + at_mm, np.full(4, -height_mm)))


def shots_along(
    rng, *, photos=7, length_mm=1200.0, width_mm=120.0, overlap=0.35, px_per_mm=6.0,
    tilt_deg=7.0, lens=IDEAL, height_share=0.75, margin_mm=60.0,
):  # fmt: skip
    """Photographs along a face that overlap, each by hand."""
    span = length_mm / (1 + (photos - 1) * (1 - overlap))
    height = max(height_share * span * px_per_mm, (width_mm + margin_mm) * px_per_mm)
    size = (int(1.08 * span * px_per_mm), int(height))
    return [
        Shot(
            size,
            (span / 2 + i * span * (1 - overlap), width_mm / 2),
            px_per_mm * rng.uniform(0.95, 1.05),
            tuple(rng.uniform(-tilt_deg, tilt_deg, 2)),
            rng.uniform(-3, 3),
            lens,
        )
        for i in range(photos)
    ]


def seen_by(shot, tiles, rng, *, noise_px=0.1, hidden=0.0, wrong=0.0):
    """Markers found in a photograph: corners moved by noise, some hidden, some corners wrong."""
    found = []
    for number, corners in tiles.items():
        pixels = shot.picture(corners)
        far = np.abs(shot.ideal(corners) - np.array(shot.size_px) / 2).max()
        inside = (pixels > EDGE_PX).all() and (pixels < np.array(shot.size_px) - EDGE_PX).all()
        large = np.hypot(*(pixels[2] - pixels[0])) > LEAST_SIDE_PX
        # a strong lens folds what lies far outside back into the photograph
        if not inside or not large or far > 0.8 * max(shot.size_px) or rng.random() < hidden:
            continue
        pixels = pixels + rng.normal(0, noise_px, (4, 2)) if noise_px else pixels
        bad = rng.random(4) < wrong
        pixels[bad] += rng.uniform(-20, 20, (4, 2))[bad]
        found.append(FoundMarker(number, pixels, False))
    return tuple(found)


def rigid_fit(from_mm, to_mm):
    """Places moved and turned so that they lie nearest to others."""
    middle, goal = from_mm.mean(axis=0), to_mm.mean(axis=0)
    left, _, right = np.linalg.svd((from_mm - middle).T @ (to_mm - goal))
    flip = np.diag([1, np.sign(np.linalg.det(left @ right))])
    rotation = left @ flip @ right
    return lambda xy: (xy - middle) @ rotation + goal


@dataclass(frozen=True)
class Missed:
    """True errors of a solution after a rigid fit to the tiles, mm, and of its lengths."""

    tiles_rms_mm: float
    ends_rms_mm: float
    scale: float


def missed(solved, tiles, shots):
    """Compare a solution with what is true of the tiles and of places in the photographs."""
    numbers = sorted(solved.tiles_mm)
    found = np.vstack([solved.tiles_mm[i] for i in numbers])
    true = np.vstack([tiles[i][:, :2] for i in numbers])
    to_true = rigid_fit(found, true)
    off = to_true(found) - true
    spread = true - true.mean(axis=0)
    scale = float((spread * to_true(found)).sum() / (spread**2).sum()) - 1
    ends = []
    for photo in (0, len(shots) - 1):
        shot = shots[photo]
        grid = np.stack(np.meshgrid((0.2, 0.5, 0.8), (0.2, 0.5, 0.8)), axis=-1).reshape(-1, 2)
        there = cv2.perspectiveTransform(
            (grid * shot.size_px)[None], np.linalg.inv(shot.homography)
        )[0]
        pixels = shot.picture(np.column_stack((there, np.zeros(len(there)))))
        ends.append(to_true(solved.to_mm(photo, pixels)) - there)
    return Missed(rms(off), rms(np.vstack(ends)), scale)


def rms(xy):
    """Root mean square length of vectors (N, 2)."""
    return float(np.sqrt((np.asarray(xy) ** 2).sum(axis=1).mean()))
