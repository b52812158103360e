"""Counts by eye, swing tests and targets in archives, and archives from before they had them."""

import dataclasses
import io
import json

import pytest
from packed import members_of, zip_of

from scrapeview.archive import read_archive, write_zip
from scrapeview.flatness import NOT_KNOWN, ReferenceFlatness
from scrapeview.placements import Placement
from scrapeview.record import EyeCount, FacePlan, KeptVerdict, Record, SwingTest
from scrapeview.targets import SHIPPED_TARGETS, Origin, Target

SEED = 2
FIRST_TARGET = ("name", "contact_least_percent", "contact_most_percent", "ppsi_least")
"""What a target of the first format told, beside its source."""


@pytest.fixture(scope="module")
def shop(tmp_path_factory, printed, reading):
    """A record with a machine of two prints that were counted by eye; its face."""
    record = Record.open(tmp_path_factory.mktemp("shop"))
    # so that its numbers are others than those a restored one gets
    record.add_part(record.add_machine("Another machine").machine_id, "Bed")
    part = record.add_part(record.add_machine("Mill").machine_id, "Table")
    photo, small = ("p.jpg", printed("sparse", SEED).jpeg), few_points(reading("sparse", SEED))
    target = next(t for t in SHIPPED_TARGETS if t.name == "reference face")
    plan = FacePlan(
        name="way", width_mm=110, height_mm=70, target=target,
        flatness=ReferenceFlatness(grade="GGG-P-463c A", length_mm=910.5, own_um=1 / 3),
    )  # fmt: skip
    face = record.add_face(part.part_id, plan)
    first = record.keep_print(face.face_id, [photo], small)
    again = record.add_reading(first.print_id, small, "again")
    second = record.keep_print(face.face_id, [photo], small, again=True)
    counted = [(second, second.reading_id, 11), (first, again, 13), (first, first.reading_id, 0)]
    record.add_eye_counts(
        face.face_id,
        [
            EyeCount(
                print_id=kept.print_id, reading_id=reading_id, x_mm=25.4, y_mm=1 / 3, side_mm=25.4,
                by_eye=by_eye, by_tool=12, who="N. N.",
            )
            for kept, reading_id, by_eye in counted
        ],
    )  # fmt: skip
    swung = SwingTest(pass_number=2, result="hollow", pivot_percent=0.1 + 0.2, notes="dry")
    record.add_swing_test(face.face_id, swung)
    record.add_swing_test(face.face_id, SwingTest(pass_number=1, result="convex"))
    kept = KeptVerdict(judged_from="0" * 64, outcome="nearly", reason="9 of 10")
    record.keep_verdict(face.face_id, kept)
    yield record, face
    record.close()


@pytest.fixture(scope="module")
def zipped(shop):
    record, face = shop
    held = io.BytesIO()
    write_zip(record, face.machine.machine_id, held)
    return held.getvalue()


@pytest.fixture
def other(tmp_path):
    """An empty record, as on another computer."""
    record = Record.open(tmp_path / "other")
    yield record
    record.close()


def few_points(reading):
    few = reading.points.iloc[:5].reset_index(drop=True)
    return dataclasses.replace(reading, points=few)


def places_of(record, face):
    """Each count with its print and reading told by their places instead of their numbers."""
    prints = {printed.print_id: printed for printed in record.prints(face.face_id)}
    return [
        (
            list(prints).index(count.print_id),
            prints[count.print_id].reading_ids.index(count.reading_id),
            dataclasses.replace(count, print_id=0, reading_id=0),
        )
        for count in record.eye_counts(face.face_id)
    ]


def test_counts_by_eye_and_swing_tests_come_back_on_the_new_prints(shop, zipped, other):
    read_archive(other, io.BytesIO(zipped))
    (face,) = other.faces()
    record, there = shop
    assert face.face_id != there.face_id or face.machine.machine_id != there.machine.machine_id
    assert face.plan == there.plan
    assert other.swing_tests(face.face_id) == record.swing_tests(there.face_id)
    assert [test.pass_number for test in other.swing_tests(face.face_id)] == [1, 2]
    found = places_of(other, face)
    assert [(at, of, count.by_eye) for at, of, count in found] == [
        (0, 1, 13),
        (0, 0, 0),
        (1, 0, 11),
    ]
    assert found == places_of(record, there)
    # a verdict is judged anew where it is wanted
    assert other.kept_verdicts() == {}


def in_second_format(face):
    """Take out of a face's dictionary what archives told from the third format on."""
    del face["film_calibrations"], face["line_checks"]
    for test in face.get("swing_tests", ()):
        del test["test_id"]
    for each in face["passes"]:
        for one in each["prints"]:
            one["placement"] = one["placement"]["name"]
            del one["joined"]
            for count in one["eye_counts"]:
                del count["count_id"]


def test_an_archive_of_the_second_format_comes_back(shop, zipped, other):
    """It told the name of a placement only, and nothing of maps, film and instruments."""
    members = members_of(zipped)
    told = json.loads(members["record.json"])
    (face,) = told["parts"][0]["faces"]
    in_second_format(face)
    face["passes"][1]["prints"][0]["placement"] = "right end"
    members["record.json"] = json.dumps(told).encode()
    read_archive(other, io.BytesIO(zip_of(members, number=2)))
    (back,) = other.faces()
    record, there = shop
    assert [one.where for one in other.prints(back.face_id)] == [
        Placement(), Placement(name="right end"),
    ]  # fmt: skip
    assert [one.joined for one in other.prints(back.face_id)] == [None, None]
    assert other.swing_tests(back.face_id) == record.swing_tests(there.face_id)
    assert places_of(other, back) == places_of(record, there)
    assert other.film_calibrations(back.face_id) == other.line_checks(back.face_id) == ()


@pytest.mark.parametrize(
    ("source", "origin"),
    [
        ("the shop", Origin("own", "the shop")),
        ("", Origin("own")),
        ("common practice, no source", Origin("practice")),
    ],
)
def test_an_archive_of_the_first_format_comes_back(zipped, other, source, origin):
    """It told one source for a target, and nothing of what came to be kept since."""
    members = members_of(zipped)
    told = json.loads(members["record.json"])
    (face,) = told["parts"][0]["faces"]
    target = {name: face["plan"]["target"][name] for name in FIRST_TARGET} | {"source": source}
    face["plan"]["target"] = target
    del face["plan"]["flatness"], face["swing_tests"]
    in_second_format(face)
    for each in face["passes"]:
        for one in each["prints"]:
            del one["eye_counts"]
    members["record.json"] = json.dumps(told).encode()
    read_archive(other, io.BytesIO(zip_of(members, number=1)))
    (back,) = other.faces()
    assert back.plan.target == Target(
        name="reference face", ppsi_least=25, contact_least_percent=20, contact_most_percent=60,
        origins=tuple((name, origin) for name in FIRST_TARGET[1:]),
    )  # fmt: skip
    assert back.plan.flatness == NOT_KNOWN
    assert other.eye_counts(back.face_id) == other.swing_tests(back.face_id) == ()
    assert len(other.prints(back.face_id)) == 2
