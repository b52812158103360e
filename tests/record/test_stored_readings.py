"""A reading comes back to the last bit, is never overwritten, and the current one is known."""

import dataclasses
import math

import pytest
from exactly import assert_same

from scrapeview.bearing import Interval
from scrapeview.corrections import Correction
from scrapeview.errors import ReadingError, RecordError
from scrapeview.reading_json import to_json
from scrapeview.record.summary import SUMMARY, summary_of


def test_readings_of_every_kind_come_back_the_same(record, face, shot, reading):
    for scene in ("plain", "blank", "rails", "merged"):
        photo, whole = shot(scene, reading(scene, 2))
        kept = record.keep_print(face.face_id, [photo], whole)
        assert_same(whole, record.reading(kept.reading_id))
        assert to_json(record.reading(kept.reading_id)) == to_json(whole)


def test_numbers_that_are_not_finite_come_back(record, face, shot, small):
    points = small.points.copy()
    points.loc[1, "film_share"] = math.inf
    points.loc[2, "film_share"] = math.nan
    cells = small.cells.copy()
    cells.loc[0, ["contact_percent", "points_per_square_inch"]] = (math.nan, math.inf)
    strange = dataclasses.replace(
        small, contact_interval=Interval(-math.inf, math.inf), worst_square=None,
        ppsi_interval=Interval(0.0, math.inf), points=points, cells=cells,
        bare_patch=dataclasses.replace(small.bare_patch, circle_mm=math.nan),
    )  # fmt: skip
    photo, strange = shot("one", strange)
    kept = record.keep_print(face.face_id, [photo], strange)
    assert_same(strange, record.reading(kept.reading_id))
    (row,) = record.progress(face.face_id).to_dict("records")
    assert (row["contact_low_percent"], row["contact_high_percent"]) == (-math.inf, math.inf)
    assert (row["ppsi_low"], row["ppsi_high"]) == (0.0, math.inf)
    assert math.isnan(row["worst_contact_percent"])
    assert math.isnan(row["bare_circle_mm"])


def test_numbers_keep_their_last_bit(record, face, shot, small):
    odd = (0.1 + 0.2, 1e-300, 5e-324, 1.7976931348623157e308, 2 / 3, 123456789.123456789)
    points = small.points.assign(x_mm=odd)
    photo, reading = shot("one", dataclasses.replace(small, points=points, area_mm2=0.1 + 0.7))
    kept = record.keep_print(face.face_id, [photo], reading)
    assert tuple(record.reading(kept.reading_id).points["x_mm"]) == odd
    assert record.progress(face.face_id)["area_mm2"][0] == 0.1 + 0.7


def test_a_corrected_reading_is_added_and_the_first_one_stays(record, face, shot):
    photo, first = shot("one")
    kept = record.keep_print(face.face_id, [photo], first)
    corrections = (
        Correction("remove", ((3.5, 4.5),)),
        Correction("leave_out", ((0.0, 0.0), (9.5, 0.0), (0.0, 7.25))),
    )
    second = dataclasses.replace(first, contact_percent=12.5, corrections=corrections)
    added = record.add_reading(kept.print_id, second, "removed a smudge")
    assert added > kept.reading_id
    printed = record.print_entry(kept.print_id)
    assert printed.reading_ids == (kept.reading_id, added)
    assert printed.current_reading_id == added
    assert_same(first, record.reading(kept.reading_id))
    assert_same(second, record.reading(added))
    (row,) = record.progress(face.face_id).to_dict("records")
    assert (row["reading_id"], row["readings"], row["corrections"]) == (added, 2, 2)
    assert row["contact_percent"] == 12.5


def test_the_history_says_which_is_current_and_why(record, face, shot):
    photo, first = shot("one")
    kept = record.keep_print(face.face_id, [photo], first)
    second = dataclasses.replace(first, points_per_square_inch=7.0)
    added = record.add_reading(kept.print_id, second, "read with finer points")
    record.choose_reading(kept.print_id, kept.reading_id, "the first one was better")
    history = record.history(kept.print_id)
    assert list(history["reading_id"]) == [kept.reading_id, added, kept.reading_id]
    assert list(history["current"]) == [False, False, True]
    assert list(history["why"]) == ["kept", "read with finer points", "the first one was better"]
    assert list(history["points_per_square_inch"])[1] == 7.0
    assert set(history["scrapeview_version"]) == {first.versions["scrapeview"]}
    assert record.print_entry(kept.print_id).current_reading_id == kept.reading_id
    empty = record.history(kept.print_id + 1)
    assert dict(empty.dtypes) == dict(history.dtypes)
    assert len(empty) == 0


def test_a_reading_of_another_print_is_refused(record, face, shot):
    (one, first), (two, second) = shot("one"), shot("two")
    kept = record.keep_print(face.face_id, [one], first)
    other = record.keep_print(face.face_id, [two], second)
    with pytest.raises(RecordError, match="another photograph"):
        record.add_reading(kept.print_id, second, "wrong")
    for reading_id in (other.reading_id, other.reading_id + 1):
        with pytest.raises(RecordError, match="not one of this print's"):
            record.choose_reading(kept.print_id, reading_id, "wrong")
    with pytest.raises(RecordError):
        record.add_reading(other.print_id + 1, second, "no such print")
    assert len(record.history(kept.print_id)) == 1
    assert record.print_entry(kept.print_id).reading_ids == (kept.reading_id,)


def test_every_column_of_the_summary_is_measured(reading):
    for scene in ("plain", "blank"):
        assert list(summary_of(reading(scene, 2))) == [column.name for column in SUMMARY]


def test_a_table_that_is_not_a_reading_s_own_is_refused(in_sqlite, face_in, shot, small):
    face = face_in(in_sqlite)
    wrong = dataclasses.replace(small, cells=small.cells.drop(columns="x_mm"))
    photo, wrong = shot("one", wrong)
    with pytest.raises(ReadingError, match="'cells'"):
        in_sqlite.keep_print(face.face_id, [photo], wrong)
    assert in_sqlite.passes(face.face_id) == ()


@pytest.mark.parametrize(
    "damage",
    [
        "mask = x'00'",
        "mask = zeroblob(0)",
        "mask_height_px = mask_height_px + 1000",
        "mask_height_px = -5",
        "document = substr(document, 1, 200)",
        "document = '[]'",
        "document = '{}'",
        "plane = '{}'",
        "plane = 'not JSON'",
    ],
)
def test_a_damaged_reading_is_said_in_words(in_sqlite, face_in, shot, damage):
    face = face_in(in_sqlite)
    photo, reading = shot("one")
    kept = in_sqlite.keep_print(face.face_id, [photo], reading)
    with in_sqlite.writing() as db:
        db.exec_driver_sql(f"UPDATE reading_documents SET {damage}")
    with pytest.raises(ReadingError, match=r"damaged|not a stored reading"):
        in_sqlite.reading(kept.reading_id)
