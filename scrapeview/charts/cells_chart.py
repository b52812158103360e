"""A map of the cells as a Vega-Lite chart, a plain description that any front end can draw."""

from typing import Any, Literal

from scrapeview.result import Reading
from scrapeview.units import MM_PER_INCH

Figure = Literal["contact_percent", "points_per_square_inch", "points_per_25mm_square"]
TITLES = {
    "contact_percent": "contact, %",
    "points_per_square_inch": "points/in2",
    "points_per_25mm_square": "points/25 mm square",
}


def cells_chart(reading: Reading, figure: Figure, units: str = "metric") -> dict[str, Any]:
    """Return a Vega-Lite chart of one figure over the cells of a face.

    Cells of which less than half is face are pale, as their figures do not compare.

    Parameters
    ----------
    reading : Reading
    figure : str
        Column of the table of cells.
    units : {"metric", "inch"}
        For the axes.
    """
    per_unit, unit = (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")
    side = reading.settings.cell_mm
    rows = [
        {
            "left": cell["x_mm"] / per_unit, "right": (cell["x_mm"] + side) / per_unit,
            "top": cell["y_mm"] / per_unit, "bottom": (cell["y_mm"] + side) / per_unit,
            "middle_x": (cell["x_mm"] + side / 2) / per_unit,
            "middle_y": (cell["y_mm"] + side / 2) / per_unit,
            "figure": round(cell[figure], 1), "enough": bool(cell["enough_area"]),
        }
        for cell in reading.cells.to_dict("records")
    ]  # fmt: skip
    plain = {"nice": False, "zero": False}
    across = {
        "field": "left", "type": "quantitative", "title": f"from the left, {unit}", "scale": plain,
    }  # fmt: skip
    down = {
        "field": "top", "type": "quantitative", "title": f"from the top, {unit}",
        "scale": {**plain, "reverse": True},
    }  # fmt: skip
    half = max((row["figure"] for row in rows), default=0.0) * 0.55
    height_over_width = _height_over_width(rows)
    return {
        "data": {"values": rows},
        "height": round(min(620, max(120, 560 * height_over_width))),
        "layer": [
            {
                "mark": {"type": "rect", "stroke": "white", "strokeWidth": 1},
                "encoding": {
                    "x": across, "x2": {"field": "right"}, "y": down, "y2": {"field": "bottom"},
                    "color": {
                        "field": "figure", "type": "quantitative", "title": TITLES[figure],
                        "scale": {"scheme": "blues", "zero": True},
                        "legend": {"orient": "top"},
                    },
                    "opacity": {"condition": {"test": "datum.enough", "value": 1}, "value": 0.35},
                    "tooltip": [{"field": "figure", "title": TITLES[figure]}],
                },
            },
            {
                "mark": {"type": "text", "fontSize": 12},
                "encoding": {
                    "x": {"field": "middle_x", "type": "quantitative"},
                    "y": {"field": "middle_y", "type": "quantitative"},
                    "text": {"field": "figure", "format": ".0f"},
                    "color": {
                        "condition": {"test": f"datum.figure > {half}", "value": "white"},
                        "value": "#16181d",
                    },
                },
            },
        ],
    }  # fmt: skip


def _height_over_width(rows: list[dict[str, Any]]) -> float:
    if not rows:
        return 0.5
    width = max(row["right"] for row in rows) - min(row["left"] for row in rows)
    height = max(row["bottom"] for row in rows) - min(row["top"] for row in rows)
    return float(height / width)
