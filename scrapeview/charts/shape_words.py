"""What a print says about shape, in sentences: number first, reason second."""

import numpy as np

from scrapeview.bearing import Pivot
from scrapeview.charts import shown
from scrapeview.charts.shown import Units
from scrapeview.flatness import ReferenceFlatness
from scrapeview.judge.compare.laid import FaceGrid
from scrapeview.judge.shape import Says, Shape
from scrapeview.record.entries import SwingTest
from scrapeview.units import MM_PER_INCH

FAR_END = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}
REASONS: dict[Says, str] = {
    "convex": "it swings from nearer the middle than an even face does, which points to convex",
    "hollow": "it shuffles end to end, turning nearer the end than an even face: it looks hollow",
    "even": "it glides as an even face does, as far as this print tells",
    "one end bears more": "its two ends do not say the same",
    "open": "only one end speaks against even bearing, which chance may do: swing it by hand",
    "nothing": "there is nothing to turn on",
}
"""Signs of the swing test: Rose, Modern Machine-Shop Practice."""
LEVEL_PERCENT = 10.0
"""Of a level face up to so much seems to stand off by chance alone; some 5 % on average."""
UM_PER_INCH = 25_400.0


def height(um: float, units: Units) -> str:
    """Return a height: 3.9 µm or 0.00015 in."""
    return f"{um / UM_PER_INCH:.5f} in" if units == "inch" else f"{um:.1f} µm"


def relief_sentence(shape: Shape, units: Units) -> str:
    """Return what the relief says: how far apart, and where its highest and lowest places lie."""
    relief, grid = shape.relief, shape.relief_grid
    if not relief.told.any():
        return "0 places can be given a height: the print shows too few marks, or too dense ones."
    high = _place(grid, int(np.nanargmax(relief.height)), units)
    low = _place(grid, int(np.nanargmin(relief.height)), units)
    apart = float(np.nanmax(relief.height) - np.nanmin(relief.height))
    smoothed = shown.length(relief.length_mm, units)
    if relief.standing_off_percent <= LEVEL_PERCENT:
        return (
            f"{apart:.1f} texture heights lie between the highest and the lowest place, no more "
            f"than chance would give: level, as far as one print tells (smoothed over {smoothed})."
        )
    return (
        f"{apart:.1f} texture heights lie between the highest place ({high}) and the lowest "
        f"({low}): an estimate from contact, smoothed over {smoothed}."
    )


def _place(grid: FaceGrid, square: int, units: Units) -> str:
    row, column = divmod(square, grid.shape[1])
    x_mm, y_mm = grid.to_mm(np.array([[float(column), float(row)]]))[0]
    return shown.place(float(x_mm), float(y_mm), units)


def relief_note(shape: Shape, units: Units) -> str:
    """Return how the relief is to be read."""
    smoothed = shown.length(shape.relief.length_mm, units)
    return (
        "1 texture height is how much the scraped texture and the film vary, one standard "
        f"deviation. More contact within {smoothed} of a place reads as higher. A tilt is taken "
        "out: how the reference leaned says nothing about the face. Hatched: too little or too "
        "much contact to give a height."
    )


def pivot_sentence(pivot: Pivot, shape: Shape, units: Units) -> str:
    """Return where the part would turn when pushed at one end, and what that points to."""
    far = FAR_END[pivot.pushed]
    away = shown.length(pivot.share * shape.length_mm, units)
    return (
        f"{_percent(pivot.share)} % of the length ({away}) from the {far} end is where it would "
        f"turn, pushed at the {pivot.pushed} end; chance leaves {_range(pivot)} % open, and even "
        f"bearing would give {_percent(pivot.even_share)} %: {REASONS[pivot.shape]}."
    )


def shape_sentence(shape: Shape) -> str:
    """Return what both pivots together say."""
    if not shape.pivots:
        return f"0 % contact: {REASONS['nothing']}."
    shares = " and ".join(_percent(pivot.share) for pivot in shape.pivots)
    return (
        f"{shares} % of the length from the far end is where it would turn, pushed at one end and "
        f"at the other, where {_percent(shape.pivots[0].even_share)} % is even: "
        f"{_reason(shape)}."
    )


