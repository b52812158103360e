"""Statistics of many square tiles at once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scrapeview.film.light import FloatImage

FEWEST_PIXELS = 16


@dataclass(frozen=True, eq=False)
class Tiles:
    """The pixels of each tile, sorted.

    Parameters
    ----------
    values : (rows, columns, n) float32
        Pixels in rising order, those outside the face last, as infinity.
    counts : (rows, columns) int
        Pixels of the face in each tile.
    """

    values: FloatImage
    counts: NDArray[np.int64]

    @property
    def known(self) -> NDArray[np.bool_]:
        """Tiles with enough pixels to say anything, (rows, columns)."""
        return self.counts >= FEWEST_PIXELS

    def quantile(self, share: float) -> FloatImage:
        """Return a quantile (0-1) of each tile, (rows, columns); of no use where not known."""
        index = (share * np.maximum(self.counts - 1, 0)).astype(np.intp)
        found = np.take_along_axis(self.values, index[..., None], axis=2)[..., 0]
        return np.where(self.known, found, 0).astype(np.float32)


def sorted_tiles(values: FloatImage, inside: NDArray[np.bool_], tile_px: int) -> Tiles:
    """Cut a picture into tiles of about `tile_px` pixels and sort each."""
    h, w = values.shape
    rows, columns = max(1, round(h / tile_px)), max(1, round(w / tile_px))
    high, wide = -(-h // rows), -(-w // columns)
    # rounded up, fewer tiles may do
    rows, columns = -(-h // high), -(-w // wide)
    held = np.full((rows * high, columns * wide), np.inf, dtype=np.float32)
    held[:h, :w] = np.where(inside, values, np.inf)
    blocks = held.reshape(rows, high, columns, wide).transpose(0, 2, 1, 3)
    pixels = np.sort(blocks.reshape(rows, columns, high * wide), axis=2)
    return Tiles(pixels, np.isfinite(pixels).sum(axis=2))


@dataclass(frozen=True, eq=False)
class TwoClasses:
    """Each tile cut in two by Otsu's criterion, (rows, columns) each.

    Parameters
    ----------
    distance : float32
        Mean of the upper class above that of the lower.
    explained : float32
        Share of the variance the two classes explain, 0-1.
    spread : float32
        Standard deviation of the lower class.
    """

    distance: FloatImage
    explained: FloatImage
    spread: FloatImage


def two_classes(tiles: Tiles) -> TwoClasses:
    """Cut each tile where the variance between the two classes is largest (Otsu 1979), exactly."""
    counts = np.maximum(tiles.counts, 1)[..., None].astype(np.float64)
    finite = np.isfinite(tiles.values)
    values = np.where(finite, tiles.values, 0).astype(np.float64)
    below = np.minimum(np.arange(1, values.shape[2] + 1), counts)
    sums, squares = np.cumsum(values, axis=2), np.cumsum(values**2, axis=2)
    mean = sums[..., -1:] / counts
    variance = np.maximum(squares[..., -1:] / counts - mean**2, 1e-12)
    share = below / counts
    mean_below = sums / below
    splits = finite & (below < counts)
    between = np.where(splits, share / np.maximum(1 - share, 1e-9) * (mean_below - mean) ** 2, 0)
    best = between.argmax(axis=2)[..., None]

    def at(of: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.take_along_axis(of, best, axis=2)[..., 0]

    low, part = at(mean_below), at(share)
    whole = mean[..., 0]
    high = (whole - part * low) / np.maximum(1 - part, 1e-9)
    spread = np.sqrt(np.maximum(at(squares / below) - low**2, 0))
    return TwoClasses(
        (high - low).astype(np.float32),
        (at(between) / variance[..., 0]).astype(np.float32),
        spread.astype(np.float32),
    )
