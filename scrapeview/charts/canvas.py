"""A picture in millimetres of the face: draws lines, markers and masks at their true place."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

Colour = tuple[int, int, int]
_SHIFT = 4
"""OpenCV draws at 1/16 px."""


@dataclass(frozen=True, eq=False)
class Canvas:
    """Pixels (h, w, 3) uint8, with a scale and the face point of pixel (0, 0)'s centre."""

    rgb: NDArray[np.uint8]
    px_per_mm: float
    origin_mm: tuple[float, float]

    @classmethod
    def over(cls, bounds_mm: Sequence[float], px_per_mm: float, margin_mm: float) -> "Canvas":
        """Return an empty canvas over (x0, y0, x1, y1) and a margin all round."""
        x0, y0, x1, y1 = bounds_mm
        width = max(1, round((x1 - x0 + 2 * margin_mm) * px_per_mm))
        height = max(1, round((y1 - y0 + 2 * margin_mm) * px_per_mm))
        half = 0.5 / px_per_mm
        origin = (x0 - margin_mm + half, y0 - margin_mm + half)
        return cls(np.zeros((height, width, 3), np.uint8), px_per_mm, origin)

    @property
    def shape(self) -> tuple[int, int]:
        """Height and width, px."""
        return self.rgb.shape[0], self.rgb.shape[1]

    def to_px(self, xy_mm: ArrayLike) -> NDArray[np.float64]:
        """Return canvas pixels (N, 2) of face points (N, 2) in mm."""
        points = np.asarray(xy_mm, dtype=float).reshape(-1, 2)
        return (points - self.origin_mm) * self.px_per_mm

    def brought(
        self, raster: NDArray[Any], px_per_mm: float, origin_mm: tuple[float, float]
    ) -> NDArray[Any]:
        """Return a raster on another grid of the same face, resampled onto this canvas."""
        scale = px_per_mm / self.px_per_mm
        shift = (np.array(self.origin_mm) - origin_mm) * px_per_mm
        onto = np.array([[scale, 0, shift[0]], [0, scale, shift[1]]])
        flags = cv2.WARP_INVERSE_MAP | (cv2.INTER_CUBIC if scale < 1 else cv2.INTER_AREA)
        border = cv2.BORDER_REPLICATE if raster.ndim == 3 else cv2.BORDER_CONSTANT
        return np.asarray(
            cv2.warpAffine(raster, onto, self.shape[::-1], flags=flags, borderMode=border)
        )

    def brought_mask(
        self, mask: NDArray[np.bool_], px_per_mm: float, origin_mm: tuple[float, float]
    ) -> NDArray[np.bool_]:
        """Return a mask on another grid of the same face, on this canvas, its edges smooth."""
        soft = self.brought(mask.astype(np.uint8) * 255, px_per_mm, origin_mm)
        return np.asarray(soft > 127)

    def line(
        self,
        xy_px: NDArray[np.float64],
        colour: Colour,
        thickness: int,
        *,
        closed: bool = False,
        dash_px: float = 0.0,
    ) -> None:
        """Draw a line through pixels, whole or dashed."""
        whole = np.vstack((xy_px, xy_px[:1])) if closed else xy_px
        pieces = list(_dashes(whole, dash_px)) if dash_px > 0 else [whole]
        fixed = [np.round(piece * 2**_SHIFT).astype(np.int32)[:, None] for piece in pieces]
        cv2.polylines(self.rgb, fixed, False, colour, thickness, cv2.LINE_AA, _SHIFT)

    def disc(self, x: float, y: float, radius: float, colour: Colour, thickness: int = -1) -> None:
        """Draw a disc, or a ring of the given thickness, round a pixel."""
        centre = round(x * 2**_SHIFT), round(y * 2**_SHIFT)
        cv2.circle(
            self.rgb, centre, round(radius * 2**_SHIFT), colour, thickness, cv2.LINE_AA, _SHIFT
        )

    def outline(
        self, mask: NDArray[np.bool_], colour: Colour, thickness: int, dash_px: float = 0.0
    ) -> None:
        """Draw the borders of a mask, those of its holes too."""
        found, _ = cv2.findContours(mask.view(np.uint8), cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
        for contour in found:
            border = np.asarray(contour, dtype=float).reshape(-1, 2)
            self.line(border, colour, thickness, closed=True, dash_px=dash_px)

    def blend(self, mask: NDArray[np.bool_], colour: Colour, share: float) -> None:
        """Mix a colour into the pixels of a mask."""
        mixed = self.rgb[mask] * (1 - share) + np.array(colour) * share
        self.rgb[mask] = np.round(mixed).astype(np.uint8)


def _dashes(line: NDArray[np.float64], dash_px: float) -> Iterator[NDArray[np.float64]]:
    """Cut a line into dashes with gaps two thirds as long."""
    steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
    along = np.concatenate(([0.0], np.cumsum(steps)))
    for start in np.arange(0.0, along[-1], dash_px * 5 / 3):
        end = min(start + dash_px, along[-1])
        inner = along[(along > start) & (along < end)]
        at = np.concatenate(([start], inner, [end]))
        yield np.column_stack([np.interp(at, along, line[:, axis]) for axis in (0, 1)])
