"""The passes of a face in the units they are shown in, in order and added up."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from scrapeview.charts.shown import Units
from scrapeview.units import MM_PER_INCH, SQUARES_25MM_PER_SQUARE_INCH

UM_PER_THOUSANDTH_INCH = MM_PER_INCH


@dataclass(frozen=True)
class Names:
    """Names of the columns whose unit is the reader's choice, and those units in words."""

    points: str
    points_low: str
    points_high: str
    worst_points: str
    bare_circle: str
    median: str
    small: str
    large: str
    metal: str
    metal_total: str
    points_unit: str
    length_unit: str
    metal_unit: str


METRIC = Names(
    "points_per_25mm_square", "p25_low", "p25_high", "worst_points_per_25mm_square",
    "bare_circle_mm", "median_diameter_mm", "small_diameter_mm", "large_diameter_mm",
    "metal_um", "metal_total_um", "per 25 mm square", "mm", "µm",
)  # fmt: skip
INCH = Names(
    "points_per_square_inch", "ppsi_low", "ppsi_high", "worst_points_per_square_inch",
    "bare_circle_in", "median_diameter_in", "small_diameter_in", "large_diameter_in",
    "metal_thousandths_in", "metal_total_thousandths_in", "per in2", "in", "0.001 in",
)  # fmt: skip

_COUNTS = {
    "points_per_square_inch": "points_per_25mm_square", "ppsi_low": "p25_low",
    "ppsi_high": "p25_high", "worst_points_per_square_inch": "worst_points_per_25mm_square",
}  # fmt: skip
_LENGTHS = (
    "bare_circle_mm", "median_diameter_mm", "small_diameter_mm", "large_diameter_mm",
    "placement_start_mm", "placement_length_mm",
)  # fmt: skip


def names_in(units: Units) -> Names:
    """Return the names of the columns in those units."""
    return INCH if units == "inch" else METRIC


def progress_frame(passes: pd.DataFrame, units: Units) -> pd.DataFrame:
    """Return the prints of a face in order, in the reader's units, with hours and metal added up.

    Parameters
    ----------
    passes : DataFrame
        With the columns of the table "passes", in any order of rows.
    units : {"metric", "inch"}
        metric: points per 25 mm square, mm, um. inch: points per square inch, in,
        metal in 0.001 in.

    Returns
    -------
    DataFrame
        The columns of "passes", those with another unit under the names of `names_in(units)`, and
        `hours_total` and the metal's total: what was told up to that pass, NaN until something was.
        What a pass took counts once, however many prints it has.
    """
    frame = passes.sort_values(["number", "print_id"], kind="stable").reset_index(drop=True)
    frame["hours_total"] = _added_up(frame["number"], frame["hours"])
    frame["metal_total_um"] = _added_up(frame["number"], frame["metal_um"])
    if units == "inch":
        return _in_inches(frame)
    per_25mm = frame[list(_COUNTS)] / SQUARES_25MM_PER_SQUARE_INCH
    return frame.drop(columns=[*_COUNTS, "points_per_25mm_square"]).join(
        per_25mm.rename(columns=_COUNTS)
    )


def _in_inches(frame: pd.DataFrame) -> pd.DataFrame:
    lengths = frame[list(_LENGTHS)] / MM_PER_INCH
    metal = frame[["metal_um", "metal_total_um"]] / UM_PER_THOUSANDTH_INCH
    kept = frame.drop(columns=[*_LENGTHS, *metal.columns, "points_per_25mm_square"])
    return kept.join(lengths.rename(columns=lambda name: name.replace("_mm", "_in"))).join(
        metal.rename(columns=lambda name: name.replace("_um", "_thousandths_in"))
    )


def _added_up(number: pd.Series, told: pd.Series) -> NDArray[np.float64]:
    each = told.groupby(number).first()
    total = each.fillna(0.0).cumsum().where(each.notna().cummax())
    return np.asarray(number.map(total), dtype=np.float64)


def pass_line(frame: pd.DataFrame, column: str, usable: NDArray[np.bool_]) -> pd.Series:
    """Return one value a pass to join by a line: its prints' mean, weighted by the area read.

    Parameters
    ----------
    frame : DataFrame
        From `progress_frame`.
    column : str
    usable : (n,) bool
        Prints whose figure means something.

    Returns
    -------
    Series
        By pass number; NaN, which breaks the line, where a print of the pass is not usable.
    """
    numbers, of_pass = np.unique(frame["number"].to_numpy(), return_inverse=True)
    area = frame["area_mm2"].to_numpy(dtype=np.float64)
    area = np.where(area > 0, area, 1.0)
    values = np.where(usable, frame[column].to_numpy(dtype=np.float64), np.nan)
    sums = np.bincount(of_pass, values * area, len(numbers))
    return pd.Series(sums / np.bincount(of_pass, area, len(numbers)), index=numbers)
