"""Every earlier version of the record comes up to date with its data, and the schema is true."""

import hashlib
import json

import pytest
import sqlalchemy
from sqlalchemy import inspect

from scrapeview.errors import RecordError
from scrapeview.flatness import NOT_KNOWN
from scrapeview.placements import Placement
from scrapeview.record import (
    EyeCount,
    FacePlan,
    FilmCalibration,
    KeptVerdict,
    LineCheck,
    Record,
    SwingTest,
    database,
    schema,
    steps,
)
from scrapeview.record.migrations import LATEST, MIGRATIONS, Migration, migrate, version_of
from scrapeview.record.stored_reading import prepare
from scrapeview.settings import Settings
from scrapeview.targets import Origin

VERSIONS = range(1, LATEST)
RELEASED = [
    "0a26f593c159ecb4",
    "88e96f2eb61c0c01",
    "974a3e04444978a4",
    "7c5a152376ffc6e5",
    "e6cd38171dde7d10",
]
"""Beginning of the SHA-256 of each step's text."""


@pytest.fixture
def engine(tmp_path, address):
    """An engine for an empty database."""
    path = tmp_path / "home"
    path.mkdir()
    made = (
        database.open_postgresql(address)
        if address
        else database.open_sqlite(path / "record.sqlite")
    )
    yield made
    made.dispose()


def in_version(engine, number):
    if number:
        migrate(database.writer_of(engine), MIGRATIONS[:number])


def number_in(engine):
    with engine.connect() as db:
        return version_of(db)


def add(db, table, **values):
    names = ", ".join(f'"{name}"' for name in values)
    told = ", ".join(f":{name}" for name in values)
    db.execute(sqlalchemy.text(f"INSERT INTO {table} ({names}) VALUES ({told})"), values)


def fill(engine, reading):
    """Data as the first version wrote it, in its own words: one print with two readings."""
    prepared = prepare(reading)
    as_json = json.dumps(Settings().as_dict())
    with database.writer_of(engine).begin() as db:
        add(db, "machines", machine_id=4, name="Invented grinder", notes="worn")
        add(db, "parts", part_id=5, machine_id=4, name="saddle")
        add(
            db, "faces", face_id=6, part_id=5, name="vee way", role="way", shape="rectangle",
            width_mm=110.0, height_mm=70.0, regions_mm="[]", openings_mm="[]", target_name="own",
            target_ppsi_least=20.0, target_source="told", reference="", marking="auto", units="",
            settings=as_json, notes="",
        )  # fmt: skip
        add(
            db, "passes", pass_id=7, face_id=6, number=1, begun_at_utc="2024-03-11T09:00:00+00:00",
            who="Anna", scraping="rough", metal_um=5.0, notes="",
        )  # fmt: skip
        add(
            db, "photographs", sha256=reading.photo_sha256, name="print.jpg", size_bytes=3,
            added_at_utc="2024-03-11T10:00:00+00:00",
        )  # fmt: skip
        add(
            db, "prints", print_id=8, pass_id=7, placement="left",
            kept_at_utc="2024-03-11T10:00:00Z",
        )  # fmt: skip
        add(db, "print_photographs", print_id=8, position=0, sha256=reading.photo_sha256)
        for reading_id in (9, 10):
            add(db, "readings", reading_id=reading_id, print_id=8, **prepared.summary)
            add(db, "reading_documents", reading_id=reading_id, **prepared.document)
            for name, rows in prepared.tables.items():
                names = [column.name for column in schema.METADATA.tables[name].columns][2:]
                for number, row in enumerate(rows):
                    values = dict(zip(names, row, strict=True))
                    add(db, name, reading_id=reading_id, number=number, **values)


@pytest.mark.parametrize("version", VERSIONS)
def test_an_earlier_version_comes_up_to_date_with_its_data(
    engine, tmp_path, address, version, small
):
    in_version(engine, version)
    assert number_in(engine) == version
    fill(engine, small)
    if version >= 2:
        with database.writer_of(engine).begin() as db:
            add(
                db, "choices", choice_id=1, print_id=8, reading_id=10, why="kept",
                chosen_at_utc="2024-03-11T10:00:00Z",
            )  # fmt: skip
    record = Record.open(tmp_path / "home", address)
    assert number_in(engine) == LATEST
    (face,) = record.faces()
    assert (face.title, face.plan.target.ppsi_least) == ("Invented grinder, saddle: vee way", 20.0)
    # each value is from where the whole target was told to be from
    assert face.plan.target.origins == (("ppsi_least", Origin("own", "told")),)
    assert face.plan.target.asks
    assert face.plan.flatness == NOT_KNOWN
    assert record.change_face(6, face.plan) == face
    (printed,) = record.prints(6)
    assert (printed.reading_ids, printed.current_reading_id) == ((9, 10), 10)
    assert (printed.where, printed.joined) == (Placement(name="left"), None)
    assert record.change_placement(8, Placement(start_mm=0.0, length_mm=9.5)).where.end_mm == 9.5
    assert set(record.history(8)["why"]) == {"kept"}
    back = record.reading(9)
    assert back.points.equals(small.points)
    assert back.cells.equals(small.cells)
    assert (back.contact_mask == small.contact_mask).all()
    assert len(record.progress(6)) == 1
    assert record.shop()["contact_percent"][0] == small.contact_percent
    count = EyeCount(
        print_id=8, reading_id=9, x_mm=0.0, y_mm=0.0, side_mm=25.4, by_eye=3, by_tool=4
    )  # fmt: skip
    record.add_eye_counts(6, [count])
    record.add_swing_test(6, SwingTest(pass_number=1, result="convex"))
    record.add_film_calibration(6, FilmCalibration(um=2, low_um=1, high_um=3, how="own figure"))
    record.add_line_check(
        6, LineCheck(pass_number=1, what="step", between="", value_um=0, instrument="level")
    )
    record.keep_verdict(6, KeptVerdict(judged_from=record.judged_from(6), outcome="", reason=""))
    # what is added now gets numbers of its own
    assert record.add_face(5, FacePlan(name="next", shape="free")).face_id != 6
    record.set_setting("units", "inch")
    record.close()


