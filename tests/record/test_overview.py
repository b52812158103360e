"""The tables over many passes say what the readings say, typed, by few queries."""

import dataclasses
import math

import pytest
import sqlalchemy

from scrapeview.bearing import Square
from scrapeview.columns import columns_of
from scrapeview.record import FacePlan, Scrape
from scrapeview.record.overview import TRENDS
from scrapeview.record.summary import summary_of
from scrapeview.targets import Target

SHOP_KINDS = {c.name: c.dtype for c in columns_of("faces")} | dict.fromkeys(TRENDS, "object")


def kinds(frame):
    return {name: str(kind) for name, kind in frame.dtypes.items()}


def test_progress_has_the_columns_of_passes_also_when_empty(record, face, shot):
    due = {column.name: column.dtype for column in columns_of("passes")}
    assert kinds(record.progress(face.face_id)) == due
    photo, reading = shot("one")
    record.keep_print(face.face_id, [photo], reading)
    assert kinds(record.progress(face.face_id)) == due
    assert len(record.progress(face.face_id + 1)) == 0


def test_progress_says_what_the_readings_and_passes_say(record, face, shot, reading):
    told = Scrape(who="Anna", scraping="rough", metal_um=8.0, hours=0.5, notes="öil")
    kept = []
    for scene, scrape in (("plain", told), ("blank", Scrape())):
        photo, whole = shot(scene, reading(scene, 2))
        kept.append((record.keep_print(face.face_id, [photo], whole, scrape), whole, scrape))
    rows = record.progress(face.face_id).to_dict("records")
    assert len(rows) == 2
    for row, (where, whole, scrape) in zip(rows, kept, strict=True):
        for name, value in summary_of(whole).items():
            assert row[name] == value or (math.isnan(row[name]) and math.isnan(value)), name
        assert (row["number"], row["print_id"], row["reading_id"]) == (
            where.pass_number, where.print_id, where.reading_id,
        )  # fmt: skip
        assert (row["who"], row["scraping"], row["notes"]) == (
            scrape.who, scrape.scraping, scrape.notes,
        )  # fmt: skip
        kept_at_utc = record.print_entry(where.print_id).kept_at_utc
        assert row["printed_at"] == (whole.taken_at or kept_at_utc)
    assert (rows[0]["metal_um"], rows[0]["hours"]) == (8.0, 0.5)
    assert math.isnan(rows[1]["metal_um"])
    assert math.isnan(rows[1]["hours"])


def test_the_worst_square_of_a_summary_is_the_reading_s(small):
    square = Square(
        x_mm=1.0, y_mm=2.0, side_mm=25.4, area_mm2=600.0, points=3,
        points_per_square_inch=3.2, points_per_25mm_square=3.1, contact_percent=9.5,
    )  # fmt: skip
    summary = summary_of(dataclasses.replace(small, worst_square=square))
    assert summary["worst_contact_percent"] == 9.5
    assert summary["worst_points_per_square_inch"] == 3.2


def test_a_print_not_taken_by_a_camera_clock_has_the_time_it_was_kept(record, face, shot, small):
    for number, taken in enumerate((None, "2024-03-11T09:12:00")):
        photo, reading = shot(str(number), dataclasses.replace(small, taken_at=taken))
        record.keep_print(face.face_id, [photo], reading)
    first, second = record.progress(face.face_id)["printed_at"]
    assert first == record.prints(face.face_id)[0].kept_at_utc
    assert second == "2024-03-11T09:12:00"


