"""Reading again: picks and corrections stay, what is done is left out, a bad print is told."""

import dataclasses

import numpy as np
import pytest

from scrapeview import reread as module
from scrapeview.columns import columns_of
from scrapeview.corrections import Correction
from scrapeview.errors import ReadingError, RecordError
from scrapeview.face_reading import read_for_face, reread_print
from scrapeview.record import FacePlan, Record
from scrapeview.reread import READ_AGAIN, WOULD_BE_READ, is_as_asked, reread
from scrapeview.reread_worker import Worker

SEED = 2
SCENES = ("plain", "sparse", "blank")


@pytest.fixture(scope="module")
def first_readings(printed, plane_of):
    """Plan, photograph and reading of three prints of one face; the first is corrected by hand."""
    shots = [printed(scene, SEED) for scene in SCENES]
    w, h = shots[0].size_mm
    opening = ((30.0, 20.0), (40.0, 20.0), (40.0, 30.0), (30.0, 20.0))
    plan = FacePlan(name="way", width_mm=w, height_mm=h, marking="blue", openings_mm=(opening,))
    found = []
    for shot in shots:
        told = {}
        if not found:
            x, y = (shot.size_mm[0] * 0.4, shot.size_mm[1] * 0.8)
            told["corrections"] = (Correction("add", ((x, y),), 3.0),)
        found.append((shot.jpeg, read_for_face(plan, shot.jpeg, plane_of(shot), **told)))
    return plan, found


@pytest.fixture
def shop(tmp_path, first_readings):
    """A record with these prints as three passes; its face's number."""
    record = Record.open(tmp_path / "home")
    plan, found = first_readings
    part = record.add_part(record.add_machine("Mill").machine_id, "Table")
    face = record.add_face(part.part_id, plan)
    for photo, reading in found:
        record.keep_print(face.face_id, [("p.jpg", photo)], reading)
    yield record, face.face_id
    record.close()


def ask_for_larger_points(record, face_id):
    plan = record.face(face_id).plan
    settings = dataclasses.replace(plan.settings, smallest_point_mm=2.5)
    return record.change_face(face_id, dataclasses.replace(plan, settings=settings)).plan


def readings_of(record, face_id):
    return [len(each.reading_ids) for each in record.prints(face_id)]


def test_each_print_is_read_as_it_was_placed_and_corrected_with_today_s_settings(
    shop, first_readings
):
    record, face_id = shop
    plan = ask_for_larger_points(record, face_id)
    told = []
    moved = reread(record, [face_id], progress=lambda *step: told.append(step))
    assert {name: str(kind) for name, kind in moved.dtypes.items()} == {
        c.name: c.dtype for c in columns_of("moved")
    }
    assert list(moved["outcome"]) == [READ_AGAIN] * 3
    assert list(moved["pass"]) == [1, 2, 3]
    assert [step[:2] for step in told] == [(1, 3), (2, 3), (3, 3)]
    for entry, (photo, before), row in zip(
        record.prints(face_id), first_readings[1], moved.to_dict("records"), strict=True
    ):
        after = record.reading(entry.current_reading_id)
        expected = reread_print(plan, photo, before)
        assert after.contact_percent == expected.contact_percent == row["after_contact_percent"]
        assert after.points.equals(expected.points)
        assert after.corrections == before.corrections
        assert row["before_contact_percent"] == before.contact_percent
        assert row["before_points"] == len(before.points)
        why = record.history(entry.print_id)["why"].iloc[-1]
        assert why == f"read again with scrapeview {after.versions['scrapeview']}"
    assert moved["after_points"][0] < moved["before_points"][0]
    assert first_readings[1][0][1].corrections


def test_what_was_read_so_already_is_left_out(shop):
    record, face_id = shop
    told = []
    assert reread(record, [face_id], progress=lambda *step: told.append(step)).empty
    assert len(told) == 3
    assert readings_of(record, face_id) == [1, 1, 1]


def test_after_an_interruption_only_the_rest_is_read(shop):
    record, face_id = shop
    ask_for_larger_points(record, face_id)

    def interrupt(*_):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        reread(record, [face_id], progress=interrupt, workers=1)
    assert sorted(readings_of(record, face_id)) == [1, 1, 2]
    moved = reread(record, [face_id], workers=1)
    assert len(moved) == 2
    assert readings_of(record, face_id) == [2, 2, 2]


def test_a_dry_run_tells_and_keeps_nothing(shop):
    record, face_id = shop
    ask_for_larger_points(record, face_id)
    moved = reread(record, [face_id], dry_run=True, workers=1)
    assert list(moved["outcome"]) == [WOULD_BE_READ] * 3
    assert moved["after_points"][0] < moved["before_points"][0]
    assert readings_of(record, face_id) == [1, 1, 1]


