"""Quick photographs of printed cards and tiles alone, with the homography that took them."""

from dataclasses import dataclass

import cv2
import numpy as np

from scrapeview.plane.cards import CARDS, MARKER_CELLS, TILES, marker_cells
from scrapeview.plane.projective import apply_homography

PAPER, GREY, INK, METAL = 0.8, 0.4, 0.04, 0.3
"""Linear reflectances."""
PX_PER_MM = 20
FINER = 3


@dataclass(frozen=True, eq=False)
class Look:
    """How the camera looks at a place on the plane."""

    px_per_mm: float = 6.0
    size_px: tuple[int, int] = (560, 500)
    tilt_deg: float = 0.0
    towards_deg: float = 30.0
    roll_deg: float = 0.0

    def at(self, middle_mm):
        """Homography from mm to photo pixels of a pinhole camera."""
        focal = 1.1 * max(self.size_px)
        tilt, towards, roll = np.deg2rad([self.tilt_deg, self.towards_deg, self.roll_deg])
        cosine, sine = np.cos(tilt), np.sin(tilt)
        tipped = np.array([[1, 0, 0], [0, cosine, -sine], [0, sine, cosine]])
        turned = _turn(roll) @ _turn(-towards) @ tipped @ _turn(towards)
        width, height = self.size_px
        camera = np.array([[focal, 0, (width - 1) / 2], [0, focal, (height - 1) / 2], [0, 0, 1]])
        stand = np.column_stack((turned[:, :2], [0, 0, focal / self.px_per_mm]))
        shift = np.array([[1, 0, -middle_mm[0]], [0, 1, -middle_mm[1]], [0, 0, 1.0]])
        return camera @ stand @ shift


class Ground:
    """A piece of metal to lay paper on, in linear light; origin and size in mm."""

    def __init__(self, box_mm):
        self.x0, self.y0, x1, y1 = box_mm
        rows, columns = round((y1 - self.y0) * PX_PER_MM), round((x1 - self.x0) * PX_PER_MM)
        self.light = np.full((rows, columns), METAL, np.float32)

    def fill(self, box_mm, value):
        x0, y0, x1, y1 = box_mm
        columns = [round((x - self.x0) * PX_PER_MM) for x in (x0, x1)]
        rows = [round((y - self.y0) * PX_PER_MM) for y in (y0, y1)]
        self.light[slice(*rows), slice(*columns)] = value

    def marker(self, number, corner_mm, side_mm):
        x, y = corner_mm
        cell = side_mm / MARKER_CELLS
        for row, column in np.argwhere(marker_cells(number)):
            left, top = x + column * cell, y + row * cell
            self.fill((left, top, left + cell, top + cell), INK)

    def card(self, card=CARDS["inch"]):
        self.fill(card.outer_mm, PAPER)
        self.fill((0, 0, card.window_mm, card.window_mm), METAL)
        for patch in card.patches:
            self.fill(patch.box_mm, PAPER if patch.kind == "white" else GREY)
        for number, corners in card.markers_mm.items():
            self.marker(number, corners[0], card.marker_mm)
        return self

    def tile(self, number, middle_mm, *, kind=TILES["small"], times=1.0):
        """Lay an upright tile; `times` its size by which it was printed wrongly."""
        x, y = middle_mm
        half, marker = kind.tile_mm / 2, kind.marker_mm * times
        self.fill((x - half, y - half, x + half, y + half), PAPER)
        self.marker(number, (x - marker / 2, y - marker / 2), marker)
        return self

    def seen(self, look, middle_mm):
        """Return the light in the photo and the homography from mm to its pixels."""
        mm_to_px = look.at(middle_mm)
        raster_to_mm = np.array(
            [
                [1, 0, 0.5 + self.x0 * PX_PER_MM],
                [0, 1, 0.5 + self.y0 * PX_PER_MM],
                [0, 0, PX_PER_MM],
            ]
        )
        finer = np.array([[FINER, 0, (FINER - 1) / 2], [0, FINER, (FINER - 1) / 2], [0, 0, 1.0]])
        size = look.size_px[0] * FINER, look.size_px[1] * FINER
        large = cv2.warpPerspective(
            self.light, finer @ mm_to_px @ raster_to_mm, size, flags=cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_CONSTANT, borderValue=METAL,
        )  # fmt: skip
        return cv2.resize(large, look.size_px, interpolation=cv2.INTER_AREA), mm_to_px


def card_ground(card=CARDS["inch"]):
    """A card by itself, on metal that reaches 4 mm beyond it."""
    x0, y0, x1, y1 = card.outer_mm
    return Ground((x0 - 4, y0 - 4, x1 + 4, y1 + 4)).card(card)


def developed(
    light, *, blur_px=0.8, sharpen=0.0, noise=0.005, exposure=1.0, tilted_light=0.0, glare=(),
    cast=(1.0, 1.0, 1.0), seed=0,
):  # fmt: skip
    """8-bit sRGB (H, W, 3) of linear light: glare, exposure, focus, noise, tone, sharpening."""
    rows, columns = light.shape
    y, x = np.mgrid[:rows, :columns]
    lit = light * exposure * (1 + tilted_light * (x / columns - 0.5))
    for middle_x, middle_y, radius, strength in glare:
        near = ((x - middle_x) ** 2 + (y - middle_y) ** 2) / (2 * radius**2)
        lit = lit + strength * np.exp(-near)
    lit = cv2.GaussianBlur(lit.astype(np.float32), (0, 0), blur_px)[..., None] * np.array(cast)
    lit = lit + np.random.default_rng(seed).normal(0, noise, lit.shape)
    lit = np.clip(lit, 1e-6, 1)
    tone = np.where(lit <= 0.0031308, 12.92 * lit, 1.055 * lit ** (1 / 2.4) - 0.055)
    tone = tone + sharpen * (tone - cv2.GaussianBlur(tone, (0, 0), 1.5))
    return np.rint(255 * np.clip(tone, 0, 1)).astype(np.uint8)


def jpeg(rgb, quality=88):
    """The photograph as a file."""
    return cv2.imencode(".jpg", rgb[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])[1].tobytes()


def area_of(polygon):
    """Area by the shoelace formula."""
    x, y = np.transpose(polygon)
    return abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def square_round(middle_mm, side_mm):
    """Corners (4, 2), clockwise."""
    return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * side_mm / 2 + middle_mm


def to_px(mm_to_px, xy_mm):
    """Where places lie in the photo."""
    return apply_homography(mm_to_px, xy_mm)


def _turn(angle):
    cosine, sine = np.cos(angle), np.sin(angle)
    return np.array([[cosine, -sine, 0], [sine, cosine, 0], [0, 0, 1]])
