"""The rim of a round face: the ellipse through its picks and the homography of the disc."""

import math
from typing import NamedTuple

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import least_squares

from scrapeview.errors import PlaneError
from scrapeview.plane.corners import as_points
from scrapeview.plane.projective import apply_homography, jacobian

_MIN_PICKS = 5
_LINE_RATIO = 0.02
_MAX_MISFIT = 0.03
_WIDEST_GAP_DEG = 200.0
_FLATTEST = math.cos(math.radians(75.0))


class Ellipse(NamedTuple):
    """An ellipse in photo pixels: centre + shape @ (point of the unit circle)."""

    centre: NDArray[np.float64]
    shape: NDArray[np.float64]
    """(2, 2), symmetric and positive: half axes along its eigenvectors."""


def checked_rim(rim_px: ArrayLike) -> NDArray[np.float64]:
    """Five or more different picks that do not lie on a line."""
    points = as_points(rim_px, "Rim picks")
    different = len(np.unique(points, axis=0))
    if different < _MIN_PICKS:
        raise PlaneError(
            f"At least five different picks spread round the rim are needed; {different} given."
        )
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if spread[1] < _LINE_RATIO * spread[0]:
        raise PlaneError("The rim picks lie in one line: spread them round the whole rim.")
    return points


def checked_diameter(diameter_mm: float) -> float:
    """Return the diameter, mm, positive and finite."""
    try:
        diameter = float(diameter_mm)
    except (TypeError, ValueError) as error:
        raise PlaneError("The diameter of the face must be a number of mm.") from error
    if not (math.isfinite(diameter) and diameter > 0):
        raise PlaneError(f"The face's diameter must be above zero, not {diameter:g} mm.")
    return diameter


def checked_centre(centre_px: ArrayLike | None, ellipse: Ellipse) -> NDArray[np.float64] | None:
    """Return the picked centre, if any, which must lie well inside the rim."""
    if centre_px is None:
        return None
    centre = as_points([np.ravel(centre_px)], "The centre")[0]
    offset = np.linalg.solve(ellipse.shape, centre - ellipse.centre)
    if np.linalg.norm(offset) > 0.5:
        raise PlaneError(
            "The pick of the disc's centre lies too far from the middle of its rim: pick the "
            "centre again or leave it out."
        )
    return centre


def fit_ellipse(points: NDArray[np.float64]) -> Ellipse:
    """Ellipse of least squared distance from the picks.

    Starts from the direct fit (A. Fitzgibbon, M. Pilu, R. Fisher, Direct least square fitting of
    ellipses, 1999, as in OpenCV) and minimises the distance to first order (P. Sampson, 1982),
    which is free of the direct fit's pull towards small ellipses.

    Raises
    ------
    PlaneError
        If no ellipse passes near the picks or they cover too little of it.
    """
    middle, reach = points.mean(axis=0), np.abs(points - points.mean(axis=0)).max()
    scaled = (points - middle) / reach
    start = _direct_fit(scaled)
    solution = least_squares(
        _sampson_distance,
        start,
        args=(scaled,),
        x_scale=0.1,
        xtol=1e-14,
        ftol=1e-14,
        gtol=1e-14,
        max_nfev=100,
    )
    centre, shape = _unpack(solution.x)
    half_axes = np.abs(np.linalg.eigvalsh(shape))
    misfit = math.sqrt(float(np.mean(solution.fun**2))) / (2 * half_axes.max())
    if not np.isfinite(solution.x).all() or misfit > _MAX_MISFIT:
        raise PlaneError("The rim picks do not lie on an ellipse: pick the rim of the face again.")
    if half_axes.min() < _FLATTEST * half_axes.max():
        raise PlaneError(
            "The rim picks make an ellipse too flat for a face worth reading: photograph the "
            "face from nearer to square on, or pick the rim again."
        )
    _require_spread(np.linalg.solve(shape, (scaled - centre).T).T)
    return Ellipse(centre * reach + middle, shape * reach)


