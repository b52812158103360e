"""Make a large record of an invented shop from a handful of readings: 200 faces, 5,000 passes.

`python tests/large_record.py FOLDER` makes it in a folder that is empty or not there yet.
"""

import dataclasses
import sys
import time
from pathlib import Path

import numpy as np

from scrapeview.face_reading import read_for_face
from scrapeview.placements import Placement
from scrapeview.record import FaceEntry, FacePlan, Record, Scrape
from scrapeview.record.passes import pass_for_print
from scrapeview.record.prints import add_print, add_reading
from scrapeview.record.stored_reading import Prepared, prepare
from scrapeview.record_samples import sample_plan
from scrapeview.samples import Sample, find_samples
from scrapeview.targets import SHIPPED_TARGETS

FACES = 200
PASSES = 5000
LONG_PASSES = 100
"""Passes of the one face whose prints have all their points; the others have small prints."""
PARTS_PER_MACHINE, FACES_PER_PART = 2, 5
SMALL_MM = ((30.0, 20.0), (75.0, 20.0), (75.0, 60.0), (30.0, 60.0))
"""What of the sample's face is read for the small prints."""
LONG_FACE = "Long way"


@dataclasses.dataclass(frozen=True)
class Printed:
    """A print as it is written again and again."""

    photo: tuple[str, str, int]
    reading: Prepared


def make_large_record(
    home: Path, faces: int = FACES, passes: int = PASSES, long_passes: int = LONG_PASSES
) -> int:
    """Make the record and return the number of the face with the many passes."""
    record = Record.open(home)
    series = [sample for sample in find_samples() if sample.pass_number is not None]
    whole, small = sample_plan(series[0]), _small_plan(series[0])
    made = _add_faces(record, faces, whole, small)
    # the photographs themselves come in the usual way, once each
    full = [_kept(record, made[0], sample) for sample in series]
    parts = [_printed(small, sample) for sample in series]
    _repeat(record, made[0], full, long_passes, len(series))
    for at, face in enumerate(made[1:]):
        rest = passes - long_passes
        share = rest // (faces - 1) + (at < rest % (faces - 1))
        _repeat(record, face, parts, share)
        if at % 10 == 0:
            record.begin_pass(face.face_id, Scrape(who="invented", scraping="finish"))
    record.close()
    return made[0].face_id


def _small_plan(sample: Sample) -> FacePlan:
    return dataclasses.replace(sample_plan(sample), regions_mm=(SMALL_MM,), openings_mm=())


def _add_faces(record: Record, faces: int, whole: FacePlan, small: FacePlan) -> list[FaceEntry]:
    made: list[FaceEntry] = []
    part_id = 0
    for at in range(faces):
        if at % (PARTS_PER_MACHINE * FACES_PER_PART) == 0:
            number = at // (PARTS_PER_MACHINE * FACES_PER_PART) + 1
            machine = record.add_machine(f"Machine {number} (invented)", "Invented for tests.")
        if at % FACES_PER_PART == 0:
            part_id = record.add_part(
                machine.machine_id, f"Part {at // FACES_PER_PART + 1}"
            ).part_id
        name = LONG_FACE if at == 0 else f"Way {at % FACES_PER_PART + 1}"
        target = SHIPPED_TARGETS[at % len(SHIPPED_TARGETS)]
        plan = dataclasses.replace(whole if at == 0 else small, name=name, target=target)
        made.append(record.add_face(part_id, plan))
    return made


def _kept(record: Record, face: FaceEntry, sample: Sample) -> Printed:
    photo = sample.photo.read_bytes()
    reading = read_for_face(face.plan, photo, sample.plane)
    record.keep_print(face.face_id, [(sample.photo.name, photo)], reading)
    return Printed((reading.photo_sha256, sample.photo.name, len(photo)), prepare(reading))


def _printed(plan: FacePlan, sample: Sample) -> Printed:
    photo = sample.photo.read_bytes()
    reading = read_for_face(plan, photo, sample.plane)
    return Printed((reading.photo_sha256, sample.photo.name, len(photo)), prepare(reading))


def _repeat(
    record: Record, face: FaceEntry, prints: list[Printed], passes: int, begun: int = 0
) -> None:
    """Write the passes of a face in one transaction, as if the series took that many."""
    chosen = np.linspace(0, len(prints) - 1, max(passes, 1)).round().astype(int)
    with record.writing() as db:
        for at in range(begun, passes):
            printed = prints[chosen[at]]
            scrape = Scrape(who="invented", scraping="finish", metal_um=5.0, hours=0.5)
            pass_id, _ = pass_for_print(db, face.face_id, scrape, None)
            print_id = add_print(db, pass_id, [printed.photo], Placement(), None)
            add_reading(db, print_id, printed.reading, "kept")


if __name__ == "__main__":
    begun_s = time.perf_counter()
    made_id = make_large_record(Path(sys.argv[1]))
    print(f"Made in {time.perf_counter() - begun_s:.0f} s; the long face is number {made_id}.")
