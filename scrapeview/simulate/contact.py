"""Contact model: a face cut by scraper strokes, pressed against a plane that carries film.

Heights are in micrometres above an arbitrary datum. The reference is a plane on elastic support
(Winkler foundation): it sinks and tilts until the mean penetration equals the load and no moment
is left about either axis. Film goes over wherever the gap is smaller than the film; contact is
where the gap is smaller than half of it; where the face stands proud the film is rubbed off.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.errors import SettingsError
from scrapeview.simulate.fields import Field, Grid, smooth_field, smoothstep

Heights = NDArray[np.float64]

SPLITTING = 1.8
"""A film tears rather than thins where it is barely touched: from nothing to whole over 1 / 1.8 of
its thickness, half where the gap is half the film."""


@dataclass(frozen=True)
class HeightMap:
    """Heights of a face.

    Attributes
    ----------
    height_um : (h, w) heights.
    metal : (h, w) bool, False in openings and beyond the part.
    grid : the raster over the face, in mm.
    """

    height_um: Heights
    metal: NDArray[np.bool_]
    grid: Grid


@dataclass(frozen=True, kw_only=True)
class Strokes:
    """One round of scraping: scoops on a jittered grid.

    Attributes
    ----------
    length_mm, width_mm : of a scoop.
    depth_um : at its middle.
    direction_deg : of the strokes, from x towards y.
    pitch_mm : between strokes, along and across.
    jitter : of place (in pitches), length, width and depth (relative).
    """

    length_mm: float
    width_mm: float
    depth_um: float
    direction_deg: float
    pitch_mm: tuple[float, float]
    jitter: float = 0.25


@dataclass(frozen=True)
class Pressed:
    """The face against the plane.

    Attributes
    ----------
    gap_um : (h, w) plane above face; negative where the face stands into the film's carrier.
    plane_um : height of the plane at the middle, and its rise over the width and the height.
    """

    gap_um: Heights
    plane_um: tuple[float, float, float]


@dataclass(frozen=True)
class Print:
    """What one rub leaves on the face.

    Attributes
    ----------
    gap_um : (h, w) gap under load.
    film_um : film on the reference.
    thickness : (h, w) film left on the face, 1 = the whole film; rubbed middles are thin.
    contact : (h, w) bool, gap below half the film.
    face : the heights printed.
    """

    gap_um: Heights
    film_um: float
    thickness: Field
    contact: NDArray[np.bool_]
    face: HeightMap


def contact_fraction(height_um: Heights, level_um: float) -> float:
    """Return the areal material ratio: the share of the surface at or above a level.

    Forms as in ISO 25178-2 / ISO 13565-2 (Abbott curve).

    Parameters
    ----------
    height_um : heights, any shape, equally weighted.
    level_um : height of the cutting plane.

    Raises
    ------
    SettingsError
        No heights, or heights that are not finite.
    """
    heights = np.asarray(height_um, float)
    if heights.size == 0 or not np.isfinite(heights).all():
        raise SettingsError("The contact fraction needs finite heights; give at least one.")
    return float(np.mean(heights >= level_um))


def ground_face(
    grid: Grid,
    metal: NDArray[np.bool_],
    *,
    form_um: float,
    waviness_um: float,
    rng: np.random.Generator,
) -> HeightMap:
    """Return a worn, unscraped face: form error over its length, waves, fine roughness.

    Parameters
    ----------
    grid, metal : raster over the face and which pixels are metal.
    form_um : crown and twist over the whole face.
    waviness_um : standard deviation of waves some 50 mm long.
    rng : source of randomness.
    """
    rows, columns = grid.shape
    y, x = np.meshgrid(np.linspace(-1, 1, rows), np.linspace(-1, 1, columns), indexing="ij")
    form = form_um * (0.6 * (1 - x**2) + 0.5 * x * y - 0.3 * y**2)
    waves = waviness_um * smooth_field(rng, grid, (55.0, 45.0))
    fine = 0.25 * smooth_field(rng, grid, (1.2, 0.8))
    return HeightMap((form + waves + fine).astype(float), metal, grid)


def cut(
    face: HeightMap,
    strokes: Strokes,
    rng: np.random.Generator,
    where: NDArray[np.bool_] | None = None,
) -> HeightMap:
    """Return the face after a round of strokes.

    Parameters
    ----------
    face : heights before.
    strokes : the round.
    rng : source of the jitter.
    where : (h, w) bool, a stroke is made where its middle lies in it; None scrapes everything.
    """
    height = face.height_um.copy()
    px = face.grid.px_per_mm
    for x, y in _stroke_places(face.grid, strokes, rng):
        column, row = round(x), round(y)
        inside = 0 <= row < height.shape[0] and 0 <= column < height.shape[1]
        if inside and (where is None or where[row, column]):
            _scoop(height, (x, y), strokes, px, rng)
    return HeightMap(height, face.metal, face.grid)


def stone(face: HeightMap, *, load_um: float, keep_um: float) -> HeightMap:
    """Return the face after a stone took three quarters of what stands proud of `keep_um`.

    Parameters
    ----------
    face : heights before.
    load_um : of the stone, mean penetration, see `press`.
    keep_um : penetration left alone.
    """
    proud = np.maximum(-press(face, load_um).gap_um - keep_um, 0)
    return HeightMap(face.height_um - 0.75 * proud * face.metal, face.metal, face.grid)


def press(face: HeightMap, load_um: float) -> Pressed:
    """Return the gap when a plane is pressed on the face.

    Newton's method on the energy of the support, convex in the plane's height and tilts.

    Parameters
    ----------
    face : heights.
    load_um : mean penetration over the metal, load over stiffness (above 0).

    Raises
    ------
    SettingsError
        The load is not above zero, or there is no metal.
    """
    if load_um <= 0 or not face.metal.any():
        raise SettingsError("Pressing needs a load above zero and some metal to press on.")
    rows, columns = face.metal.nonzero()
    basis = np.column_stack(
        [
            np.ones(len(rows)),
            columns / face.metal.shape[1] - 0.5,
            rows / face.metal.shape[0] - 0.5,
        ]
    )
    heights = face.height_um[rows, columns]
    plane = np.array([np.quantile(heights, 0.7), 0.0, 0.0])
    target = load_um * len(heights) * np.array([1.0, basis[:, 1].mean(), basis[:, 2].mean()])
    for _ in range(60):
        into = heights - basis @ plane
        touching = into > 0
        held = basis[touching]
        left = into[touching] @ held - target
        stiffness = held.T @ held + 1e-9 * len(heights) * np.eye(3)
        step = np.linalg.solve(stiffness, left)
        plane = plane + np.clip(step, -20, 20)
        if np.abs(step).max() < 1e-6:
            break
    whole = _plane_heights(face.metal.shape, plane)
    return Pressed(whole - face.height_um, (float(plane[0]), float(plane[1]), float(plane[2])))


def take_print(face: HeightMap, *, film_um: float, load_um: float, rub_um: float) -> Print:
    """Return the print of a face.

    Parameters
    ----------
    face : heights.
    film_um : film on the reference.
    load_um : mean penetration, see `press`.
    rub_um : penetration at which the film is rubbed off bright.
    """
    gap = press(face, load_um).gap_um
    thickness = np.clip(0.5 + SPLITTING * (0.5 - gap / film_um), 0, 1)
    proud = smoothstep(((-gap - rub_um) / (0.6 * rub_um) + 0.5).astype(np.float32))
    thickness = (thickness * (1 - 0.85 * proud) * face.metal).astype(np.float32)
    contact = (gap < film_um / 2) & face.metal
    return Print(gap, film_um, thickness, contact, face)


def _plane_heights(shape: tuple[int, ...], plane: NDArray[np.float64]) -> Heights:
    x = np.arange(shape[1]) / shape[1] - 0.5
    y = np.arange(shape[0]) / shape[0] - 0.5
    return plane[0] + plane[1] * x[None, :] + plane[2] * y[:, None]


def _stroke_places(grid: Grid, strokes: Strokes, rng: np.random.Generator) -> NDArray[np.float64]:
    """Return the strokes' middles (N, 2) in pixels, every second row shifted by half a pitch."""
    rows, columns = grid.shape
    reach = float(np.hypot(rows, columns)) / 2 / grid.px_per_mm
    along_pitch, across_pitch = strokes.pitch_mm
    along = np.arange(-reach, reach, along_pitch)
    across = np.arange(-reach, reach, across_pitch)
    u, v = np.meshgrid(along, across)
    u = u + (np.arange(len(across)) % 2)[:, None] * along_pitch / 2
    u = u + strokes.jitter * along_pitch * rng.normal(0, 0.5, u.shape)
    v = v + strokes.jitter * across_pitch * rng.normal(0, 0.5, v.shape)
    turn = np.deg2rad(strokes.direction_deg)
    x = u * np.cos(turn) - v * np.sin(turn)
    y = u * np.sin(turn) + v * np.cos(turn)
    places = np.column_stack([x.ravel(), y.ravel()]) * grid.px_per_mm
    return places + np.array([columns / 2, rows / 2])