def _direct_fit(scaled: NDArray[np.float64]) -> NDArray[np.float64]:
    try:
        (x, y), (first, second), degrees = cv2.fitEllipseDirect(scaled.astype(np.float32))
    except cv2.error:
        first = second = degrees = x = y = math.nan
    if not all(map(math.isfinite, (x, y, first, second, degrees))) or min(first, second) <= 0:
        raise PlaneError("The rim picks do not lie on an ellipse: pick the rim of the face again.")
    turn = math.radians(degrees)
    axes = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    shape = axes @ np.diag((first / 2, second / 2)) @ axes.T
    return np.array([x, y, shape[0, 0], shape[0, 1], shape[1, 1]])


def _unpack(parameters: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    x, y, a, b, c = parameters
    return np.array([x, y]), np.array([[a, b], [b, c]])


def _sampson_distance(
    parameters: NDArray[np.float64], points: NDArray[np.float64]
) -> NDArray[np.float64]:
    centre, shape = _unpack(parameters)
    inverse = np.linalg.pinv(shape)
    unit = (points - centre) @ inverse.T
    level = (unit**2).sum(axis=1) - 1
    slope = 2 * np.linalg.norm(unit @ inverse, axis=1)
    return level / np.maximum(slope, 1e-12)


def _require_spread(unit: NDArray[np.float64]) -> None:
    angles = np.sort(np.degrees(np.arctan2(unit[:, 1], unit[:, 0])))
    gap = float(np.diff(np.append(angles, angles[0] + 360)).max())
    if gap > _WIDEST_GAP_DEG:
        raise PlaneError(
            f"The rim picks leave {gap:.0f} degrees of the rim without a pick: spread them round "
            "the whole rim."
        )


def disc_homography(
    ellipse: Ellipse, diameter_mm: float, centre_px: NDArray[np.float64] | None
) -> NDArray[np.float64]:
    """Homography (3, 3) from mm to px that takes the disc's rim to the ellipse, without a turn.

    The unit circle is first moved onto itself so that its centre goes where `centre_px` is in
    the ellipse; the only such projective maps, up to a turn, are the boosts of the hyperbolic
    plane whose border the circle is (H. Coxeter, Non-Euclidean Geometry; the circle is the
    absolute conic of the Beltrami-Klein model).
    """
    onto_ellipse = np.eye(3)
    onto_ellipse[:2, :2] = ellipse.shape
    onto_ellipse[:2, 2] = ellipse.centre
    radius = diameter_mm / 2
    from_mm = np.array([[1 / radius, 0, -1], [0, 1 / radius, -1], [0, 0, 1.0]])
    if centre_px is None:
        return onto_ellipse @ from_mm
    boost = _boost(np.linalg.solve(ellipse.shape, centre_px - ellipse.centre))
    tilted = onto_ellipse @ boost
    homography = tilted @ _unturned(tilted) @ from_mm
    return homography / homography[2, 2]


def _boost(target: NDArray[np.floating]) -> NDArray[np.float64]:
    speed = float(np.linalg.norm(target))
    gamma = 1 / math.sqrt(1 - speed**2)
    boost = np.eye(3)
    if speed > 0:
        along = target / speed
        boost[:2, :2] += (gamma - 1) * np.outer(along, along)
    boost[:2, 2] = boost[2, :2] = gamma * target
    boost[2, 2] = gamma
    return boost


def _unturned(mapping: NDArray[np.float64]) -> NDArray[np.float64]:
    # polar decomposition: what is left of the Jacobian at the centre is a pure stretch
    left, _, right = np.linalg.svd(jacobian(mapping, [[0, 0]])[0])
    turn = np.eye(3)
    turn[:2, :2] = (left @ right).T
    return turn


def rim_residual_mm(
    homography: NDArray[np.float64], points: NDArray[np.float64], diameter_mm: float
) -> float:
    """Root mean square distance of the picks from the rim, mm."""
    xy = apply_homography(np.linalg.inv(homography), points) - diameter_mm / 2
    distance = np.linalg.norm(xy, axis=1) - diameter_mm / 2
    return math.sqrt(float(np.mean(distance**2)))