def _reason(shape: Shape) -> str:
    if shape.says != "one end bears more":
        return REASONS[shape.says]
    # a part that bears at one end turns in there, whichever end is pushed
    end = next(pivot.pushed for pivot in shape.pivots if pivot.shape == "convex")
    return f"its two ends do not say the same, so the {end} end bears more"


def swing_sentence(shape: Shape, swing: SwingTest) -> str:
    """Return whether the print and the part's own swing test agree."""
    at = (
        "" if swing.pivot_percent is None else f", turning {swing.pivot_percent:.0f} % from the end"
    )
    test = f"Pass {swing.pass_number}: the swing test said {swing.result}{at}"
    if not shape.pivots:
        return f"{test}; the print has no contact to turn on."
    if shape.says == swing.result:
        return f"{test}, and the print says the same."
    if shape.says == "open":
        return f"{test}; this print alone cannot tell: go by the swing."
    return (
        f"{test}, but the print says {shape.says}: go by the swing, print with a thinner film, "
        "and swing it again from both ends."
    )


def pivot_note() -> str:
    """Return what the pivot is not: the points a part is held at against sag."""
    return (
        "29.3 % of the length from the far end is where a narrow, evenly bearing part turns; "
        "openings and width move that. The Airy points, 21.1 % from each end, are where to rest a "
        "part so that its ends stay level: that is about sag under its own weight, not friction."
    )


def reference_sentences(
    flatness: ReferenceFlatness, reference_name: str, units: Units
) -> tuple[str, ...]:
    """Return what a print against this reference lets one claim, and what it does not.

    Parameters
    ----------
    flatness : ReferenceFlatness
    reference_name : str
        "" where it has none.
    units : {"metric", "inch"}

    Raises
    ------
    SettingsError
        Where the grade or a value of the flatness is none.
    """
    name = (
        f"the reference ({reference_name.strip()})" if reference_name.strip() else "the reference"
    )
    length = "457 mm" if units == "metric" else "18 in"
    dense = shown.points_by(55.0, units)
    report = (
        f"{dense:.0f} points per {shown.points_unit(units)} with 40 % contact, yet "
        f"{_span(15, 20, units)} from flat, was the {length} straightedge of a published seminar "
        f"report: a dense print proves local contact with its reference, not flatness."
    )
    turned = (
        "90 degrees is the turn to print again with: two faces curved alike mark all over until "
        "one of them is turned (Rose)."
    )
    return _claim(flatness, name, units), report, turned


def _claim(flatness: ReferenceFlatness, name: str, units: Units) -> str:
    error_um = flatness.error_um
    if error_um is None:
        return (
            f"Nothing is known of how flat {name} is, so its prints say nothing of how flat the "
            "face is: enter its grade and size, or the error on its certificate, with the face."
        )
    source = "by its own certificate" if flatness.own_um is not None else _grade(flatness, units)
    return (
        f"{height(error_um, units)} is what {name} may itself be out of flat ({source}): no print "
        "against it proves the face flatter than that."
    )


def _grade(flatness: ReferenceFlatness, units: Units) -> str:
    sides = [side for side in (flatness.length_mm, flatness.width_mm) if side > 0]
    if units == "inch":
        told = " x ".join(f"{round(side / MM_PER_INCH, 1):g}" for side in sides) + " in"
    else:
        told = " x ".join(f"{side:.0f}" for side in sides) + " mm"
    return f"the most {flatness.grade} allows over {told}"


def _span(low_um: float, high_um: float, units: Units) -> str:
    if units == "inch":
        return f"{low_um / UM_PER_INCH:.4f} to {high_um / UM_PER_INCH:.4f} in"
    return f"{low_um:g} to {high_um:g} µm"


def _percent(share: float) -> str:
    # adding zero takes the sign off a rounded zero
    return f"{round(100 * share) + 0.0:.0f}"


def _range(pivot: Pivot) -> str:
    return f"{_percent(pivot.interval.low)} to {_percent(pivot.interval.high)}"
