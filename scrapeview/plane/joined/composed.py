"""The map's pixels, each from the photograph its cell belongs to, and the picture made of them."""

import struct
import zlib
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.joined.map_grid import MapGrid
from scrapeview.plane.joined.warped import Warped

_FADE_MM = 0.5
"""Width over which one photograph gives way to the other."""
_NOTHING = 128
"""Grey of what no photograph shows."""
_WHOLE = 0.999
_LEAST_SHARE = 1e-3
_FAST_PNG = (
    cv2.IMWRITE_PNG_COMPRESSION, 1,
    cv2.IMWRITE_PNG_STRATEGY, cv2.IMWRITE_PNG_STRATEGY_RLE,
    cv2.IMWRITE_PNG_FILTER, cv2.IMWRITE_PNG_FILTER_SUB,
)  # fmt: skip
_HEADER_BYTES = 33
"""Signature and header of a PNG; what tells its scale follows."""
_PER_METRE = 1


def map_picture(
    warped: Sequence[Warped],
    pictures: Sequence[NDArray[np.uint8]],
    labels: NDArray[np.int16],
    grid: MapGrid,
) -> bytes:
    """Return the map as the bytes of a PNG; parameters as for `composed`."""
    return png_of(composed(warped, pictures, labels, grid), grid.px_per_mm)


def composed(
    warped: Sequence[Warped],
    pictures: Sequence[NDArray[np.uint8]],
    labels: NDArray[np.int16],
    grid: MapGrid,
) -> NDArray[np.uint8]:
    """Return the map (h, w, 3).

    Parameters
    ----------
    warped : sequence of Warped
        Where each photograph lies.
    pictures : sequence of (h, w, 3) uint8 arrays
        Their pixels, levelled.
    labels : (h', w') int16 array
        Which photograph each cell comes from, -1 for none.
    grid : MapGrid
    """
    width, height = grid.size_px
    rgb = np.full((height, width, 3), _NOTHING, np.uint8)
    shares = np.zeros((height, width), np.float32)
    faded = np.zeros((height, width, 3), np.float32)
    for number, (laid, picture) in enumerate(zip(warped, pictures, strict=True)):
        part, own = _own_part(labels, number, laid, grid)
        if own is None:
            continue
        inner = np.s_[
            part[0].start - laid.row : part[0].stop - laid.row,
            part[1].start - laid.column : part[1].stop - laid.column,
        ]
        share = _faded(own, grid) * laid.valid[inner]
        whole = share > _WHOLE
        cv2.copyTo(picture[inner], whole.view(np.uint8), rgb[part])
        some = np.nonzero((share > 0) & ~whole)
        faded[part][some] += picture[inner][some] * share[some][:, None]
        shares[part][some] += share[some]
    between = np.nonzero(shares > _LEAST_SHARE)
    rgb[between] = np.rint(faded[between] / shares[between][:, None])
    return rgb


def _own_part(
    labels: NDArray[np.int16], number: int, laid: Warped, grid: MapGrid
) -> tuple[tuple[slice, slice], NDArray[np.bool_] | None]:
    """Pixels of the map round a photograph's own cells, and which of those cells are its own."""
    cells = np.s_[
        laid.row // grid.cell_px : (laid.row + laid.valid.shape[0]) // grid.cell_px,
        laid.column // grid.cell_px : (laid.column + laid.valid.shape[1]) // grid.cell_px,
    ]
    own = labels[cells] == number
    rows, columns = np.flatnonzero(own.any(axis=1)), np.flatnonzero(own.any(axis=0))
    if not len(rows):
        return cells, None
    # one cell more all round, as far as the photograph goes, to fade out in
    top, foot = max(0, rows[0] - 1), min(len(own), rows[-1] + 2)
    left, right = max(0, columns[0] - 1), min(own.shape[1], columns[-1] + 2)
    part = (
        slice(laid.row + top * grid.cell_px, laid.row + foot * grid.cell_px),
        slice(laid.column + left * grid.cell_px, laid.column + right * grid.cell_px),
    )
    return part, own[top:foot, left:right]


def _faded(own: NDArray[np.bool_], grid: MapGrid) -> NDArray[np.float32]:
    """Share of each pixel that is a photograph's own: 1 in its cells, less across their border."""
    fade = 2 * max(1, round(_FADE_MM * grid.px_per_mm / 2 - 0.25)) + 1
    size = (own.shape[1] * grid.cell_px, own.shape[0] * grid.cell_px)
    whole = cv2.resize(own.astype(np.float32), size, interpolation=cv2.INTER_NEAREST)
    return np.asarray(cv2.blur(whole, (fade, fade)), np.float32)


def png_of(rgb: NDArray[np.uint8], px_per_mm: float) -> bytes:
    """Return a map as the bytes of a PNG that opens at its true size."""
    _, encoded = cv2.imencode(".png", cv2.cvtColor(rgb, cv2.COLOR_RGB2BGR), _FAST_PNG)
    plain = encoded.tobytes()
    per_metre = round(1000 * px_per_mm)
    told = b"pHYs" + struct.pack(">IIB", per_metre, per_metre, _PER_METRE)
    chunk = struct.pack(">I", len(told) - 4) + told + struct.pack(">I", zlib.crc32(told))
    return plain[:_HEADER_BYTES] + chunk + plain[_HEADER_BYTES:]
