"""Where on a sheet cards and tiles may lie: on plain paper, or inside adhesive labels."""

from dataclasses import dataclass

from scrapeview.errors import SettingsError
from scrapeview.plane.cards import BAR_MM, Box
from scrapeview.sheet.layout import Paper

NOT_PRINTED_MM = 5.0
"""Strip along the paper's edge that most printers leave white."""
HEAD_MM = 8.5
FOOT_MM = 14.5
"""Strips for what the sheet says, and for its bar."""
CLEAR_MM = 1.5
"""Left free inside a label's border: printers shift the paper by about as much."""
GRID_MM = 0.05
"""Places are whole multiples of it, so that they fall on whole pixels of a picture."""
LEAST_MM = 10.0
"""Smaller labels hold no tile."""
SAME_MM = 0.2
"""Sizes of labels that differ by less are called the same."""


@dataclass(frozen=True)
class Labels:
    """Adhesive labels on a sheet, all of one size, in rows and columns.

    Attributes
    ----------
    width_mm, height_mm : float
    rows, columns : int
    left_mm, top_mm : float
        From the paper's edges to the first label.
    across_mm, down_mm : float
        Gaps between neighbours.
    """

    width_mm: float
    height_mm: float
    rows: int
    columns: int
    left_mm: float
    top_mm: float
    across_mm: float = 0.0
    down_mm: float = 0.0

    def boxes(self) -> tuple[Box, ...]:
        """Return the labels, row by row."""
        lefts = [self.left_mm + i * (self.width_mm + self.across_mm) for i in range(self.columns)]
        tops = [self.top_mm + i * (self.height_mm + self.down_mm) for i in range(self.rows)]
        return tuple((x, y, x + self.width_mm, y + self.height_mm) for y in tops for x in lefts)


KNOWN_LABELS = {
    "a4": (
        Labels(63.5, 38.1, 7, 3, 7.2, 15.15, across_mm=2.55),
        Labels(99.1, 67.7, 4, 2, 4.65, 13.1, across_mm=2.5),
        Labels(210.0, 297.0, 1, 1, 0.0, 0.0),
    ),
    "letter": (
        Labels(66.675, 25.4, 10, 3, 4.7625, 12.7, across_mm=3.175),
        Labels(101.6, 84.667, 3, 2, 3.96875, 12.7, across_mm=4.7625),
        Labels(215.9, 279.4, 1, 1, 0.0, 0.0),
    ),
}
"""Common sheets of labels, by their paper; sizes only."""


def labels_on(
    paper: Paper,
    size_mm: tuple[float, float],
    *,
    rows: int | None = None,
    columns: int | None = None,
    left_mm: float | None = None,
    top_mm: float | None = None,
    across_mm: float = 0.0,
    down_mm: float = 0.0,
) -> Labels:
    """Return the labels of a sheet; where only their size is given, that of a common sheet.

    Parameters
    ----------
    paper : Paper
    size_mm : (float, float)
        Width and height of a label.
    rows, columns : int, keyword-only, optional
    left_mm, top_mm : float, keyword-only, optional
        To the first label; without, the labels lie in the middle of the sheet.
    across_mm, down_mm : float, keyword-only
        Gaps between neighbours.

    Raises
    ------
    SettingsError
        Where rows or columns are missing, the labels are too small for anything, or they are more
        than the paper holds.
    """
    placed = (rows, columns, left_mm, top_mm, across_mm or None, down_mm or None)
    if all(value is None for value in placed):
        return _known(paper, size_mm)
    if min(size_mm) < LEAST_MM:
        raise SettingsError(f"A label is {LEAST_MM:g} mm wide and high or more: check its size.")
    if not rows or not columns or min(rows, columns) < 1:
        raise SettingsError(
            "A sheet of labels needs their rows and columns, both 1 or more, beside their size."
        )
    width = columns * size_mm[0] + (columns - 1) * across_mm
    height = rows * size_mm[1] + (rows - 1) * down_mm
    left = (paper.width_mm - width) / 2 if left_mm is None else left_mm
    top = (paper.height_mm - height) / 2 if top_mm is None else top_mm
    for side, low, extent, most in (
        ("wide", left, width, paper.width_mm),
        ("high", top, height, paper.height_mm),
    ):
        if low < -SAME_MM or low + extent > most + SAME_MM:
            raise SettingsError(
                f"These labels reach {max(low, 0) + extent:.1f} mm and {paper.name} is {most:g} mm "
                f"{side}: check their size, number, gaps and margins."
            )
    return Labels(*size_mm, rows, columns, left, top, across_mm, down_mm)


