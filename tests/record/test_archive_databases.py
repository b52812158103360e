"""Archives between the databases: what a machine is does not depend on where it is kept."""

import dataclasses
import io
import zipfile

import pytest

from scrapeview.archive import read_archive, write_zip
from scrapeview.errors import ArchiveError
from scrapeview.record import FacePlan, Scrape

SEED = 2


def content_of(record, machine_id):
    held = io.BytesIO()
    write_zip(record, machine_id, held)
    with zipfile.ZipFile(held) as packed:
        names = set(packed.namelist()) - {"manifest.json"}
        return held, {name: packed.read(name) for name in names}


@pytest.fixture
def filled(in_sqlite, printed, reading):
    """A machine with one print whose reading holds numbers that are not finite, and that print."""
    found = reading("plain", SEED)
    odd = dataclasses.replace(
        found, ppsi_interval=dataclasses.replace(found.ppsi_interval, low=0.0, high=float("inf"))
    )
    machine = in_sqlite.add_machine("Größe 日本")
    part = in_sqlite.add_part(machine.machine_id, "Bed")
    w, h = printed("plain", SEED).size_mm
    face = in_sqlite.add_face(part.part_id, FacePlan(name="way", width_mm=w, height_mm=h))
    scrape = Scrape(who="N. N.", hours=0.1, metal_um=1e-9)
    kept = in_sqlite.keep_print(face.face_id, [("a.jpg", printed("plain", SEED).jpeg)], odd, scrape)
    in_sqlite.add_reading(kept.print_id, found, "again")
    return machine.machine_id


def test_a_machine_is_the_same_in_either_database(in_sqlite, filled, record):
    held, content = content_of(in_sqlite, filled)
    machine = read_archive(record, held)
    back, again = content_of(record, machine.machine_id)
    assert again == content
    with pytest.raises(ArchiveError, match="restored already"):
        read_archive(record, held)
    # what was added by its own numbers does not stand in the way of what comes next
    second = record.add_part(machine.machine_id, "Table")
    face = record.add_face(second.part_id, FacePlan(name="way", width_mm=9.0, height_mm=4.0))
    assert record.begin_pass(face.face_id, Scrape()).number == 1
    assert read_archive(in_sqlite, back).name == "Größe 日本 (2)"
