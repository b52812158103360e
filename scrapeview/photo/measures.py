"""What a square-on view shows of focus, exposure and light: figures without judgement."""

import math

import cv2
import numpy as np
from numpy.typing import NDArray

EDGE_WIDTH_OF_BLUR = math.sqrt(2 * math.pi)
"""Width of a step's edge (height over steepest slope) per standard deviation of its blur."""

_LIGHT_END = 254
_DARK_END = 3
_FLAT_LEVELS = 14
_FEWEST_EDGES = 20
_STRIPS = 5
_SOBEL_GAIN = 8.0
_LIGHT_PX_PER_MM = 1.0
_LIGHT_REACH_MM = 10.0


def edge_width_mm(
    rgb: NDArray[np.uint8],
    inside: NDArray[np.bool_],
    px_per_mm: float,
    smallest_point_mm: float,
) -> float:
    """Width of the sharper edges among the strongest ones, mm; 0 where there are none.

    An edge's width is its height (range of grey within two smallest points) over its steepest
    slope there. Of the tenth of the face with the greatest heights, the lower quartile of widths
    is taken: thin film has soft borders of its own in the sharpest photo.
    """
    reach = 2 * max(1, round(1.5 * smallest_point_mm * px_per_mm)) + 1
    strips = _STRIPS if len(rgb) > _STRIPS * 4 * reach else 1
    # every other strip of a large view is sample enough
    widths_px = np.concatenate(
        [
            _edge_widths_px(pixels, on_face, reach)
            for pixels, on_face in zip(
                np.array_split(rgb, strips)[::2], np.array_split(inside, strips)[::2], strict=True
            )
        ]
    )
    if len(widths_px) < _FEWEST_EDGES:
        return 0.0
    return float(np.percentile(widths_px, 25)) / px_per_mm


def _edge_widths_px(
    rgb: NDArray[np.uint8], inside: NDArray[np.bool_], reach: int
) -> NDArray[np.float32]:
    grey = cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY)
    window = cv2.getStructuringElement(cv2.MORPH_RECT, (reach, reach))
    height = cv2.morphologyEx(grey, cv2.MORPH_GRADIENT, window)
    on_face = cv2.erode(
        inside.view(np.uint8), window, borderType=cv2.BORDER_CONSTANT, borderValue=0
    )
    strong = max(_FLAT_LEVELS, _upper_level(height, on_face, 0.9))
    across, down = cv2.spatialGradient(grey)
    slope = cv2.magnitude(across.astype(np.float32), down.astype(np.float32))
    edge = (slope >= cv2.dilate(slope, window)) & (height >= strong) & (on_face > 0)
    return np.asarray(height[edge] / (slope[edge] / _SOBEL_GAIN), np.float32)


def _upper_level(levels: NDArray[np.generic], where: NDArray[np.generic], share: float) -> int:
    """Grey level below which `share` of the chosen pixels lie; 0 where none are chosen."""
    counts = cv2.calcHist([np.asarray(levels)], [0], np.asarray(where), [256], [0, 256]).ravel()
    return int(np.searchsorted(np.cumsum(counts), share * counts.sum())) if counts.any() else 0


def clipped_percent(rgb: NDArray[np.uint8], inside: NDArray[np.bool_]) -> tuple[float, float]:
    """Shares of the face, %, with one channel at its upper end and with all three near zero."""
    # picked, not averaged, which would hide clipped pixels
    pixels, on_face = _every_other(rgb, inside)
    red, green, blue = cv2.split(pixels)
    brightest = cv2.max(cv2.max(red, green), blue)
    counts = cv2.calcHist([brightest], [0], on_face, [256], [0, 256]).ravel()
    total = max(1.0, float(counts.sum()))
    lights = 100 * float(counts[_LIGHT_END:].sum()) / total
    darks = 100 * float(counts[: _DARK_END + 1].sum()) / total
    return lights, darks


def light_ratio(rgb: NDArray[np.uint8], inside: NDArray[np.bool_], px_per_mm: float) -> float:
    """95th over 5th percentile of the metal's brightness over the face, in linear light."""
    pixels, _ = _every_other(rgb, inside)
    shrink = min(1.0, _LIGHT_PX_PER_MM / px_per_mm)
    size = tuple(max(1, round(side * shrink)) for side in inside.shape[::-1])
    grey = cv2.resize(cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY), size, interpolation=cv2.INTER_AREA)
    on_face = cv2.resize(inside.view(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0
    if not on_face.any():
        return 1.0
    grey[~on_face] = 0
    reach = 2 * max(1, round(_LIGHT_REACH_MM * px_per_mm * shrink / 2)) + 1
    window = cv2.getStructuringElement(cv2.MORPH_RECT, (reach, reach))
    metal = cv2.dilate(grey, window)[on_face]
    low, high = np.percentile(metal, (5, 95))
    return linear_light(float(high)) / max(linear_light(float(low)), linear_light(1.0))


def _every_other(
    rgb: NDArray[np.uint8], inside: NDArray[np.bool_]
) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    height, width = inside.shape
    size = (max(1, width // 2), max(1, height // 2))
    pixels = cv2.resize(rgb, size, interpolation=cv2.INTER_NEAREST)
    on_face = cv2.resize(inside.view(np.uint8), size, interpolation=cv2.INTER_NEAREST)
    return np.asarray(pixels, np.uint8), np.asarray(on_face, np.uint8)


def linear_light(level: float) -> float:
    """Linear light, 0 to 1, of an 8-bit sRGB level (IEC 61966-2-1)."""
    value = level / 255
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
