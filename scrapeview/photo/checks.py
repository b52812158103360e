"""Photograph checks: whether the face, seen square-on, shows what is to be counted."""

import math
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from scrapeview.photo import measures

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
        8.0,
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
    width_mm = measures.edge_width_mm(rgb, inside, px_per_mm, smallest_point_mm)
    if width_mm == 0:
        sentence = "Sharpness cannot be judged: the face shows no edges."
        return Check("sharpness", "ok", 0.0, "mm", sentence)
    limits = _BY_CODE["sharpness"]
    severity = severity_of(
        width_mm, limits.warn * smallest_point_mm, limits.bad * smallest_point_mm
    )
    sigma_mm = width_mm / measures.EDGE_WIDTH_OF_BLUR
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


def check_clipping(rgb: NDArray[np.uint8], inside: NDArray[np.bool_]) -> tuple[Check, Check]:
    """Shares of the face at the upper end of a channel, and at the lower end of all three."""
    lights, darks = measures.clipped_percent(rgb, inside)
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
    times = measures.light_ratio(rgb, inside, px_per_mm)
    limits = _BY_CODE["uneven_light"]
    severity = severity_of(times, limits.warn, limits.bad)
    found = f"The brightest parts of the face get {times:.1f} times the light of the darkest"
    advice = {
        "ok": ": even enough.",
        "warn": ": move the lamp further off or light the face from two sides.",
        "bad": ": light the face evenly, from two sides or by a window, and photograph again.",
    }
    return Check("uneven_light", severity, times, "times", found + advice[severity])


def check_resolution(px_per_mm: float, smallest_point_mm: float) -> Check:
    """Judge whether the smallest point that counts is wide enough in pixels."""
    across = px_per_mm * smallest_point_mm
    limits = _BY_CODE["resolution"]
    severity = severity_of(-across, -limits.warn, -limits.bad)
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
    severity = severity_of(tilt_deg, limits.warn, limits.bad)
    found = f"The camera looked about {tilt_deg:.0f} degrees off square"
    advice = {
        "ok": ": near enough.",
        "warn": ": hold it more squarely over the face, as its far side is coarse.",
        "bad": ": too flat a look; hold it squarely over the face and photograph again.",
    }
    return Check("tilt", severity, tilt_deg, "deg", found + advice[severity])


def _share(code: str, percent: float, what: str, advice: str) -> Check:
    limits = _BY_CODE[code]
    severity = severity_of(percent, limits.warn, limits.bad)
    found = f"{percent:.1f} % {what}"
    return Check(
        code, severity, percent, "%", f"{found}{'.' if severity == 'ok' else ': ' + advice}"
    )


def severity_of(figure: float, warn: float, bad: float) -> Severity:
    """Return how serious a figure is that should be small."""
    if figure > bad:
        return "bad"
    return "warn" if figure > warn else "ok"