def test_the_shop_says_where_each_face_stands(record, face, shot, small, monkeypatch):
    monkeypatch.setattr("scrapeview.record.overview.TREND_PASSES", 3)
    target = Target(name="own", contact_most_percent=60, ppsi_least=20)
    free = FacePlan(name="Back face", shape="free", role="stop", target=target)
    never = record.add_face(face.part.part_id, free)
    begun = record.add_face(face.part.part_id, FacePlan(name="gib", shape="free"))
    for number in range(5):
        photo, reading = shot(
            f"shop {number}",
            dataclasses.replace(small, contact_percent=float(number), points_per_square_inch=2.0),
        )
        record.keep_print(face.face_id, [photo], reading)
    photo, reading = shot("gib", dataclasses.replace(small, is_print=False))
    record.keep_print(begun.face_id, [photo], reading)
    photo, reading = shot("again", dataclasses.replace(small, is_print=False))
    record.keep_print(begun.face_id, [photo], reading, pass_number=1)
    record.begin_pass(begun.face_id, Scrape())
    shop = record.shop()
    assert kinds(shop) == SHOP_KINDS
    assert list(shop["face"]) == ["Back face", "flat way", "gib"]
    back, way, gib = shop.to_dict("records")
    assert (back["face_id"], back["role"], back["machine"]) == (
        never.face_id, "stop", "Invented grinder",
    )  # fmt: skip
    assert (back["passes"], back["waiting"], back["last_printed_at"]) == (0, True, "")
    assert math.isnan(back["contact_percent"])
    assert (back["target_contact_most_percent"], back["target_ppsi_least"]) == (60.0, 20.0)
    assert math.isnan(back["target_contact_least_percent"])
    assert back["trend_contact_percent"] == []
    assert (way["passes"], way["waiting"], way["is_print"]) == (5, False, True)
    assert (way["contact_percent"], way["points_per_square_inch"]) == (4.0, 2.0)
    assert way["trend_contact_percent"] == [2.0, 3.0, 4.0]
    assert way["trend_ppsi"] == [2.0] * 3
    assert way["last_printed_at"] == record.progress(face.face_id)["printed_at"].iloc[-1]
    assert way["count_reliable"] == small.count_reliable
    assert (gib["passes"], gib["waiting"], gib["is_print"]) == (1, True, False)


def test_an_empty_shop_is_typed(record):
    assert kinds(record.shop()) == SHOP_KINDS


def test_the_current_reading_is_shown_not_the_latest(record, face, shot):
    photo, first = shot("one")
    kept = record.keep_print(face.face_id, [photo], first)
    record.add_reading(kept.print_id, dataclasses.replace(first, contact_percent=1.25), "again")
    assert record.shop()["contact_percent"][0] == 1.25
    record.choose_reading(kept.print_id, kept.reading_id, "back")
    assert record.shop()["contact_percent"][0] == first.contact_percent
    assert record.progress(face.face_id)["contact_percent"][0] == first.contact_percent
    assert record.progress(face.face_id)["readings"][0] == 2


@pytest.fixture
def queries():
    """What is asked of the database, as a list that grows."""
    asked = []

    def note(conn, cursor, statement, *rest):  # noqa: ARG001
        asked.append(statement)

    sqlalchemy.event.listen(sqlalchemy.Engine, "before_cursor_execute", note)
    yield asked
    sqlalchemy.event.remove(sqlalchemy.Engine, "before_cursor_execute", note)


def test_tables_take_few_queries_and_no_documents(record, face, shot, queries):
    for number in range(3):
        photo, reading = shot(str(number))
        record.keep_print(face.face_id, [photo], reading)
    for ask, most in (
        (record.shop, 3), (lambda: record.progress(face.face_id), 1),
        (lambda: record.prints(face.face_id), 4), (lambda: record.passes(face.face_id), 2),
        (record.faces, 1), (record.all_judged_from, 2), (record.kept_verdicts, 1),
        (lambda: record.judged_from(face.face_id), 2), (lambda: record.eye_counts(face.face_id), 2),
        (lambda: record.swing_tests(face.face_id), 2),
        (lambda: record.film_calibrations(face.face_id), 2),
        (lambda: record.line_checks(face.face_id), 2),
    ):  # fmt: skip
        queries.clear()
        ask()
        asked = [statement for statement in queries if statement.startswith("SELECT")]
        assert 0 < len(asked) <= most
        told = " ".join(asked)
        assert not any(name in told for name in ("reading_documents", "points.", "cells."))
