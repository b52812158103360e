"""Machines, parts and faces come back as they were told, and names do not clash."""

import dataclasses
import json

import pytest

from scrapeview.errors import RecordError
from scrapeview.flatness import ReferenceFlatness
from scrapeview.record import FacePlan, Machine, Part
from scrapeview.settings import Settings
from scrapeview.targets import SHIPPED_TARGETS, Origin, Target

PLAN = FacePlan(
    name="vee and flat",
    role="pair of ways",
    shape="rectangle",
    width_mm=410.5,
    height_mm=0.1 + 0.2,
    regions_mm=(
        ((0.0, 0.0), (410.5, 0.0), (410.5, 1 / 3)),
        ((0.0, 40.0), (9.0, 40.0), (4.0, 70.0)),
    ),
    openings_mm=(((10.0, 10.0), (20.0, 10.0), (15.0, 18.25)),),
    target=Target(
        name="our own",
        contact_least_percent=40,
        ppsi_least=20.5,
        square_ppsi_least=1 / 3,
        bare_circle_most_mm=12.7,
        spread_most_percent=35,
        balance_most_percent=0,
        haze_most_percent=15,
        prints_apart_most_percent=25,
        origins=(
            ("ppsi_least", Origin("own", "ürsprung")),
            ("haze_most_percent", Origin("suggestion")),
        ),
    ),
    reference="36 inch straightedge",
    flatness=ReferenceFlatness(
        grade="DIN 876 grade I", length_mm=914.4, width_mm=0.1 + 0.2, own_um=2.5
    ),
    marking="blue",
    units="inch",
    settings=Settings(smallest_point_mm=1.1, cell_mm=25.0, confidence=0.9),
    notes="left of the T-slots\nfirst line, second line",
)


def test_an_empty_record_has_nothing(record):
    assert record.machines() == ()
    assert record.faces() == ()
    assert len(record.shop()) == 0


def test_a_face_comes_back_as_it_was_told(record):
    machine = record.add_machine("  Invented  grinder ", "bought worn")
    assert machine == Machine(machine.machine_id, "Invented grinder", "bought worn")
    part = record.add_part(machine.machine_id, "cross slide")
    assert part == Part(part.part_id, machine.machine_id, "cross slide")
    entry = record.add_face(part.part_id, PLAN)
    assert entry.plan == PLAN
    assert entry.title == "Invented grinder, cross slide: vee and flat"
    assert (entry.machine, entry.part) == (machine, part)
    assert record.face(entry.face_id) == entry
    assert record.faces() == (entry,)
    assert record.parts(machine.machine_id) == (part,)


@pytest.mark.parametrize("target", SHIPPED_TARGETS, ids=lambda target: target.name)
def test_every_target_comes_back(target, in_sqlite):
    part = in_sqlite.add_part(in_sqlite.add_machine("m").machine_id, "p")
    plan = FacePlan(name="f", shape="round", width_mm=100, target=target)
    assert in_sqlite.add_face(part.part_id, plan).plan == plan


def test_all_that_is_listed_is_in_order_of_names(record):
    machines = [record.add_machine(name) for name in ("mill", "Boring bar", "lathe")]
    for machine in machines:
        for name in ("Saddle", "bed"):
            part = record.add_part(machine.machine_id, name)
            record.add_face(part.part_id, FacePlan(name="flat", shape="free"))
    assert [machine.name for machine in record.machines()] == ["Boring bar", "lathe", "mill"]
    assert [part.name for part in record.parts(machines[0].machine_id)] == ["bed", "Saddle"]
    told = [(face.machine.name, face.part.name) for face in record.faces()]
    assert told[:3] == [("Boring bar", "bed"), ("Boring bar", "Saddle"), ("lathe", "bed")]


def test_the_same_name_twice_in_one_place_is_refused(record, face):
    machine, part = face.machine, face.part
    with pytest.raises(RecordError, match="machine 'Invented grinder' already"):
        record.add_machine("Invented grinder")
    with pytest.raises(RecordError, match="Invented grinder has a part 'cross slide' already"):
        record.add_part(machine.machine_id, "cross slide")
    with pytest.raises(RecordError, match="cross slide has a face 'flat way' already"):
        record.add_face(part.part_id, face.plan)
    other = record.add_machine("Another one")
    elsewhere = record.add_part(other.machine_id, "cross slide")
    record.add_face(elsewhere.part_id, face.plan)
    with pytest.raises(RecordError, match="already"):
        record.change_machine(other.machine_id, "Invented grinder", "")
    assert len(record.faces()) == 2