def _scoop(
    height: Heights,
    at: tuple[float, float],
    strokes: Strokes,
    px_per_mm: float,
    rng: np.random.Generator,
) -> None:
    """Take one shallow scoop, parabolic across and flat-bottomed along, out of the heights."""
    varied = np.exp(strokes.jitter * rng.normal(0, 0.6, 3))
    length, width = strokes.length_mm * varied[0] / 2, strokes.width_mm * varied[1] / 2
    turn = np.deg2rad(strokes.direction_deg + 25 * strokes.jitter * rng.normal())
    reach = int(np.hypot(length, width) * px_per_mm) + 1
    top, left = max(round(at[1]) - reach, 0), max(round(at[0]) - reach, 0)
    patch = height[top : round(at[1]) + reach + 1, left : round(at[0]) + reach + 1]
    y = (np.arange(patch.shape[0]) + top - at[1])[:, None] / px_per_mm
    x = (np.arange(patch.shape[1]) + left - at[0])[None, :] / px_per_mm
    along = (x * np.cos(turn) + y * np.sin(turn)) / length
    across = (-x * np.sin(turn) + y * np.cos(turn)) / width
    depth = np.maximum(1 - along**4, 0) * np.maximum(1 - across**2, 0)
    patch -= strokes.depth_um * varied[2] * depth
