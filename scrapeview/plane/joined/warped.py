"""A photograph laid onto the map's grid, through its homography and its lens."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.photo import Photo
from scrapeview.plane.joined.map_grid import ALIGNED_CELLS, MapGrid, least_scale, shown_by
from scrapeview.plane.joined.solved import Lens, SolvedPhotos
from scrapeview.plane.projective import jacobian, singular_values
from scrapeview.plane.view import photo_part, smoothed

_NODE_PX = 16
"""Between nodes of this distance the mapping is taken as straight; it bends by 0.01 px there."""
_LOW_PASS = 0.8
"""A map is resampled once more when it is read, which smooths again; ours, no source."""
_OFF = -1e4


@dataclass(frozen=True, eq=False)
class Warped:
    """What one photograph shows of the map.

    Attributes
    ----------
    rgb : (h, w, 3) uint8 array
    valid : (h, w) bool array
        Where the photograph shows the plane well enough to be used.
    column, row : int
        Place of its first pixel in the map.
    scale : (h', w') float32 array
        Pixels per mm that the photograph holds at full size, each block of `ALIGNED_CELLS` cells.
    off_middle : (h', w') float32 array
        Distance from the photograph's middle, 1 at its corners.
    """

    rgb: NDArray[np.uint8]
    valid: NDArray[np.bool_]
    column: int
    row: int
    scale: NDArray[np.float32]
    off_middle: NDArray[np.float32]


def warp_photo(photo: Photo, number: int, solved: SolvedPhotos, grid: MapGrid) -> Warped:
    """Lay a photograph onto the grid.

    Parameters
    ----------
    photo : Photo
        At full or reduced size.
    number : int
        Which of the solved photographs it is, from 0.
    solved : SolvedPhotos
    grid : MapGrid
    """
    (column, row), (width, height) = _part_shown(number, solved, grid)
    x, y = _nodes(width), _nodes(height)
    places = grid.to_mm(_pairs(column + x, row + y))
    pixels, scale = _seen_at(places, number, solved)
    usable = scale > 0
    part, part_to_px = photo_part(photo, pixels[usable])
    typical = float(np.median(scale[usable]))
    excess = _LOW_PASS * typical / photo.reduction / grid.px_per_mm
    source, source_to_px = smoothed(part, part_to_px, excess)
    shape = (len(y), len(x))
    seen = _between_nodes(pixels.reshape(*shape, 2), (width, height))
    clear = _between_nodes(usable.reshape(shape).astype(np.float32), (width, height)) > 0.999
    in_photo = _inside(seen, solved.photo_sizes_px[number])
    step, (left, top) = source_to_px[0, 0], source_to_px[:2, 2]
    np.subtract(seen, np.array([left, top], np.float32), out=seen)
    np.multiply(seen, np.float32(1 / step), out=seen)
    right, down = (np.ascontiguousarray(seen[..., axis]) for axis in (0, 1))
    rgb = cv2.remap(source, right, down, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    block = grid.cell_px * ALIGNED_CELLS
    across = column + block * np.arange(width / block) + (block - 1) / 2
    below = row + block * np.arange(height / block) + (block - 1) / 2
    middles = _pairs(across, below)
    in_blocks, held = _seen_at(grid.to_mm(middles), number, solved)
    size = np.array(solved.photo_sizes_px[number])
    off = np.linalg.norm((in_blocks - (size - 1) / 2) / (size / 2), axis=1) / np.sqrt(2)
    blocks = (height // block, width // block)
    return Warped(
        np.asarray(rgb, np.uint8),
        np.asarray(clear & in_photo),
        column,
        row,
        held.reshape(blocks).astype(np.float32),
        np.minimum(off, 2).reshape(blocks).astype(np.float32),
    )


def _part_shown(
    number: int, solved: SolvedPhotos, grid: MapGrid
) -> tuple[tuple[int, int], tuple[int, int]]:
    """First pixel and size of the part of the map that a photograph shows, in whole blocks."""
    block = grid.cell_px * ALIGNED_CELLS
    pixels = grid.to_px(shown_by(solved, number)[0])
    most = np.array(grid.size_px) // block
    first = np.clip(np.floor((pixels.min(axis=0) + 0.5) / block), 0, most - 1).astype(int)
    last = np.clip(np.ceil((pixels.max(axis=0) + 0.5) / block), first + 1, most).astype(int)
    (column, row), (width, height) = first * block, (last - first) * block
    return (int(column), int(row)), (int(width), int(height))


def _nodes(length: int) -> NDArray[np.float64]:
    """Nodes along one side, one beyond either end, half-way between as pixels are when enlarged."""
    count = -(-length // _NODE_PX) + 2
    return np.asarray((np.arange(count, dtype=float) - 0.5) * _NODE_PX - 0.5, np.float64)


def _pairs(x: NDArray[np.floating], y: NDArray[np.floating]) -> NDArray[np.float64]:
    across, down = np.meshgrid(x, y)
    return np.column_stack((across.ravel(), down.ravel()))


def _seen_at(
    places: NDArray[np.float64], number: int, solved: SolvedPhotos
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Full-size pixels of places, and the scale there; 0 where the photograph cannot be used."""
    forward = solved.mm_to_px[number]
    ahead = places @ forward[2, :2] + forward[2, 2] > 1e-9
    pixels = np.full(places.shape, _OFF)
    scale = np.zeros(len(places))
    pixels[ahead] = solved.to_px(number, places[ahead])
    scale[ahead] = singular_values(jacobian(forward, places[ahead]))[1]
    scale[scale < least_scale(solved, number)] = 0
    scale[ahead] *= _before_the_fold(places[ahead], number, solved)
    return pixels, scale


def _before_the_fold(
    places: NDArray[np.float64], number: int, solved: SolvedPhotos
) -> NDArray[np.bool_]:
    """Where the lens's polynomial still grows outwards; beyond, it folds back into the photo."""
    size = np.asarray(solved.photo_sizes_px[number], dtype=float)
    plain = SolvedPhotos(solved.mm_to_px, solved.photo_sizes_px, Lens())
    offset = (plain.to_px(number, places) - (size - 1) / 2) / (np.hypot(*size) / 2)
    r2 = (offset**2).sum(axis=1)
    lens = solved.lens_of(number)
    k1, k2 = lens.k1, lens.k2
    grows = 1 + 3 * k1 * r2 + 5 * k2 * r2**2 > 0
    # where the slope has no second zero nearer in, a positive slope means no fold on the way
    turn = _first_zero(k1, k2)
    return np.asarray(grows & (r2 < turn))


def _first_zero(k1: float, k2: float) -> float:
    roots = np.roots([5 * k2, 3 * k1, 1.0]) if k2 or k1 else np.array([])
    real = [root.real for root in roots if abs(root.imag) < 1e-12 and root.real > 0]
    return min(real, default=np.inf)


def _between_nodes(values: NDArray[np.floating], size: tuple[int, int]) -> NDArray[np.float32]:
    """Straight interpolation between nodes, at every pixel."""
    rows, columns = values.shape[:2]
    full = cv2.resize(
        values.astype(np.float32), (columns * _NODE_PX, rows * _NODE_PX),
        interpolation=cv2.INTER_LINEAR,
    )  # fmt: skip
    width, height = size
    return np.ascontiguousarray(full[_NODE_PX : _NODE_PX + height, _NODE_PX : _NODE_PX + width])


def _inside(pixels: NDArray[np.float32], photo_size_px: tuple[int, int]) -> NDArray[np.bool_]:
    width, height = photo_size_px
    x, y = pixels[..., 0], pixels[..., 1]
    return np.asarray((x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1))