def test_a_photograph_that_cannot_be_read_is_told_and_the_others_go_on(shop):
    record, face_id = shop
    ask_for_larger_points(record, face_id)
    first, second, _ = record.prints(face_id)
    record.photo_path(first.photo_sha256s[0]).unlink()
    record.photo_path(second.photo_sha256s[0]).write_bytes(b"\xff\xd8\xff no photograph")
    moved = reread(record, [face_id], workers=1)
    missing, damaged, well = moved["outcome"]
    assert "is not in" in missing
    assert "damaged" in damaged
    assert well == READ_AGAIN
    assert moved["after_contact_percent"].isna().tolist() == [True, True, False]
    assert readings_of(record, face_id) == [1, 1, 2]


def test_a_correction_made_meanwhile_is_not_put_behind(shop, first_readings):
    record, face_id = shop
    due = module._due_prints(record, record.face(face_id))[1]
    reading = first_readings[1][1][1]
    corrected = record.add_reading(due.print_id, reading, "by hand")
    assert module._kept(record, due, reading) == module.CHANGED_MEANWHILE
    assert record.print_entry(due.print_id).current_reading_id == corrected


def test_no_prints_give_an_empty_table_and_no_face_is_refused(tmp_path):
    record = Record.open(tmp_path)
    assert reread(record, []).empty
    with pytest.raises(RecordError):
        reread(record, [7])
    record.close()


def changed(plan, **values):
    return dataclasses.replace(plan, **values)


def test_what_a_face_asks_now_decides_what_is_due(first_readings, monkeypatch):
    plan, ((_, reading), *_) = first_readings
    (opening,) = plan.openings_mm
    moved = tuple((x + 0.01, y) for x, y in opening)
    larger = dataclasses.replace(plan.settings, cell_mm=25.0)
    half = ((0.0, 0.0), (30.0, 0.0), (30.0, 60.0), (0.0, 60.0))
    assert is_as_asked(plan, reading)
    assert is_as_asked(changed(plan, notes="other", marking="auto"), reading)
    for other in (
        changed(plan, settings=larger), changed(plan, openings_mm=()),
        changed(plan, openings_mm=(moved,)), changed(plan, regions_mm=(half,)),
        changed(plan, marking="red"),
    ):  # fmt: skip
        assert not is_as_asked(other, reading)
    monkeypatch.setattr(module, "versions", lambda: {"scrapeview": "99"})
    assert not is_as_asked(plan, reading)


def test_of_a_stretch_only_what_lies_in_it_decides_what_is_due(first_readings):
    plan, ((_, reading), *_) = first_readings
    x0, y0, x1, y1 = 400.0, 0.0, 400.0 + plan.width_mm, plan.height_mm
    stretch = dataclasses.replace(
        reading,
        plane=reading.plane.moved(x0, 0.0),
        regions_mm=tuple(region + np.array((x0, 0.0)) for region in reading.regions_mm),
        openings_mm=tuple(opening + np.array((x0, 0.0)) for opening in reading.openings_mm),
    )
    hole = ((5.0, 5.0), (9.0, 5.0), (9.0, 20.0))
    openings = tuple(tuple((x + x0, y) for x, y in one) for one in plan.openings_mm)
    long = changed(plan, width_mm=1000.0, openings_mm=(hole, *openings))
    assert is_as_asked(long, stretch)
    whole = ((0.0, y0), (1000.0, y0), (1000.0, y1), (0.0, y1))
    for ends, due in (((0.0, 1000.0), False), ((x0, x1), False), ((x0 + 1.0, 1000.0), True)):
        region = tuple((min(max(x, ends[0]), ends[1]), y) for x, y in whole)
        assert is_as_asked(changed(long, regions_mm=(region,)), stretch) != due
    inside = tuple((x + 30.0, y) for x, y in openings[0])
    assert not is_as_asked(changed(long, openings_mm=(hole, inside)), stretch)


def test_sample_picks_belong_to_the_print_not_to_the_face(first_readings, printed):
    plan, _ = first_readings
    shot = printed("plain", SEED)
    picks = {
        "marking_picks_px": tuple(map(tuple, shot.corners_px[:1] + 200)),
        "metal_picks_px": tuple(map(tuple, shot.corners_px[:1] + 230)),
    }
    settings = dataclasses.replace(plan.settings, **picks)
    _, ((_, reading), *_) = first_readings
    assert is_as_asked(plan, dataclasses.replace(reading, settings=settings))


def test_a_process_that_is_lost_costs_only_the_print_it_was_at(first_readings):
    plan, ((photo, reading), *_) = first_readings
    worker = Worker()
    assert worker.reread((plan, photo, reading)).contact_percent == reading.contact_percent
    worker._process.kill()
    with pytest.raises(ReadingError, match="broke off"):
        worker.reread((plan, photo, reading))
    assert worker.reread((plan, photo, reading)).contact_percent == reading.contact_percent
    process = worker._process
    worker.close()
    assert process.poll() is not None


def test_a_fault_of_ours_at_one_print_is_told_in_a_sentence(first_readings):
    plan, _ = first_readings
    worker = Worker()
    with pytest.raises(ReadingError, match="AttributeError"):
        worker.reread((plan, b"", None))
    worker.close()