def _known(paper: Paper, size_mm: tuple[float, float]) -> Labels:
    known = KNOWN_LABELS[paper.name.lower()]
    for labels in known:
        apart = abs(labels.width_mm - size_mm[0]), abs(labels.height_mm - size_mm[1])
        if max(apart) < SAME_MM:
            return labels
    sizes = " or ".join(f"{each.width_mm:g} x {each.height_mm:g} mm" for each in known)
    raise SettingsError(
        f"Labels of {size_mm[0]:g} x {size_mm[1]:g} mm need their rows and columns; on "
        f"{paper.name} only {sizes} are known without."
    )


def printable(paper: Paper, correction: float = 1.0) -> Box:
    """Return where ink may lie, both as it is drawn and as it comes out of the printer.

    Parameters
    ----------
    paper : Paper
    correction : float
        What the drawing is enlarged by, about the paper's middle.
    """
    middle_x, middle_y = paper.width_mm / 2, paper.height_mm / 2
    reach_x, reach_y = (
        (middle - NOT_PRINTED_MM) / max(1.0, correction) for middle in (middle_x, middle_y)
    )
    return middle_x - reach_x, middle_y - reach_y, middle_x + reach_x, middle_y + reach_y


def strips(paper: Paper, correction: float = 1.0) -> tuple[Box, Box]:
    """Return the strips at the head and at the foot of the sheet."""
    left, top, right, low = printable(paper, correction)
    middle = on_grid((left + right - BAR_MM) / 2)
    left = min(left, middle)
    return (left, top, right, top + HEAD_MM), (left, low - FOOT_MM, right, low)


def slots(paper: Paper, labels: Labels | None, correction: float = 1.0) -> tuple[Box, ...]:
    """Return the boxes that cards or tiles may fill: inside labels, clear of their borders."""
    left, _, right, _ = printable(paper, correction)
    head, foot = strips(paper, correction)
    whole = (left, head[3], right, foot[1])
    if labels is None:
        return (whole,)
    inner = [
        (x0 + CLEAR_MM, y0 + CLEAR_MM, x1 - CLEAR_MM, y1 - CLEAR_MM)
        for x0, y0, x1, y1 in labels.boxes()
    ]
    cut = [
        (max(a, left), max(b, whole[1]), min(c, right), min(d, whole[3])) for a, b, c, d in inner
    ]
    return tuple(box for box in cut if box[2] > box[0] and box[3] > box[1])


def places(slot: Box, side_mm: float, *, gap_mm: float = 0.0) -> tuple[tuple[float, float], ...]:
    """Return the top left corners of as many squares as a slot holds, in its middle."""
    width, height = slot[2] - slot[0], slot[3] - slot[1]
    step = side_mm + gap_mm
    columns, rows = (int((room + gap_mm + 1e-9) // step) for room in (width, height))
    if not columns or not rows:
        return ()
    left = on_grid(slot[0] + (width - columns * step + gap_mm) / 2)
    top = on_grid(slot[1] + (height - rows * step + gap_mm) / 2)
    return tuple((left + i * step, top + j * step) for j in range(rows) for i in range(columns))


def on_grid(length_mm: float) -> float:
    """Return the nearest whole multiple of the grid."""
    return round(length_mm / GRID_MM) * GRID_MM
