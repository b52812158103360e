"""The demo's tables: the invented job pass by pass, beside what is true of each picture."""

from collections.abc import Sequence

from scrapeview import shown
from scrapeview.result import Reading
from scrapeview.samples import Sample
from scrapeview.shown import Units

Read = tuple[Sample, Reading]

HEAD = (
    "The pictures are computed and the job is invented: the cross slide of a surface grinder, "
    "scraped over\neight passes. So what is true of each is known, and stands beside what was read."
)
_COLUMNS = (
    ("pass", 4), ("contact %", 22), ("true", 6), ("points/in2", 27), ("true", 7),
    ("worst square", 14), ("bare patch", 12), ("point", 9), ("haze", 6),
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
        f"{sample.true_points_per_square_inch:.1f}{_star(sample)}",
        "-" if worst is None else f"{worst.contact_percent:.0f} %",
        shown.length(reading.bare_patch.circle_mm, units),
        shown.length(reading.evenness.median_diameter_mm, units),
        f"{reading.heaviness.haze_percent:.0f} %",
    )
    return "".join(f"{cell:>{width}}" for cell, (_, width) in zip(cells, _COLUMNS, strict=True))


def _count(reading: Reading) -> str:
    if not reading.is_print:
        return "no print"
    if not reading.count_reliable:
        return f"unreliable: {reading.merged_percent:.0f} % merged"
    return f"{reading.points_per_square_inch:.1f} ({shown.interval(reading.ppsi_interval)})"


def _star(sample: Sample) -> str:
    return "" if sample.counted == "points" else "*"


def _legend(reads: Sequence[Read]) -> list[str]:
    level = 100 * reads[0][1].settings.confidence
    side = shown.side(reads[0][1].settings.cell_mm)
    lines = [
        f"in brackets: {level:g} % interval; worst square: contact in the {side} square with the "
        "fewest points;",
        "bare patch: largest circle without contact; point: median diameter; haze: film between "
        "the points.",
    ]
    counted = sorted({sample.counted for sample, _ in reads if sample.counted != "points"})
    lines += [
        f"* counts {what}, each once however many necks it has; a reading splits them at the necks."
        for what in counted
    ]
    return lines


def single_text(reads: Sequence[Read]) -> str:
    """Return what the tool says of the single photographs: a line of figures and its findings."""
    return "\n".join(line for sample, reading in reads for line in _single_lines(sample, reading))


def _single_lines(sample: Sample, reading: Reading) -> list[str]:
    found = [c.sentence for c in reading.checks if c.severity != "ok"]
    under = f"; {reading.undercoat} undercoat found" if reading.undercoat else ""
    return [
        f"{sample.name}: {sample.title}",
        f"  contact {reading.contact_percent:.1f} % (true {sample.true_contact_percent:.1f}), "
        f"{_count(reading)} points/in2 (true {sample.true_points_per_square_inch:.1f})"
        f"{_star(sample)}{under}",
        *(f"  {sentence}" for sentence in found or ["Nothing to complain of."]),
    ]
