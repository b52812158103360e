"""Telling afterwards where the reference lay for a kept print, and reading it there."""

import dataclasses

from scrapeview.corrections import Correction
from scrapeview.face_reading import read_for_face
from scrapeview.placed_plane import plane_again
from scrapeview.placements import Placement
from scrapeview.plane import Plane
from scrapeview.record import FaceEntry, Record
from scrapeview.result import Reading

WHY = "where the reference lay was told"


def tell_placement(record: Record, face: FaceEntry, print_id: int, placement: Placement) -> bool:
    """Keep where the reference lay for a print, and read the print again where that moves it.

    The corners stay where they were picked in the photograph; corrections stay on their points.

    Parameters
    ----------
    record : Record
    face : FaceEntry
    print_id : int
    placement : Placement

    Returns
    -------
    bool
        Whether it was read again.

    Raises
    ------
    RecordError, PlaneError, PhotoError, FaceError, SettingsError, CorrectionError
        Then nothing is changed.
    """
    entry = record.print_entry(print_id)
    reading = record.reading(entry.current_reading_id)
    kept = record.plane(entry.reading_ids[0])
    plane = plane_again(face.plan, placement, reading.plane, kept)
    again = None if plane is reading.plane else _read_there(record, face, reading, plane)
    record.change_placement(print_id, placement)
    if again is None:
        return False
    record.add_reading(print_id, again, WHY)
    return True


def _read_there(record: Record, face: FaceEntry, reading: Reading, plane: Plane) -> Reading:
    return read_for_face(
        face.plan, record.photo(reading.photo_sha256), plane,
        corrections=[moved(each, reading.plane, plane) for each in reading.corrections],
        marking_picks_px=reading.settings.marking_picks_px,
        metal_picks_px=reading.settings.metal_picks_px,
    )  # fmt: skip


def moved(correction: Correction, before: Plane, after: Plane) -> Correction:
    """Return a correction at the same places of the photograph, in another plane's millimetres."""
    places = after.to_mm(before.to_px(correction.places_mm))
    return dataclasses.replace(correction, places_mm=tuple((float(x), float(y)) for x, y in places))
