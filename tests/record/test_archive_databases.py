"""Archives between the databases: what a machine is does not depend on where it is kept."""

import dataclasses
import io
import zipfile

import pytest

from scrapeview.archive import read_archive, write_zip
from scrapeview.errors import ArchiveError
from scrapeview.flatness import ReferenceFlatness
from scrapeview.placements import Placement
from scrapeview.record import EyeCount, FacePlan, FilmCalibration, LineCheck, Scrape, SwingTest
from scrapeview.record.photographs import sha256_of
from scrapeview.targets import SHIPPED_TARGETS

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
    plan = FacePlan(
        name="way", width_mm=w, height_mm=h, target=SHIPPED_TARGETS[0],
        flatness=ReferenceFlatness(grade="GGG-P-463c A", own_um=0.1),
    )  # fmt: skip
    face = in_sqlite.add_face(part.part_id, plan)
    scrape = Scrape(who="N. N.", hours=0.1, metal_um=1e-9)
    where = Placement(name="links", start_mm=1 / 3, length_mm=1e-9, side="far")
    photos = [("a.jpg", printed("plain", SEED).jpeg), ("b.jpg", b"\xff\xd8\xff a part")]
    sha256s = [sha256_of(photo) for _, photo in photos]
    joined = {"picture_sha256": sha256s[0], "photos": {"sha256": sha256s[1:]}, "notes": ["Ö", 1e-9]}
    kept = in_sqlite.keep_print(
        face.face_id, photos, odd, scrape, placement=where, joined=joined
    )  # fmt: skip
    in_sqlite.add_reading(kept.print_id, found, "again")
    count = EyeCount(
        print_id=kept.print_id, reading_id=kept.reading_id, x_mm=0.1, y_mm=1e-9, side_mm=25.4,
        by_eye=11, by_tool=12, who="Ö",
    )  # fmt: skip
    in_sqlite.add_eye_counts(face.face_id, [count, count])
    swung = SwingTest(pass_number=1, result="convex", pivot_percent=1 / 3, notes="日本")
    in_sqlite.add_swing_test(face.face_id, swung)
    film = FilmCalibration(um=1 / 3, low_um=0.1, high_um=1.0, how="shim", pass_number=1)
    in_sqlite.add_film_calibration(face.face_id, film)
    check = LineCheck(
        pass_number=1, what="twist", between="é", value_um=-1 / 3, instrument="indicator"
    )
    in_sqlite.add_line_check(face.face_id, check)
    return machine.machine_id


def test_a_machine_is_the_same_in_either_database(in_sqlite, filled, record):
    held, content = content_of(in_sqlite, filled)
    machine = read_archive(record, held)
    back, again = content_of(record, machine.machine_id)
    assert again == content
    assert b"counted_at_utc" in content["record.json"]
    for told in (b"pivot_percent", b"start_mm", b"picture_sha256", b"low_um", b"instrument"):
        assert told in content["record.json"]
    with pytest.raises(ArchiveError, match="restored already"):
        read_archive(record, held)
    # what was added by its own numbers does not stand in the way of what comes next
    second = record.add_part(machine.machine_id, "Table")
    face = record.add_face(second.part_id, FacePlan(name="way", width_mm=9.0, height_mm=4.0))
    assert record.begin_pass(face.face_id, Scrape()).number == 1
    assert read_archive(in_sqlite, back).name == "Größe 日本 (2)"
