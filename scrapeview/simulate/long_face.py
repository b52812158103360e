"""A long face laid once and photographed stretch by stretch by a camera that moves along it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.cards import PaperScale
from scrapeview.plane.joined.solved import Lens, SolvedPhotos
from scrapeview.simulate.camera import encode_jpeg, expose
from scrapeview.simulate.cards import EXACT, LaidTile, paint_tile, tiles_along
from scrapeview.simulate.fields import generator
from scrapeview.simulate.marks import lay_marks
from scrapeview.simulate.photograph import photograph
from scrapeview.simulate.pose import Pose, aim_camera
from scrapeview.simulate.render import described_scene, marking_told
from scrapeview.simulate.result import Truth
from scrapeview.simulate.scene import PrintScene
from scrapeview.simulate.surface import Layer, Surface, lay_surface, truth_of

LONGEST_MM = 6000.0
ASPECTS = (16 / 9, 4 / 3, 7 / 6, 3 / 4, 9 / 16)
"""Width over height of a frame, flattest first."""
FOCAL = 0.85
"""Focal length of the one camera, in diagonals of its frame."""
END_MM = 12.0
"""Bare surroundings shown past either end of the face, and past its width."""
SURE = 0.92
"""Share of the frame's length that a photographer makes sure to show."""


@dataclass(frozen=True, kw_only=True)
class Jitter:
    """How far photographs of a series differ at most, either way.

    Attributes
    ----------
    tilt_deg : any direction.
    roll_deg : turn in the picture plane.
    distance : relative, from lens to face.
    aim_mm : where the camera looks.
    exposure_ev : of the automatic exposure.
    colour : relative, of the white balance per channel.
    gradient : greatest brightness at the bright side over the dark side.
    """

    tilt_deg: float = 7.0
    roll_deg: float = 2.5
    distance: float = 0.06
    aim_mm: float = 4.0
    exposure_ev: float = 0.3
    colour: float = 0.06
    gradient: float = 1.5


BY_HAND = Jitter()
NO_DISTORTION = Lens()


@dataclass(frozen=True, eq=False)
class LongFace:
    """Photographs of one long face with everything that is true of them.

    Attributes
    ----------
    photos : JPEG files, from the face's left end to its right.
    rgb : (H, W, 3) uint8 each, before compression.
    solved : where each photograph truly lies, and the lens.
    truth : of the whole face, what tiles hide included.
    size_mm : of the face.
    tiles : tiles as laid; tiles_mm : true corners (4, 2) of their markers, by number.
    marking : what `read_print` is to be told.
    """

    scene: PrintScene
    photos: tuple[bytes, ...]
    rgb: tuple[NDArray[np.uint8], ...]
    solved: SolvedPhotos
    truth: Truth
    size_mm: tuple[float, float]
    tiles: tuple[LaidTile, ...]
    marking: str

    @property
    def tiles_mm(self) -> dict[int, NDArray[np.float64]]:
        """True corners (4, 2) of the tiles' markers on the face, by number."""
        return self.solved.tiles_mm

    @property
    def corners(self) -> tuple[tuple[int, float, float], ...]:
        """Photograph (from 0) and pixel of the face's corners, clockwise from its top left."""
        width, height = self.size_mm
        last = len(self.photos) - 1
        at = ((0, 0.0, 0.0), (last, width, 0.0), (last, width, height), (0, 0.0, height))
        picks = [(photo, *self.solved.to_px(photo, [(x, y)])[0]) for photo, x, y in at]
        return tuple((photo, float(x), float(y)) for photo, x, y in picks)


def render_long(
    scene: str | PrintScene,
    *,
    photos: int = 7,
    overlap: float = 0.35,
    px_per_mm: float = 7.0,
    size_mm: tuple[float, float] = (1200.0, 120.0),
    tiles: Sequence[LaidTile] | None = None,
    paper: PaperScale = EXACT,
    lens: Lens = NO_DISTORTION,
    jitter: Jitter = BY_HAND,
    seed: int = 0,
    lay: Layer = lay_marks,
) -> LongFace:
    """Compute photographs of one long face, each from a camera of its own.

    Parameters
    ----------
    scene : name of a preset or a scene; its light and camera are those of the typical photograph.
    photos : how many.
    overlap : share of a photograph's length that the next one shows too.
    px_per_mm : scale in the middle of a typical photograph.
    size_mm : of the face, the longer side first.
    tiles : tiles on or beside the face; None lays small ones along both long edges, () none. The
        print is the same with any.
    paper : how long the paper makes what is drawn.
    lens : shared by all photographs.
    jitter : how far the photographs differ.
    seed : of the print, the cameras and the lights.
    lay : gives the marks on the raster; see `render`.

    Raises
    ------
    SettingsError
        Unknown preset, or a scale or size out of range.
    """
    described = described_scene(scene, seed, px_per_mm, size_mm, LONGEST_MM)
    border_mm = described.shape.border_mm
    laid = tuple(tiles_along(size_mm, border_mm=border_mm, seed=seed) if tiles is None else tiles)
    surface, marks = lay_surface(described, lay)
    truth = truth_of(described, surface.grid, marks)
    del marks
    stretches = _stretches(size_mm, photos, overlap, _width_shown(size_mm, border_mm, laid, paper))
    surface = _with_tiles(surface, laid, paper)
    shots = [_shot(described, surface, stretches, number, lens, jitter) for number in range(photos)]
    solved = SolvedPhotos(
        mm_to_px=tuple(pose.mm_to_px for pose, _ in shots),
        photo_sizes_px=tuple(pose.photo_px for pose, _ in shots),
        lens=lens,
        tiles_mm={tile.marker_id: tile.corners_mm(paper) for tile in laid},
        photo_residuals_mm=(0.0,) * photos,
    )
    return LongFace(
        scene=described,
        photos=tuple(encode_jpeg(rgb, described.camera) for _, rgb in shots),
        rgb=tuple(rgb for _, rgb in shots),
        solved=solved,
        truth=truth,
        size_mm=described.shape.size_mm,
        tiles=laid,
        marking=marking_told(described),
    )


