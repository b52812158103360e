"""Photograph checks: whether the face, seen square-on, shows what is to be counted."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray

Severity = Literal["ok", "warn", "bad"]


@dataclass(frozen=True)
class Check:
    """One finding about a photograph.

    Attributes
    ----------
    code : str
        One of the codes in `CHECK_CODES`.
    severity : {"ok", "warn", "bad"}
        "warn": read with care; "bad": photograph again.
    figure : float
        What was measured, in `unit`.
    unit : str
        Unit of the figure.
    sentence : str
        The figure, what it means and what to do about it, in plain words.
    """

    code: str
    severity: Severity
    figure: float
    unit: str
    sentence: str


class CheckCode(NamedTuple):
    """What a check measures and from where on it warns; common practice, no source."""

    code: str
    unit: str
    warn: float
    bad: float
    meaning: str


CHECK_CODES = (
    CheckCode(
        "sharpness",
        "mm",
        0.85 / 0.8,
        1.2 / 0.8,
        "Width of the sharpest edges on the face, in mm; limits as a share of the smallest point. "
        "0 where the face shows no edges to judge by.",
    ),
    CheckCode(
        "clipped_lights",
        "%",
        3.0,
        15.0,
        "Share of the face where a colour channel is at its upper end, so that colour is lost.",
    ),
    CheckCode(
        "clipped_darks",
        "%",
        3.0,
        15.0,
        "Share of the face that is black, so that neither metal nor marking can be told there.",
    ),
    CheckCode(
        "glare",
        "%",
        3.0,
        15.0,
        "Share of the face that glare washes out and that is left out of the reading.",
    ),
    CheckCode(
        "uneven_light",
        "times",
        4.0,
        10.0,
        "Light on the brightest parts of the face over that on the darkest (95th over 5th "
        "percentile of the metal's brightness).",
    ),
    CheckCode(
        "resolution",
        "px",
        3.0,
        2.0,
        "Pixels across the smallest point that counts; fewer is worse.",
    ),
    CheckCode(
        "tilt",
        "deg",
        40.0,
        60.0,
        "Estimated angle between the camera's look and the face's normal.",
    ),
)
"""Every check, in the order they are given."""

_BY_CODE = {code.code: code for code in CHECK_CODES}
_LIGHT_END = 254
_DARK_END = 3
_FLAT_LEVELS = 14
_FEWEST_EDGES = 20
_STRIPS = 5
_SOBEL_GAIN = 8.0
_EDGE_WIDTH_OF_BLUR = math.sqrt(2 * math.pi)
_LIGHT_PX_PER_MM = 1.0
_LIGHT_REACH_MM = 10.0


def photo_checks(
    rgb: NDArray[np.uint8],
    inside: NDArray[np.bool_],
    *,
    px_per_mm: float,
    smallest_point_mm: float,
    glare_percent: float = 0.0,
    tilt_deg: float = 0.0,
) -> tuple[Check, ...]:
    """All photograph checks of a face seen square-on.

    Parameters
    ----------
    rgb : (h, w, 3) uint8 array
        The square-on view.
    inside : (h, w) bool array
        True on the face, less its openings.
    px_per_mm : float, keyword-only
        Scale of the view.
    smallest_point_mm : float, keyword-only
        Diameter of the smallest point that counts, mm.
    glare_percent : float, keyword-only
        Share of the face that was left out as glare, 0 to 100.
    tilt_deg : float, keyword-only
        Estimated tilt of the camera.

    Returns
    -------
    tuple of Check
        One for each of `CHECK_CODES`, in that order.
    """
    return (
        check_sharpness(rgb, inside, px_per_mm, smallest_point_mm),
        *check_clipping(rgb, inside),
        check_glare(glare_percent),
        check_light(rgb, inside, px_per_mm),
        check_resolution(px_per_mm, smallest_point_mm),
        check_tilt(tilt_deg),
    )


def check_sharpness(
    rgb: NDArray[np.uint8],
    inside: NDArray[np.bool_],
    px_per_mm: float,
    smallest_point_mm: float,
) -> Check:
    """Judge focus and motion by the width of the sharpest edges against the smallest point.

    A step blurred by a Gaussian of standard deviation s is sqrt(2 pi) s wide (its height over
    its steepest slope), and a disc of radius r keeps 1 - exp(-r^2 / 2 s^2) of its contrast.
    """
    width_mm = edge_width_mm(rgb, inside, px_per_mm, smallest_point_mm)
    if width_mm == 0:
        sentence = "Sharpness cannot be judged: the face shows no edges."
        return Check("sharpness", "ok", 0.0, "mm", sentence)
    limits = _BY_CODE["sharpness"]
    severity = _severity(width_mm, limits.warn * smallest_point_mm, limits.bad * smallest_point_mm)
    sigma_mm = width_mm / _EDGE_WIDTH_OF_BLUR
    kept = 100 * (1 - math.exp(-((smallest_point_mm / 2 / sigma_mm) ** 2) / 2))
    found = (
        f"Edges are {width_mm:.2f} mm wide, so a point of {smallest_point_mm:g} mm keeps "
        f"{kept:.0f} % of its contrast"
    )
    advice = {
        "ok": ": sharp enough.",
        "warn": ": focus on the face and hold the camera still, or the smallest points are lost.",
        "bad": ": too soft to count; focus on the face, rest the camera and photograph again.",
    }
    return Check("sharpness", severity, width_mm, "mm", found + advice[severity])


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
    return height[edge] / (slope[edge] / _SOBEL_GAIN)


def _upper_level(levels: NDArray[np.generic], where: NDArray[np.generic], share: float) -> int:
    """Grey level below which `share` of the chosen pixels lie; 0 where none are chosen."""
    counts = cv2.calcHist([np.asarray(levels)], [0], np.asarray(where), [256], [0, 256]).ravel()
    return int(np.searchsorted(np.cumsum(counts), share * counts.sum())) if counts.any() else 0


def check_clipping(rgb: NDArray[np.uint8], inside: NDArray[np.bool_]) -> tuple[Check, Check]:
    """Shares of the face at the upper end of a channel, and at the lower end of all three."""
    # picked, not averaged, which would hide clipped pixels
    pixels, on_face = _every_other(rgb, inside)
    red, green, blue = cv2.split(pixels)
    brightest = cv2.max(cv2.max(red, green), blue)
    counts = cv2.calcHist([brightest], [0], on_face, [256], [0, 256]).ravel()
    total = max(1.0, float(counts.sum()))
    lights = 100 * float(counts[_LIGHT_END:].sum()) / total
    darks = 100 * float(counts[: _DARK_END + 1].sum()) / total
    return (
        _share(
            "clipped_lights",
            lights,
            "of the face is overexposed",
            "expose for less light or move the lamp, so that colours survive.",
        ),
        _share(
            "clipped_darks",
            darks,
            "of the face is black",
            "bring more light onto the face, or expose longer.",
        ),
    )


def check_glare(glare_percent: float) -> Check:
    """Judge how much of the face glare has taken out of the reading."""
    return _share(
        "glare",
        glare_percent,
        "of the face is lost to glare and left out",
        "move the lamp or the camera until the shine is off the face, or use a diffuser.",
    )


def check_light(rgb: NDArray[np.uint8], inside: NDArray[np.bool_], px_per_mm: float) -> Check:
    """Judge how unevenly the face is lit, by the brightest metal within 10 mm of each place."""
    times = light_ratio(rgb, inside, px_per_mm)
    limits = _BY_CODE["uneven_light"]
    severity = _severity(times, limits.warn, limits.bad)
    found = f"The brightest parts of the face get {times:.1f} times the light of the darkest"
    advice = {
        "ok": ": even enough.",
        "warn": ": move the lamp further off or light the face from two sides.",
        "bad": ": light the face evenly, from two sides or by a window, and photograph again.",
    }
    return Check("uneven_light", severity, times, "times", found + advice[severity])


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


def check_resolution(px_per_mm: float, smallest_point_mm: float) -> Check:
    """Judge whether the smallest point that counts is wide enough in pixels."""
    across = px_per_mm * smallest_point_mm
    limits = _BY_CODE["resolution"]
    severity = _severity(-across, -limits.warn, -limits.bad)
    found = f"A point of {smallest_point_mm:g} mm is {across:.1f} px across ({px_per_mm:.1f} px/mm)"
    advice = {
        "ok": ": fine enough.",
        "warn": ": go nearer or photograph the face in parts, or the smallest points are missed.",
        "bad": ": too coarse to count; go nearer or photograph the face in parts.",
    }
    return Check("resolution", severity, across, "px", found + advice[severity])


def check_tilt(tilt_deg: float) -> Check:
    """Judge how far from square on the camera looked."""
    limits = _BY_CODE["tilt"]
    severity = _severity(tilt_deg, limits.warn, limits.bad)
    found = f"The camera looked about {tilt_deg:.0f} degrees off square"
    advice = {
        "ok": ": near enough.",
        "warn": ": hold it more squarely over the face, as its far side is coarse.",
        "bad": ": too flat a look; hold it squarely over the face and photograph again.",
    }
    return Check("tilt", severity, tilt_deg, "deg", found + advice[severity])


def _share(code: str, percent: float, what: str, advice: str) -> Check:
    limits = _BY_CODE[code]
    severity = _severity(percent, limits.warn, limits.bad)
    found = f"{percent:.1f} % {what}"
    return Check(
        code, severity, percent, "%", f"{found}{'.' if severity == 'ok' else ': ' + advice}"
    )


def _severity(figure: float, warn: float, bad: float) -> Severity:
    if figure > bad:
        return "bad"
    return "warn" if figure > warn else "ok"


def worst_severity(checks: Sequence[Check]) -> Severity:
    """Return the gravest severity among checks; "ok" for none."""
    found = {check.severity for check in checks}
    return "bad" if "bad" in found else "warn" if "warn" in found else "ok"