def test_every_step_has_its_own_row_and_is_made_once(engine):
    in_version(engine, LATEST)
    in_version(engine, LATEST)
    with engine.connect() as db:
        rows = db.execute(sqlalchemy.select(schema.migrations)).all()
    assert [row.number for row in rows] == list(range(1, LATEST + 1))
    assert [row.name for row in rows] == [migration.name for migration in MIGRATIONS]
    assert LATEST >= 5


@pytest.mark.parametrize("version", range(LATEST))
def test_a_step_that_fails_half_way_leaves_the_version_before(engine, version):
    in_version(engine, version)
    with engine.connect() as db:
        before = sorted(inspect(db).get_table_names())
    step = MIGRATIONS[version]
    broken = Migration(step.number, step.name, (*step.statements, "CREATE TABLE no such syntax"))
    with pytest.raises(sqlalchemy.exc.DBAPIError):
        migrate(database.writer_of(engine), (*MIGRATIONS[:version], broken))
    assert number_in(engine) == version
    with engine.connect() as db:
        assert sorted(inspect(db).get_table_names()) == before
    in_version(engine, LATEST)
    assert number_in(engine) == LATEST


def test_a_newer_version_is_refused(engine):
    in_version(engine, LATEST)
    with pytest.raises(RecordError, match="newer Scrapeview"):
        migrate(database.writer_of(engine), MIGRATIONS[:-1])


def test_the_tables_are_what_the_schema_says(engine):
    in_version(engine, LATEST)
    found = sqlalchemy.MetaData()
    found.reflect(engine)
    assert set(found.tables) == set(schema.METADATA.tables)
    for name, table in schema.METADATA.tables.items():
        made = found.tables[name]
        assert [c.name for c in made.columns] == [c.name for c in table.columns], name
        for column in table.columns:
            there = made.columns[column.name]
            assert kind_of(there.type, engine) == kind_of(column.type, engine), column
            assert there.primary_key == column.primary_key, column
            if not column.nullable and not column.primary_key:
                assert not there.nullable, column
            due = {key.target_fullname for key in column.foreign_keys}
            assert due <= {key.target_fullname for key in there.foreign_keys}, column


def kind_of(kind, engine):
    """Kind of a column, as far as the database tells kinds apart."""
    said = kind.dialect_impl(engine.dialect).compile(engine.dialect)
    in_sqlite = {"BOOLEAN": "INTEGER", "BIGINT": "INTEGER", "DOUBLE": "REAL"}
    in_postgresql = {"FLOAT": "DOUBLE PRECISION", "FLOAT(53)": "DOUBLE PRECISION"}
    return {"sqlite": in_sqlite, "postgresql": in_postgresql}[engine.dialect.name].get(said, said)


def test_all_that_belongs_to_a_thing_goes_with_it(engine):
    in_version(engine, LATEST)
    found = list(references(engine))
    assert {to for _, to, _ in found} >= {"machines", "parts", "faces", "passes", "prints"}
    for name, to, on_delete in found:
        assert on_delete == ("NO ACTION" if to == "photographs" else "CASCADE"), (name, to)


def references(engine):
    """Table, table it refers to and what becomes of it when that one's row goes."""
    for name in schema.METADATA.tables:
        if engine.dialect.name == "sqlite":
            with engine.connect() as db:
                keys = db.exec_driver_sql(f"PRAGMA foreign_key_list({name})").mappings().all()
            yield from ((name, key["table"], key["on_delete"]) for key in keys)
        else:
            for key in inspect(engine).get_foreign_keys(name):
                yield name, key["referred_table"], key["options"].get("ondelete", "NO ACTION")


def test_each_query_along_the_way_has_an_index(engine):
    in_version(engine, LATEST)
    for name in schema.METADATA.tables:
        held = inspect(engine)
        first = {i["column_names"][0] for i in held.get_indexes(name)}
        first |= {u["column_names"][0] for u in held.get_unique_constraints(name)}
        first |= set(held.get_pk_constraint(name)["constrained_columns"][:1])
        for key in held.get_foreign_keys(name):
            if key["constrained_columns"][0] != "photo_sha256":
                assert key["constrained_columns"][0] in first, (name, key)


def test_steps_that_were_released_are_as_they_were():
    """An edited step would leave older records different from newer ones: add a step instead."""
    told = [hashlib.sha256(text.encode()).hexdigest()[:16] for _, text in steps.STEPS]
    assert told[: len(RELEASED)] == RELEASED
    assert len(told) == len(RELEASED), "put the digest of the new step in RELEASED"
