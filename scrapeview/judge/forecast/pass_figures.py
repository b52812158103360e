"""One figure of a face pass by pass, with its error, as a forecast weighs it."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.findings import FINDING_CODES

Which = Literal["points", "contact"]
Array = NDArray[np.float64]

FIGURE_COLUMNS: dict[Which, tuple[str, str, str]] = {
    "points": ("points_per_square_inch", "ppsi_low", "ppsi_high"),
    "contact": ("contact_percent", "contact_low_percent", "contact_high_percent"),
}
"""Columns of the figure and of both ends of its interval."""
READING_Z = 1.959964
"""Half widths of readings' intervals (95 %) in standard errors."""
LEAST_ERROR = 0.02
"""Share of the figure; two prints of one face never agree better, whatever the intervals say."""
LEAST = 1e-3
"""Error of a figure of 0."""
UNKNOWN_ERROR = 0.2
"""Share of the figure where the face is too small for an interval."""
_LIMITS = {code.code: (code.warn, code.bad) for code in FINDING_CODES}


@dataclass(frozen=True, eq=False)
class PassFigures:
    """One figure of a face, one value a pass, in order.

    Parameters
    ----------
    which : {"points", "contact"}
        Points per square inch, or contact in percent.
    passes : (n,) int
        Numbers of the passes that have something to go by.
    figures : (n,) float
    errors : (n,) float
        Standard errors, wider where a print is not to be relied on.
    usable : (n,) bool
        Whether the pass has a print that can be relied on well enough for a forecast.
    last_pass : int
        Of all passes with a print, 0 where there is none.
    """

    which: Which
    passes: NDArray[np.int64]
    figures: Array
    errors: Array
    usable: NDArray[np.bool_]
    last_pass: int

    @property
    def usable_passes(self) -> int:
        """Passes that can be relied on well enough."""
        return int(self.usable.sum())


def pass_figures(progress: pd.DataFrame, which: Which) -> PassFigures:
    """Return one figure pass by pass; the prints of a pass are weighed by the area they read.

    A print without any marks says nothing and is left out. Heavy film, and for points marks that
    run together, widen the error: twice where the reading's check warns, in proportion beyond. A
    print past the check's worse limit counts only where its pass has no better one, and not as
    usable.

    Parameters
    ----------
    progress : DataFrame
        Columns of the table "passes", rows in any order.
    which : {"points", "contact"}
    """
    frame = progress.sort_values(["number", "print_id"], kind="stable").reset_index(drop=True)
    frame = frame.assign(**_read(frame, which))
    found = frame["is_print"].to_numpy(dtype=bool) & np.isfinite(frame["figure"].to_numpy())
    pooled = [_pooled(prints) for _, prints in frame[found].groupby("number")]
    table = pd.DataFrame(pooled, columns=["number", "figure", "error", "usable"])
    return PassFigures(
        which,
        table["number"].to_numpy(dtype=np.int64),
        table["figure"].to_numpy(dtype=np.float64),
        table["error"].to_numpy(dtype=np.float64),
        table["usable"].to_numpy(dtype=bool),
        int(frame["number"].max()) if len(frame) else 0,
    )


def _read(frame: pd.DataFrame, which: Which) -> dict[str, Array | NDArray[np.bool_]]:
    figure, low, high = (frame[name].to_numpy(dtype=np.float64) for name in FIGURE_COLUMNS[which])
    error = (high - low) / (2 * READING_Z)
    error = np.where(np.isfinite(error), error, UNKNOWN_ERROR * figure)
    error = np.maximum(error, np.maximum(LEAST_ERROR * figure, LEAST))
    wider, usable = _doubt(frame["haze_percent"], "heavy_film")
    if which == "points":
        merged_wider, apart = _doubt(frame["merged_percent"], "merged")
        wider, usable = np.maximum(wider, merged_wider), usable & apart
    return {"figure": figure, "error": error * wider, "usable": usable}


def _doubt(percent: pd.Series, check: str) -> tuple[Array, NDArray[np.bool_]]:
    """How many times a check widens the error, and whether the print is still usable."""
    warn, bad = _LIMITS[check]
    found = np.nan_to_num(percent.to_numpy(dtype=np.float64))
    return np.where(found >= warn, 2 * found / warn, 1.0), np.asarray(found < bad)


def _pooled(prints: pd.DataFrame) -> tuple[int, float, float, bool]:
    usable = bool(prints["usable"].any())
    chosen = prints[prints["usable"]] if usable else prints
    area = chosen["area_mm2"].to_numpy(dtype=np.float64)
    share = area / area.sum() if (area > 0).all() else np.full(len(area), 1 / len(area))
    figure = float(share @ chosen["figure"].to_numpy())
    error = float(np.sqrt(np.sum((share * chosen["error"].to_numpy()) ** 2)))
    return int(chosen["number"].iloc[0]), figure, error, usable
