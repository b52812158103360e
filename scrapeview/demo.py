"""The demo's tables: the invented job pass by pass, beside what is true of each picture."""

import textwrap
from collections.abc import Sequence

from scrapeview.charts import shown
from scrapeview.charts.shown import Units
from scrapeview.result import Reading
from scrapeview.samples import Sample
from scrapeview.units import per_square_inch

Read = tuple[Sample, Reading]

HEAD = (
    "The pictures are computed and the job is invented: the cross slide of a surface grinder,\n"
    "scraped over eight passes. So what is true of each is known, and stands beside what was read."
)
PATCH_MM2 = 0.5
"""The true count of the series is of connected patches at least this large."""
LINE_WIDTH = 100

_COLUMNS = (
    ("pass", 4), ("contact %", 20), ("true", 6), ("points/in2", 25), ("patches", 9), ("true", 6),
    ("worst", 7), ("bare patch", 11), ("point", 8), ("haze", 6),
)  # fmt: skip


def series_text(reads: Sequence[Read], units: Units = "metric") -> str:
    """Return the pass-by-pass table with its truth and what its columns mean."""
    head = "".join(f"{name:>{width}}" for name, width in _COLUMNS)
    rows = [_series_row(sample, reading, units) for sample, reading in reads]
    return "\n".join([HEAD, "", head, *rows, "", *_legend(reads)])


def _series_row(sample: Sample, reading: Reading, units: Units) -> str:
    worst = reading.worst_square
    cells = (
        f"{sample.pass_number}",
        f"{reading.contact_percent:.1f} ({shown.interval(reading.contact_interval)})",
        f"{sample.true_contact_percent:.1f}",
        _count(reading),
        f"{patches_per_square_inch(reading):.1f}",
        f"{sample.true_points_per_square_inch:.1f}",
        "-" if worst is None else f"{worst.contact_percent:.0f} %",
        shown.length(reading.bare_patch.circle_mm, units),
        shown.length(reading.evenness.median_diameter_mm, units),
        f"{reading.heaviness.haze_percent:.0f} %",
    )
    return "".join(f"{cell:>{width}}" for cell, (_, width) in zip(cells, _COLUMNS, strict=True))


def patches_per_square_inch(reading: Reading) -> float:
    """Return connected patches of at least `PATCH_MM2` by area, as the series' truth counts."""
    areas_mm2 = reading.points.groupby("mark")["area_mm2"].sum()
    return per_square_inch(int((areas_mm2 >= PATCH_MM2).sum()), reading.area_mm2)


def _count(reading: Reading) -> str:
    if not reading.is_print:
        return "no print"
    if not reading.count_reliable:
        return f"unreliable: {reading.merged_percent:.0f} % merged"
    return f"{reading.points_per_square_inch:.1f} ({shown.interval(reading.ppsi_interval)})"


def _legend(reads: Sequence[Read]) -> list[str]:
    settings = reads[0][1].settings
    level = 100 * settings.confidence
    text = (
        f"In brackets: {level:g} % interval. Points: patches split at their necks, since each lobe "
        f"bears by itself. Patches: connected marks of at least {PATCH_MM2:g} mm2 per in2, as the "
        f"truth counts here. Worst: contact in the {shown.side(settings.cell_mm)} square "
        "with the fewest points. Bare patch: largest circle without contact. Point: median "
        "diameter. Haze: film between the points."
    )
    return textwrap.wrap(text, LINE_WIDTH)


def single_text(reads: Sequence[Read]) -> str:
    """Return what the tool says of the single photographs: a line of figures and its findings."""
    return "\n".join(line for sample, reading in reads for line in _single_lines(sample, reading))


def _single_lines(sample: Sample, reading: Reading) -> list[str]:
    findings = [c.sentence for c in reading.checks if c.severity != "ok"]
    if reading.undercoat:
        findings.append(f"An undercoat was found under the marking: {reading.undercoat}.")
    if reading.washed_out_percent >= 0.05 and not any("glare" in text for text in findings):
        findings.append(f"{reading.washed_out_percent:.1f} % of the face is lost to glare.")
    return [
        f"{sample.name}: {sample.title}",
        f"  contact {reading.contact_percent:.1f} % ({shown.interval(reading.contact_interval)}), "
        f"true {sample.true_contact_percent:.1f}; points/in2 {_count(reading)}, "
        f"true {sample.true_points_per_square_inch:.1f}",
        *(_indented(text) for text in findings or ["Nothing to complain of."]),
    ]


def _indented(text: str) -> str:
    return textwrap.fill(text, LINE_WIDTH, initial_indent="  ", subsequent_indent="  ")