@dataclass(frozen=True)
class _Stretches:
    """What the photographs show: middles along x, the frame's size, and the span across."""

    middles_mm: tuple[float, ...]
    frame_mm: tuple[float, float]
    across_mm: tuple[float, float]


def _width_shown(
    size_mm: tuple[float, float],
    border_mm: float,
    tiles: Sequence[LaidTile],
    paper: PaperScale,
) -> tuple[float, float]:
    reach = [tile.reach_mm(paper)[:, 1] for tile in tiles]
    low = min([-border_mm, *(float(y.min()) for y in reach)])
    high = max([size_mm[1] + border_mm, *(float(y.max()) for y in reach)])
    return low, high


def _stretches(
    size_mm: tuple[float, float], photos: int, overlap: float, across_mm: tuple[float, float]
) -> _Stretches:
    share = 1 + (photos - 1) * (1 - overlap)
    # the frame must show the face's ends even where it is sure of only part of its length
    length = (size_mm[0] + 2 * END_MM) / (share - (1 - SURE))
    first = length * SURE / 2 - END_MM
    middles = tuple(first + number * length * (1 - overlap) for number in range(photos))
    needed = across_mm[1] - across_mm[0] + END_MM
    heights = [length / aspect for aspect in ASPECTS]
    height = next((height for height in heights if height >= needed), heights[-1])
    return _Stretches(middles, (length, height), across_mm)


def _with_tiles(surface: Surface, tiles: Sequence[LaidTile], paper: PaperScale) -> Surface:
    if not tiles:
        return surface
    reach = np.vstack([tile.reach_mm(paper) for tile in tiles])
    low, high = reach.min(axis=0) - 1, reach.max(axis=0) + 1
    surface = surface.widened((low[0], low[1], high[0], high[1]))
    for tile in tiles:
        at, turn = tile.at_mm, tile.turn_deg
        paint_tile(surface, tile.marker_id, tile.kind, at, turn, tile.shown, paper=paper)
    return surface


def _shot(
    scene: PrintScene,
    surface: Surface,
    stretches: _Stretches,
    number: int,
    lens: Lens,
    jitter: Jitter,
) -> tuple[Pose, NDArray[np.uint8]]:
    rng = generator(scene.seed, f"photograph {number}")
    own = _own_light_and_camera(scene, number, jitter, rng)
    frame_px = tuple(2 * round(side * scene.camera.px_per_mm / 2) for side in stretches.frame_mm)
    shift = rng.uniform(-1, 1, 2) * jitter.aim_mm
    middle = (stretches.middles_mm[number], sum(stretches.across_mm) / 2)
    aim = (middle[0] + shift[0], middle[1] + shift[1])
    photo_px = (frame_px[0], frame_px[1])
    own, pose = _stepped_back(own, aim, photo_px, lens, _sure_mm(stretches, number))
    rgb = expose(photograph(own, pose, surface.seen_by(pose)), own.camera, own.seed)
    return pose, rgb


def _own_light_and_camera(
    scene: PrintScene, number: int, jitter: Jitter, rng: np.random.Generator
) -> PrintScene:
    light, camera = scene.light, scene.camera
    tint = 1 + jitter.colour * rng.uniform(-1, 1, 3)
    colour = np.array(light.colour) * tint
    changed = scene.with_(
        light={
            "colour": tuple(float(gain) for gain in colour),
            "gradient": float(np.exp(rng.uniform(0, np.log(jitter.gradient)))),
            "gradient_deg": float(rng.uniform(0, 360)),
        },
        camera={
            "tilt_deg": float(jitter.tilt_deg * np.sqrt(rng.random())),
            "tilt_towards_deg": float(rng.uniform(0, 360)),
            "roll_deg": float(jitter.roll_deg * rng.uniform(-1, 1)),
            "px_per_mm": float(camera.px_per_mm * (1 + jitter.distance * rng.uniform(-1, 1))),
            "distance": FOCAL,
            "exposure_ev": float(camera.exposure_ev + jitter.exposure_ev * rng.uniform(-1, 1)),
        },
    )
    return replace(changed, seed=1000 * scene.seed + number + 1)


def _sure_mm(stretches: _Stretches, number: int) -> NDArray[np.float64]:
    """Return the corners (4, 2) of what a photograph is sure to show."""
    half = stretches.frame_mm[0] * SURE / 2
    middle, (low, high) = stretches.middles_mm[number], stretches.across_mm
    left, right = middle - half, middle + half
    return np.array([(left, low), (right, low), (right, high), (left, high)])


def _stepped_back(
    scene: PrintScene,
    aim_mm: tuple[float, float],
    photo_px: tuple[int, int],
    lens: Lens,
    sure_mm: NDArray[np.float64],
) -> tuple[PrintScene, Pose]:
    """Return the camera as far off as it takes to show what it is to show, and its pose."""
    middle = (np.array(photo_px) - 1) / 2
    for _ in range(4):
        pose = aim_camera(scene.camera, aim_mm, photo_px, lens)
        off = np.abs(pose.to_px(sure_mm) - middle) / (middle - 2)
        if off.max() <= 1:
            break
        nearer = scene.camera.px_per_mm
        scene = scene.with_(camera={"px_per_mm": float(nearer / off.max())})
    return scene, pose
