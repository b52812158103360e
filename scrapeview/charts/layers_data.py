"""The layers of a reading as plain numbers in mm, for whatever draws them: the page's picture."""

from dataclasses import asdict
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from scrapeview.charts import layers, marks, shown
from scrapeview.charts.marks import Mark
from scrapeview.charts.picture import face_of
from scrapeview.charts.plain_layer import Layer, Line, contours_um, hex_of, line_um, lines_layer
from scrapeview.charts.shown import Units
from scrapeview.film.glare import washed_out_mask
from scrapeview.flags import FLAG_NAMES
from scrapeview.plane import View
from scrapeview.result import Reading

FACE = Mark("face", marks.WHITE, "line", marks.NIGHT)
OPENING = Mark("opening", marks.NIGHT, "line", marks.WHITE)
_KINDS_OF_FLAG = {name: name.replace("_", " ") for name in FLAG_NAMES}


def layered(
    reading: Reading, view: View, units: Units = "metric", extra: tuple[Layer, ...] = ()
) -> dict[str, Any]:
    """Return the layers of a reading and their numbers, ready for JSON.

    Parameters
    ----------
    reading : Reading
    view : View
        The picture the layers lie over: the face square-on.
    units : {"metric", "inch"}
        For the words; numbers stay in mm.
    extra : tuple of Layer
        Layers to lie on top.

    Returns
    -------
    dict
        "layers" from the lowest up, "points" and "cells" as columns, and the place of the picture:
        "px_per_mm" and "origin_mm", the face point of its pixel (0, 0)'s centre.
    """
    points = reading.points
    typical = reading.evenness.median_diameter_mm or reading.settings.smallest_point_mm
    return {
        "px_per_mm": view.px_per_mm,
        "origin_mm": list(view.origin_mm),
        "units": units,
        "typical_mm": typical,
        "add_diameter_mm": round(max(typical, reading.settings.smallest_point_mm), 2),
        "points": {
            **{name: _rounded(points[name]) for name in (
                "x_mm", "y_mm", "diameter_mm", "area_mm2", "film_share",
            )},
            "flags": _flags(reading),
        },
        "cells": _cells(reading),
        "layers": [asdict(layer) for layer in (*layers_of(reading, view, units), *extra)],
    }  # fmt: skip


def layers_of(reading: Reading, view: View, units: Units = "metric") -> tuple[Layer, ...]:
    """Return the layers of a reading, from the lowest up; those with nothing in them are left out.

    Parameters
    ----------
    reading : Reading
    view : View
        The picture they lie over; what glare took is seen on it.
    units : {"metric", "inch"}
        For the lengths told in the legend.
    """
    merged = layers.merged_mask(reading)
    scale, origin = reading.px_per_mm, reading.origin_mm
    contact = contours_um(reading.contact_mask & ~merged, scale, origin)
    patches = contours_um(merged, scale, origin)
    bare, square = reading.bare_patch, reading.worst_square
    side = reading.settings.cell_mm
    squares = _cell_squares_um(reading)
    worst = [] if square is None else [_square_um(square.x_mm, square.y_mm, side)]
    circle = [_circle_um(bare.x_mm, bare.y_mm, bare.circle_mm / 2)] if bare.circle_mm > 0 else []
    necks = [line_um(ends) for ends in layers.split_necks_mm(reading)]
    found = (
        lines_layer("cells", marks.CELLS, squares, f"squares of {shown.side(side)}", kind="cells",
                    thick=1.0),
        lines_layer("face", FACE, [line_um(region) for region in reading.regions_mm]),
        lines_layer("openings", OPENING, [line_um(o) for o in reading.openings_mm], fill=0.55),
        lines_layer("glare", marks.WASHED_OUT, _glare(reading, view)),
        lines_layer("left_out", marks.LEFT_OUT, [line_um(o) for o in reading.left_out_mm]),
        lines_layer("contact", marks.OUTLINE, contact),
        lines_layer("merged", marks.MERGED, patches, fill=0.12, thick=2.0),
        lines_layer("splits", marks.SPLIT, necks, f"{marks.SPLIT.name} ({len(necks)})",
                    closed=False),
        *_points(reading),
        lines_layer("bare", marks.BARE, circle,
                    f"{marks.BARE.name}, {shown.length(bare.circle_mm, units)}", thick=2.0),
        lines_layer("worst", marks.WORST, worst, layers.worst_label(reading, units), thick=2.5),
    )  # fmt: skip
    return tuple(layer for layer in found if layer.lines_um or layer.at)


def _points(reading: Reading) -> list[Layer]:
    sorted_out = [
        Layer(
            key=mark.name.replace(" ", "_"), label=f"{mark.name} ({int(chosen.sum())})",
            kind="points", colour=hex_of(mark.colour), shape=mark.shape,
            at=np.flatnonzero(chosen).tolist(), lines_um=[], places=[],
        )
        for mark, chosen in layers.points_by_mark(reading)
    ]  # fmt: skip
    by_hand = np.flatnonzero(reading.points["by_hand"]).tolist()
    sorted_out.append(
        Layer(
            key="by_hand", label=f"{marks.BY_HAND.name} ({len(by_hand)})", kind="points",
            colour=hex_of(marks.BY_HAND.colour), shape=marks.BY_HAND.shape, at=by_hand,
            lines_um=[], places=[], larger=True,
        )
    )  # fmt: skip
    return sorted_out


def _glare(reading: Reading, view: View) -> list[Line]:
    if reading.washed_out_percent == 0:
        return []
    lost = washed_out_mask(view.rgb, view.px_per_mm) & (face_of(reading).masks(view) > 0)
    return contours_um(lost, view.px_per_mm, view.origin_mm)


def _cells(reading: Reading) -> dict[str, Any]:
    cells = reading.cells
    return {
        "side_mm": reading.settings.cell_mm,
        "enough": cells["enough_area"].tolist(),
        **{name: cells[name].tolist() for name in ("column", "row", "points")},
        **{name: _rounded(cells[name]) for name in ("x_mm", "y_mm", "contact_percent")},
    }


def _flags(reading: Reading) -> list[str]:
    table = reading.points[list(_KINDS_OF_FLAG)].to_numpy()
    names = list(_KINDS_OF_FLAG.values())
    return [", ".join(n for n, on in zip(names, row, strict=True) if on) for row in table]


def _rounded(values: ArrayLike) -> list[float | None]:
    """Thousandths are finer than anything read; what is no number is None, as JSON has none."""
    found = np.round(np.asarray(values, dtype=float), 3)
    return [float(value) if np.isfinite(value) else None for value in found]


def _square_um(x: float, y: float, side: float) -> Line:
    return line_um(np.array([[x, y], [x + side, y], [x + side, y + side], [x, y + side]]))


def _cell_squares_um(reading: Reading) -> list[Line]:
    """The cells, cut off where the face ends."""
    x0, y0, x1, y1 = face_of(reading).bounds_mm
    low = reading.cells[["x_mm", "y_mm"]].to_numpy()
    high = np.minimum(low + reading.settings.cell_mm, (x1, y1))
    low = np.maximum(low, (x0, y0))
    return [
        line_um(np.array([[left, top], [right, top], [right, bottom], [left, bottom]]))
        for (left, top), (right, bottom) in zip(low, high, strict=True)
    ]


def _circle_um(x: float, y: float, radius: float) -> Line:
    turn = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    return line_um(np.column_stack((np.cos(turn), np.sin(turn))) * radius + (x, y))