def test_names_and_plans_change(record, face):
    record.change_machine(face.machine.machine_id, "Surface grinder", "dismantled")
    record.change_part(face.part.part_id, "saddle")
    changed = record.change_face(face.face_id, PLAN)
    assert changed.title == "Surface grinder, saddle: vee and flat"
    assert changed.machine.notes == "dismantled"
    assert changed.plan == PLAN
    assert record.face(face.face_id) == changed


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"name": "   "}, "needs a name"),
        ({"name": "x" * 200}, "too long"),
        ({"name": "a\x00b"}, "cannot be stored"),
        ({"notes": "half \ud83d of a pair"}, "cannot be stored"),
        ({"shape": "oval"}, "not 'oval'"),
        ({"marking": "green"}, "no marking 'green'"),
        ({"units": "cubits"}, "not 'cubits'"),
        ({"width_mm": 0.0}, "needs its width and height"),
        ({"height_mm": float("nan")}, "sides of a face"),
        ({"width_mm": float("inf")}, "sides of a face"),
        ({"shape": "round", "width_mm": 0.0}, "needs its diameter"),
        ({"regions_mm": (((0.0, 0.0), (1.0, 1.0)),)}, "three corners"),
        ({"openings_mm": (((0.0, 0.0), (1.0, 1.0), (float("nan"), 2.0)),)}, "nowhere"),
        ({"openings_mm": ((1.0, 2.0, 3.0),)}, "places x, y"),
        ({"target": Target(name="a\x00b")}, "cannot be stored"),
        ({"target": Target(name="x" * 121)}, "name of the target is too long"),
        ({"flatness": ReferenceFlatness(grade="grade 7")}, "no grade 'grade 7'"),
        ({"flatness": ReferenceFlatness(length_mm=-1.0)}, "sides of a reference"),
        ({"flatness": ReferenceFlatness(width_mm=float("nan"))}, "sides of a reference"),
        ({"flatness": ReferenceFlatness(own_um=1000.1)}, "own error must be 0 to 1000 um"),
        ({"flatness": ReferenceFlatness(own_um=-0.1)}, "own error must be 0 to 1000 um"),
    ],
)
def test_a_plan_that_describes_no_face_is_refused_and_changes_nothing(
    in_sqlite, face_in, changes, told
):
    record, face = in_sqlite, face_in(in_sqlite)
    bad = dataclasses.replace(face.plan, **changes)
    with pytest.raises(RecordError, match=told):
        record.change_face(face.face_id, bad)
    with pytest.raises(RecordError, match=told):
        record.add_face(face.part.part_id, bad)
    assert record.faces() == (face,)


def test_what_is_not_there_is_said_in_words(record):
    for ask in (
        lambda: record.face(7),
        lambda: record.add_part(7, "part"),
        lambda: record.add_face(7, PLAN),
        lambda: record.change_machine(7, "m", ""),
        lambda: record.change_part(7, "p"),
        lambda: record.change_face(7, PLAN),
        lambda: record.remove_machine(7),
        lambda: record.print_entry(7),
        lambda: record.reading(7),
        lambda: record.plane(7),
        lambda: record.photo_name("0" * 64),
    ):
        with pytest.raises(RecordError, match="not in the record"):
            ask()


def test_a_machine_goes_with_all_that_hangs_on_it(record, face, shot):
    photo, reading = shot("one")
    kept = record.keep_print(face.face_id, [photo], reading)
    other = record.add_machine("Another one")
    record.remove_machine(face.machine.machine_id)
    assert record.machines() == (other,)
    assert record.faces() == ()
    with pytest.raises(RecordError):
        record.reading(kept.reading_id)
    with record.looking() as db:
        for name in ("passes", "prints", "print_photographs", "readings", "reading_documents",
                     "points", "cells", "choices"):  # fmt: skip
            assert db.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar() == 0
    assert record.photo(reading.photo_sha256) == photo[1]


def test_numbers_are_never_given_twice(record, face, shot):
    """What is kept by its number in another place must never turn into something else."""
    photo, reading = shot("one")
    kept = record.keep_print(face.face_id, [photo], reading)
    record.remove_machine(face.machine.machine_id)
    part = record.add_part(record.add_machine("Next").machine_id, "part")
    following = record.add_face(part.part_id, face.plan)
    assert following.face_id > face.face_id
    later = record.keep_print(following.face_id, [photo], reading)
    assert (later.print_id, later.reading_id) > (kept.print_id, kept.reading_id)


def test_settings_of_the_shop_come_back(record):
    values = ("inch", ["Anna", "Örs"], 0.95, None, False, {"name": "x", "ppsi_least": None}, [])
    for value in values:
        assert record.setting(f"never set {value}", "default") == "default"
        record.set_setting("told", value)
        assert json.dumps(record.setting("told", "default")) == json.dumps(value)
    assert record.setting("other", "default") == "default"


@pytest.mark.parametrize("value", [float("nan"), object(), {1, 2}])
def test_a_setting_that_cannot_be_stored_leaves_the_one_before(in_sqlite, value):
    in_sqlite.set_setting("told", 1)
    with pytest.raises(RecordError, match="cannot be stored"):
        in_sqlite.set_setting("told", value)
    assert in_sqlite.setting("told", 2) == 1
