"""One table of all columns: name, kind, unit and meaning, for code, exports and docs."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from scrapeview.flags import FLAGS


@dataclass(frozen=True)
class Column:
    """A column of one of the tables.

    Parameters
    ----------
    table : str
        "points", "cells", "regions", "sizes"; "faces", "passes", "history"; "moved", "compared",
        "places"; "criteria" or "balance"; "seams", "gaps" or "joined".
    name, dtype, unit, meaning : str
        `dtype` is a numpy name; `unit` is "" where there is none.
    """

    table: str
    name: str
    dtype: str
    unit: str
    meaning: str


COLUMNS = (
    Column("points", "x_mm", "float64", "mm", "centroid from the face's left, to the right"),
    Column("points", "y_mm", "float64", "mm", "centroid from the face's top, downwards"),
    Column("points", "area_mm2", "float64", "mm2", "area inside the face, hollow middle included"),
    Column("points", "diameter_mm", "float64", "mm", "diameter of the circle of the same area"),
    Column("points", "film_share", "float64", "", "film thickness, share of the full film (1)"),
    Column("points", "region", "int16", "", "number of the region it lies in, from 1"),
    Column("points", "mark", "int32", "", "number of the connected mark it is part of"),
    *(Column("points", f.name, "bool", "", f.meaning) for f in FLAGS),
    Column("cells", "column", "int32", "", "cell number from the left, from 0"),
    Column("cells", "row", "int32", "", "cell number from the top, from 0"),
    Column("cells", "x_mm", "float64", "mm", "left side of the cell"),
    Column("cells", "y_mm", "float64", "mm", "top side of the cell"),
    Column("cells", "area_mm2", "float64", "mm2", "area of the face inside the cell"),
    Column("cells", "points", "int32", "", "points whose centroid lies in the cell"),
    Column("cells", "contact_percent", "float64", "%", "share of the cell's area in contact"),
    Column("cells", "points_per_square_inch", "float64", "1/in2", "points by the true area"),
    Column("cells", "points_per_25mm_square", "float64", "1/(25 mm)2", "points by the true area"),
    Column("cells", "enough_area", "bool", "", "whether at least half of the cell is face"),
    Column("regions", "region", "int16", "", "number of the outline polygon, from 1"),
    Column("regions", "area_mm2", "float64", "mm2", "its area, openings and washed-out places off"),
    Column("regions", "contact_percent", "float64", "%", "share of its area in contact"),
    Column("regions", "points", "int32", "", "points whose centroid lies in it"),
    Column("regions", "points_per_square_inch", "float64", "1/in2", "points by area"),
    Column("regions", "points_per_25mm_square", "float64", "1/(25 mm)2", "points by area"),
    Column("sizes", "from_mm", "float64", "mm", "smallest diameter of the class"),
    Column("sizes", "to_mm", "float64", "mm", "largest diameter of the class"),
    Column("sizes", "points", "int32", "", "points of that size"),
    Column("sizes", "contact_share_percent", "float64", "%", "their share of all points' area"),
    Column("passes", "number", "int32", "", "number of the pass, from 1"),
    Column("passes", "placement", "str", "", "where the reference lay, if it was told"),
    Column("passes", "placement_start_mm", "float64", "mm", "where it began; NaN if not told"),
    Column("passes", "placement_length_mm", "float64", "mm", "how long it was; NaN if not told"),
    Column("passes", "placement_side", "str", "", "far, near or nothing for the whole width"),
    Column(
        "passes", "printed_at", "str", "", "time the photograph was taken, else when it was kept"
    ),
    Column("passes", "who", "str", "", "who scraped"),
    Column("passes", "scraping", "str", "", "rough, spacing out, finish or single points"),
    Column("passes", "metal_um", "float64", "um", "stroke depth or metal taken; NaN if not told"),
    Column("passes", "hours", "float64", "h", "time it took; NaN if not told"),
    Column("passes", "notes", "str", "", "what was noted"),
    Column("passes", "is_print", "bool", "", "whether a print was found at all"),
    Column("passes", "count_reliable", "bool", "", "whether marks are apart enough to be counted"),
    Column("passes", "contact_percent", "float64", "%", "share of the face's area in contact"),
    Column("passes", "contact_low_percent", "float64", "%", "lower end of its interval"),
    Column("passes", "contact_high_percent", "float64", "%", "upper end of its interval"),
    Column("passes", "points", "int32", "", "points counted"),
    Column("passes", "points_per_square_inch", "float64", "1/in2", "points by area"),
    Column("passes", "ppsi_low", "float64", "1/in2", "lower end of its interval"),
    Column("passes", "ppsi_high", "float64", "1/in2", "upper end of its interval"),
    Column("passes", "points_per_25mm_square", "float64", "1/(25 mm)2", "points by area"),
    Column("passes", "area_mm2", "float64", "mm2", "area read"),
    Column("passes", "worst_contact_percent", "float64", "%", "contact in the worst square"),
    Column("passes", "worst_points_per_square_inch", "float64", "1/in2", "points there"),
    Column("passes", "bare_circle_mm", "float64", "mm", "largest circle without contact"),
    Column("passes", "bare_area_mm2", "float64", "mm2", "largest open bare area"),
    Column("passes", "median_diameter_mm", "float64", "mm", "diameter of the median point"),
    Column("passes", "small_diameter_mm", "float64", "mm", "one point in ten is smaller"),
    Column("passes", "large_diameter_mm", "float64", "mm", "one point in ten is larger"),
    Column("passes", "spacing_index", "float64", "", "1 strewn at random, 2 a square lattice"),
    Column("passes", "haze_percent", "float64", "%", "film between the points"),
    Column("passes", "smear_percent", "float64", "%", "film dragged out of the points"),
    Column("passes", "merged_percent", "float64", "%", "contact in merged patches"),
    Column("passes", "washed_out_percent", "float64", "%", "face lost to glare"),
    Column("passes", "corrections", "int32", "", "corrections made by hand"),
    Column("passes", "readings", "int32", "", "readings there are of the print"),
    Column("passes", "print_id", "int64", "", "number of the print in the record"),
    Column("passes", "reading_id", "int64", "", "number of the current reading in the record"),
    Column("history", "reading_id", "int64", "", "number of the reading in the record"),
    Column("history", "read_at_utc", "str", "", "time it was read"),
    Column("history", "why", "str", "", "why it was made the current one"),
    Column("history", "current", "bool", "", "whether it is the current one now"),
    Column("history", "chosen_at_utc", "str", "", "time it was made the current one"),
    Column("history", "contact_percent", "float64", "%", "share of the face's area in contact"),
    Column("history", "points_per_square_inch", "float64", "1/in2", "points by area"),
    Column("history", "corrections", "int32", "", "corrections made by hand"),
    Column("history", "scrapeview_version", "str", "", "version that read it"),
    Column("faces", "face_id", "int64", "", "number of the face in the record"),
    Column("faces", "machine", "str", "", "name of its machine"),
    Column("faces", "part", "str", "", "name of its part"),
    Column("faces", "face", "str", "", "its name"),
    Column("faces", "role", "str", "", "what it does: way, gib, table"),
    Column("faces", "passes", "int32", "", "passes there are"),
    Column("faces", "waiting", "bool", "", "whether it waits for a print"),
    Column("faces", "last_printed_at", "str", "", "time of its last print"),
    Column(
        "faces", "contact_percent", "float64", "%", "contact of the last pass, placements by area"
    ),
    Column(
        "faces",
        "points_per_square_inch",
        "float64",
        "1/in2",
        "of the last pass, placements by area",
    ),
    Column("faces", "count_reliable", "bool", "", "whether that count can be relied on"),
    Column("faces", "is_print", "bool", "", "whether a print was found there at all"),
    Column("faces", "target_contact_least_percent", "float64", "%", "contact asked at least"),
    Column("faces", "target_contact_most_percent", "float64", "%", "contact allowed at most"),
    Column("faces", "target_ppsi_least", "float64", "1/in2", "points asked at least"),
    Column("eye_counts", "pass_number", "int64", "", "number of the pass"),
    Column("eye_counts", "placement", "str", "", "where the reference lay, if it was told"),
    Column("eye_counts", "x_mm", "float64", "mm", "left side of the square on the face"),
    Column("eye_counts", "y_mm", "float64", "mm", "top side of the square on the face"),
    Column("eye_counts", "side_mm", "float64", "mm", "side of the square"),
    Column("eye_counts", "by_eye", "int64", "", "points counted by eye"),
    Column("eye_counts", "by_tool", "int64", "", "points counted in the photograph"),
    Column("eye_counts", "who", "str", "", "who counted"),
    Column("eye_counts", "counted_at_utc", "str", "", "time it was counted"),
    Column("eye_counts", "print_id", "int64", "", "number of the print in the record"),
    Column("eye_counts", "reading_id", "int64", "", "number of the reading in the record"),
    Column("swing_tests", "pass_number", "int64", "", "number of the pass before the test"),
    Column("swing_tests", "result", "str", "", "convex, hollow or even"),
    Column("swing_tests", "pivot_percent", "float64", "%", "where it turned, from the end at rest"),
    Column("swing_tests", "who", "str", "", "who tested"),
    Column("swing_tests", "notes", "str", "", "what was noted"),
    Column("swing_tests", "made_at_utc", "str", "", "time of the test"),
    Column("film_calibrations", "um", "float64", "um", "what one film unit is worth"),
    Column("film_calibrations", "low_um", "float64", "um", "lower end of its interval"),
    Column("film_calibrations", "high_um", "float64", "um", "upper end of its interval"),
    Column("film_calibrations", "how", "str", "", "shim or own figure"),
    Column("film_calibrations", "pass_number", "int64", "", "pass it is from; 0 if not told"),
    Column("film_calibrations", "notes", "str", "", "what was noted"),
    Column("film_calibrations", "made_at_utc", "str", "", "time it was told"),
    Column("line_checks", "pass_number", "int64", "", "number of the pass before the check"),
    Column("line_checks", "what", "str", "", "step, tilt along, tilt across, twist or offset"),
    Column("line_checks", "between", "str", "", "names of the two stretches or ways"),
    Column("line_checks", "value_um", "float64", "um", "what was found; of tilts um per m"),
    Column("line_checks", "error_um", "float64", "um", "how sure that is; NaN if not told"),
    Column("line_checks", "instrument", "str", "", "level, indicator and the like"),
    Column("line_checks", "who", "str", "", "who checked"),
    Column("line_checks", "notes", "str", "", "what was noted"),
    Column("line_checks", "made_at_utc", "str", "", "time of the check"),
    Column("moved", "face", "str", "", "machine, part and face"),
    Column("moved", "pass", "int64", "", "number of the pass"),
    Column("moved", "placement", "str", "", "where the reference lay, if it was told"),
    Column("moved", "before_contact_percent", "float64", "%", "contact by the earlier reading"),
    Column("moved", "after_contact_percent", "float64", "%", "contact by the new one"),
    Column("moved", "before_points_per_square_inch", "float64", "1/in2", "by the earlier reading"),
    Column("moved", "after_points_per_square_inch", "float64", "1/in2", "by the new one"),
    Column("moved", "before_points", "int64", "", "points counted by the earlier reading"),
    Column("moved", "after_points", "int64", "", "points counted by the new one"),
    Column("moved", "outcome", "str", "", "read again, or why it was not"),
    Column("compared", "fate", "str", "", "stayed, went, came or not known"),
    Column("compared", "x_mm", "float64", "mm", "centroid in the later print, to the right"),
    Column("compared", "y_mm", "float64", "mm", "centroid in the later print, downwards"),
    Column("compared", "diameter_mm", "float64", "mm", "diameter in the later print"),
    Column("compared", "before_x_mm", "float64", "mm", "centroid in the earlier print"),
    Column("compared", "before_y_mm", "float64", "mm", "centroid in the earlier print"),
    Column("compared", "before_diameter_mm", "float64", "mm", "diameter in the earlier print"),
    Column("compared", "apart_mm", "float64", "mm", "how far the two centroids lie apart"),
    Column("places", "number", "int32", "", "number of the place, largest first, from 1"),
    Column("places", "x_mm", "float64", "mm", "middle of the largest circle in it, to the right"),
    Column("places", "y_mm", "float64", "mm", "middle of the largest circle in it, downwards"),
    Column("places", "area_mm2", "float64", "mm2", "its area"),
    Column("places", "across_mm", "float64", "mm", "diameter of that circle"),
    Column("places", "long_mm", "float64", "mm", "longer side of the rectangle round it"),
    Column("criteria", "pass", "int64", "", "number of the pass that was judged"),
    Column("criteria", "criterion", "str", "", "what is judged, as targets name it"),
    Column("criteria", "zone", "str", "", "part of the face; nothing for the whole"),
    Column("criteria", "figure", "float64", "", "what was found, in the unit of its row"),
    Column("criteria", "low", "float64", "", "lower bound at the stated risk, in that unit"),
    Column("criteria", "high", "float64", "", "upper bound at the stated risk, in that unit"),
    Column("criteria", "unit", "str", "", "unit of the row"),
    Column("criteria", "target", "float64", "", "what is asked, in that unit; NaN for nothing"),
    Column("criteria", "margin", "float64", "", "how far the bound is beyond the target"),
    Column("criteria", "stands", "str", "", "clears, open, falls short or cannot tell"),
    Column("criteria", "why", "str", "", "code of a reason beyond figure and target"),
    Column("balance", "pass", "int64", "", "number of the pass that was judged"),
    Column("balance", "kind", "str", "", "which parts of the face are weighed"),
    Column("balance", "first", "str", "", "the one part"),
    Column("balance", "second", "str", "", "the other"),
    Column("balance", "figure", "str", "", "points or contact"),
    Column("balance", "difference_percent", "float64", "%", "first less second, of their mean"),
    Column("balance", "low_percent", "float64", "%", "lower bound at the stated risk"),
    Column("balance", "high_percent", "float64", "%", "upper bound at the stated risk"),
    Column("balance", "allowed_percent", "float64", "%", "what is allowed; NaN for anything"),
    Column("balance", "stands", "str", "", "clears, open or falls short"),
    Column("to_take", "rank", "int32", "", "order to take them in, from 1; 0 for those to leave"),
    Column("to_take", "number", "int32", "", "row of the point in the table of points, from 1"),
    Column("to_take", "x_mm", "float64", "mm", "centroid from the face's left, to the right"),
    Column("to_take", "y_mm", "float64", "mm", "centroid from the face's top, downwards"),
    Column("to_take", "diameter_mm", "float64", "mm", "diameter of the circle of the same area"),
    Column(
        "to_take", "what", "str", "", "take, later (in a pass after this one), leave or nothing"
    ),
    Column("to_take", "why", "str", "", "code of the reason"),
    Column("to_take", "caution", "str", "", "code of what to look at before it is taken"),
    Column("to_take", "around_ppsi", "float64", "1/in2", "points in the square inch around it"),
    Column("to_take", "around_contact_percent", "float64", "%", "contact in that square inch"),
    Column("seams", "first", "int32", "", "number of the one photograph, from 1"),
    Column("seams", "second", "int32", "", "number of the other"),
    Column("seams", "x_mm", "float64", "mm", "middle of the seam on the map, to the right"),
    Column("seams", "y_mm", "float64", "mm", "middle of the seam on the map, downwards"),
    Column("seams", "length_mm", "float64", "mm", "its length"),
    Column("seams", "apart_mm", "float64", "mm", "how far the two pictures lie apart, median"),
    Column("seams", "most_apart_mm", "float64", "mm", "how far at the worst place along it"),
    Column("seams", "light_percent", "float64", "%", "how much brighter the other is, levelled"),
    Column("seams", "contrast_percent", "float64", "%", "how much more contrast the other has"),
    Column("gaps", "x0_mm", "float64", "mm", "left end of the gap on the map"),
    Column("gaps", "y0_mm", "float64", "mm", "top of the gap on the map"),
    Column("gaps", "x1_mm", "float64", "mm", "right end of the gap on the map"),
    Column("gaps", "y1_mm", "float64", "mm", "foot of the gap on the map"),
    Column("gaps", "area_mm2", "float64", "mm2", "its area"),
    Column("gaps", "reason", "str", "", "no photograph, or washed out in all"),
    Column("joined", "photo", "int32", "", "number of the photograph, from 1"),
    Column("joined", "name", "str", "", "what its file is called"),
    Column("joined", "sha256", "str", "", "SHA-256 of its file"),
    Column("joined", "residual_mm", "float64", "mm", "what the solution leaves in it"),
    Column("joined", "share_percent", "float64", "%", "share of the map that comes from it"),
    Column("joined", "scale", "float64", "px/mm", "pixels a millimetre it holds, median"),
    Column("joined", "edge_mm", "float64", "mm", "width of its sharp edges; 0 without any"),
    Column("joined", "red_gain", "float64", "", "times its red was made brighter"),
    Column("joined", "green_gain", "float64", "", "times its green was made brighter"),
    Column("joined", "blue_gain", "float64", "", "times its blue was made brighter"),
    Column("joined", "contrast", "float64", "", "times its contrast was raised"),
)


def columns_of(table: str) -> tuple[Column, ...]:
    """Return the columns of one table, in order."""
    return tuple(column for column in COLUMNS if column.table == table)


def table(name: str, values: dict[str, object] | None = None) -> pd.DataFrame:
    """Return a data frame with exactly the columns of one table, typed even when empty.

    Raises
    ------
    KeyError
        Where a column is missing.
    """
    columns = columns_of(name)
    if values is None:
        values = {column.name: [] for column in columns}
    return pd.DataFrame({c.name: np.asarray(values[c.name], dtype=c.dtype) for c in columns})
