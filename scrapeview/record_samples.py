"""The sample series as a machine of the record that says it is invented."""

from collections.abc import Callable

from scrapeview.errors import ReadingError
from scrapeview.face_reading import read_for_face
from scrapeview.record import FaceEntry, FacePlan, Machine, Part, Record, Scrape
from scrapeview.record.entries import Scraping
from scrapeview.samples import Sample, find_samples
from scrapeview.targets import ASKED, Origin, Target

MACHINE_NAME = "Surface grinder (invented sample)"
MACHINE_NOTES = (
    "Invented: the pictures are computed and no such machine exists. Remove it when you have "
    "looked around."
)
PART_NAME = "Cross slide"
FACE_NAME = "Upper face"
_INVENTED = Origin("own", "invented for the sample series")
TARGET = Target(
    name="sample job",
    ppsi_least=25.0,
    square_ppsi_least=12.0,
    contact_least_percent=15.0,
    contact_most_percent=60.0,
    bare_circle_most_mm=12.7,
    spread_most_percent=40.0,
    balance_most_percent=30.0,
    haze_most_percent=15.0,
    prints_apart_most_percent=30.0,
    origins=tuple((asked.name, _INVENTED) for asked in ASKED),
)

Progress = Callable[[int, int, str], None]
"""Called with the steps done, the steps there are, and what is being done."""

_SCRAPINGS: dict[int | None, tuple[Scraping, float, float]] = {
    1: ("rough", 30.0, 1.5),
    2: ("rough", 25.0, 1.5),
    3: ("rough", 20.0, 1.25),
    4: ("spacing out", 12.0, 1.25),
    5: ("spacing out", 10.0, 1.0),
    6: ("spacing out", 8.0, 1.0),
    7: ("finish", 5.0, 0.75),
    8: ("finish", 4.0, 0.75),
}
"""By pass, all invented: kind of scraping, metal taken in um, hours."""


def keep_samples(record: Record, progress: Progress | None = None) -> FaceEntry:
    """Read the sample series and keep it, pass by pass.

    Where the series was begun before and broken off, only what is missing is added.

    Parameters
    ----------
    record : Record
    progress : callable, optional

    Returns
    -------
    FaceEntry
        The face of the series.

    Raises
    ------
    ReadingError
        Where the sample photographs are not installed along.
    RecordError
    """
    series = _series()
    face = _sample_face(record, series[0])
    kept = {entry.number for entry in record.passes(face.face_id) if entry.print_ids}
    for done, sample in enumerate(series):
        if progress is not None:
            progress(done, len(series), f"Reading pass {sample.pass_number} of {len(series)}")
        if sample.pass_number not in kept:
            _keep_pass(record, face, sample)
    if progress is not None:
        progress(len(series), len(series), "The sample series is in the record")
    return face


def _series() -> tuple[Sample, ...]:
    series = tuple(sample for sample in find_samples() if sample.pass_number is not None)
    if not series:
        raise ReadingError("The sample series is not among the sample photographs.")
    return series


def _sample_face(record: Record, first: Sample) -> FaceEntry:
    """Face of the series, made with its machine and part where they are not there yet."""
    part = _part_of(record, _machine_of(record))
    for face in record.faces():
        if face.part == part and face.plan.name == FACE_NAME:
            return face
    return record.add_face(part.part_id, sample_plan(first))


def _machine_of(record: Record) -> Machine:
    for machine in record.machines():
        if machine.name == MACHINE_NAME:
            return machine
    return record.add_machine(MACHINE_NAME, MACHINE_NOTES)


def _part_of(record: Record, machine: Machine) -> Part:
    for part in record.parts(machine.machine_id):
        if part.name == PART_NAME:
            return part
    return record.add_part(machine.machine_id, PART_NAME)


def sample_plan(sample: Sample) -> FacePlan:
    """Return the plan of the series' face: what a person would have said of it."""
    width_mm, height_mm = sample.plane.face_mm[0].max(axis=0)
    return FacePlan(
        name=FACE_NAME,
        role="way",
        width_mm=float(width_mm),
        height_mm=float(height_mm),
        openings_mm=tuple(
            tuple((float(x), float(y)) for x, y in opening) for opening in sample.openings_mm
        ),
        target=TARGET,
        reference="surface plate (invented)",
        marking=sample.marking,
        notes="Invented, with an oil groove and two holes.",
    )


def _keep_pass(record: Record, face: FaceEntry, sample: Sample) -> None:
    photo = sample.photo.read_bytes()
    reading = read_for_face(face.plan, photo, sample.plane)
    record.keep_print(
        face.face_id, [(sample.photo.name, photo)], reading, _scrape(sample),
        pass_number=sample.pass_number,
    )  # fmt: skip


def _scrape(sample: Sample) -> Scrape:
    """What is said to have been done before a pass, invented like the rest."""
    scraping, metal_um, hours = _SCRAPINGS[sample.pass_number]
    return Scrape(
        who="invented", scraping=scraping, metal_um=metal_um, hours=hours,
        notes=sample.title.partition(": ")[2],
    )  # fmt: skip
