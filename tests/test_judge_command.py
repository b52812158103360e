"""`scrapeview judge`: what it prints of a face, what it writes, refuses and keeps."""

import dataclasses
import hashlib
import json
import re
from io import BytesIO

import numpy as np
import pandas as pd
import pytest
from typer.testing import CliRunner

from scrapeview import face_beside
from scrapeview.cli import app
from scrapeview.columns import columns_of
from scrapeview.face_verdict import fresh_verdicts, judged_prints
from scrapeview.record import FacePlan, Record, Scrape, SwingTest
from scrapeview.targets import NO_TARGET, Target

pytestmark = pytest.mark.usefixtures("own_home")

SEED = 2
REACHED = Target(
    name="own", ppsi_least=1, contact_least_percent=1, haze_most_percent=60,
    prints_apart_most_percent=100,
)  # fmt: skip


@pytest.fixture(scope="module")
def first(printed, reading):
    """Plan, photograph and reading of a face's first print."""
    shot = printed("sparse", SEED)
    w, h = shot.size_mm
    plan = FacePlan(name="top way", width_mm=w, height_mm=h, marking=shot.marking, target=REACHED)
    return plan, shot.jpeg, reading("sparse", SEED)


@pytest.fixture
def shop(own_home, first):
    """A face printed twice on one pass, and one without a print."""
    record = Record.open(own_home)
    plan, photo, reading = first
    part = record.add_part(record.add_machine("Mill").machine_id, "Table")
    face = record.add_face(part.part_id, plan)
    record.add_face(part.part_id, FacePlan(name="gib", shape="free"))
    kept = record.keep_print(face.face_id, [("p.jpg", photo)], reading)
    # what follows the picture's end is no part of it: the same marks in another photograph
    other = photo + b" "
    again = dataclasses.replace(reading, photo_sha256=hashlib.sha256(other).hexdigest())
    record.keep_print(
        face.face_id, [("q.jpg", other)], again, placement="turned",
        pass_number=kept.pass_number,
    )  # fmt: skip
    yield record
    record.close()


def face_named(record, name):
    return next(face for face in record.faces() if face.plan.name == name)


def aimed(record, target):
    """The face with another target."""
    face = face_named(record, "top way")
    record.change_face(face.face_id, dataclasses.replace(face.plan, target=target))
    return face.face_id


def run(*words):
    return CliRunner().invoke(app, ["judge", *(str(word) for word in words)])


def done(*words):
    result = run(*words)
    assert result.exit_code == 0, result.output
    assert result.stderr == ""
    assert not re.search(r"\bnan\b|\binf\b|None", result.stdout)
    return result.stdout


def refused(*words):
    """One plain sentence on stderr, nothing on stdout, exit status 2."""
    result = run(*words)
    assert result.exit_code == 2, result.output
    assert isinstance(result.exception, SystemExit)
    assert result.stdout == ""
    (line,) = result.stderr.strip().splitlines()
    assert line.endswith(".")
    return line


def test_a_face_that_reaches_its_target_is_done(shop):
    face = face_named(shop, "top way")
    told = done(face.face_id)
    head, sentence, *_ = told.split("\n\n")
    assert head == "Mill, Table: top way, pass 1: DONE"
    assert re.match(r"[\d.]+ points per 25 mm square is what the face bears at least", sentence)
    assert "Two prints apart" in told
    assert "proves local contact with its reference, not flatness" in " ".join(told.split())
    assert told.rstrip().endswith("Bounds: each at a risk of 5 %.")


def test_units_are_those_of_the_shop_and_change_no_outcome(shop):
    shop.set_setting("units", "inch")
    told = done(face_named(shop, "top way").face_id)
    assert told.startswith("Mill, Table: top way, pass 1: DONE")
    assert "points per in2" in told
    assert "mm square" not in told


def test_a_pass_scraped_since_is_told(shop):
    face = face_named(shop, "top way")
    shop.begin_pass(face.face_id, Scrape())
    told = done(face.face_id)
    assert "Pass 2 is scraped and waits for its print" in told


def test_without_a_target_nothing_is_done(shop):
    told = done(aimed(shop, NO_TARGET))
    assert "KEEP SCRAPING" in told.splitlines()[0]
    assert "0 targets are set for this face" in told
    assert "Choose a target for this face." in told


def test_the_swing_test_of_the_last_pass_stands_beside_the_verdict(shop, first):
    face = face_named(shop, "top way")
    shop.add_swing_test(face.face_id, SwingTest(pass_number=1, result="convex"))
    assert "the swing test said convex" in done(face.face_id)
    _, photo, reading = first
    shop.keep_print(face.face_id, [("p.jpg", photo)], reading, again=True)
    assert "swing test" not in done(face.face_id)


def test_the_criteria_are_written_as_the_table_they_are(shop, tmp_path, monkeypatch):
    monkeypatch.setattr(face_beside, "beside_sentences", lambda *_: ())
    face_id = face_named(shop, "top way").face_id
    paths = [tmp_path / f"criteria.{kind}" for kind in ("csv", "JSON", "parquet")]
    for path in paths:
        done(face_id, "--criteria", path)
    csv, parquet = pd.read_csv(paths[0]), pd.read_parquet(BytesIO(paths[2].read_bytes()))
    assert list(parquet.columns) == [column.name for column in columns_of("criteria")]
    assert list(csv["criterion"]) == list(parquet["criterion"])
    assert set(parquet["stands"]) == {"clears"}
    assert "ppsi_least" in json.dumps(json.loads(paths[1].read_text("utf-8")))


def test_what_cannot_be_judged_or_written_is_refused_and_keeps_nothing(shop, tmp_path):
    face_id = face_named(shop, "top way").face_id
    assert "keep a print of this face first" in refused(face_named(shop, "gib").face_id)
    refused(face_id + 90)
    assert "must end in" in refused(face_id, "--criteria", tmp_path / "criteria.txt")
    assert "no folder" in refused(face_id, "--criteria", tmp_path / "nowhere" / "criteria.csv")
    assert "There is no record in" in refused(face_id, "--home", tmp_path / "nowhere")
    assert shop.kept_verdicts() == {}


def test_the_kept_verdict_is_fresh_until_the_target_changes(shop):
    face_id = face_named(shop, "top way").face_id
    told = done(face_id)
    fresh, stale = fresh_verdicts(shop)
    assert stale == ()
    assert fresh[face_id].outcome == "done"
    assert fresh[face_id].reason in " ".join(told.split())
    aimed(shop, dataclasses.replace(REACHED, ppsi_least=400))
    fresh, stale = fresh_verdicts(shop)
    assert fresh == {}
    assert [face.face_id for face in stale] == [face_id]
    assert "KEEP SCRAPING" in done(face_id)
    assert fresh_verdicts(shop)[0][face_id].outcome == "keep scraping"


def test_shape_leaves_out_what_glare_took(shop, first, monkeypatch):
    _, photo, reading = first
    emptied = np.zeros_like(reading.contact_mask)
    emptied[:, : emptied.shape[1] // 2] = True
    told = []
    monkeypatch.setattr(
        face_beside, "washed_out_of", lambda _, given: told.append(given) or emptied
    )
    clear = face_beside._shape(shop, 1)
    assert told == []
    glary = dataclasses.replace(reading, washed_out_percent=9.0)
    shop.add_reading(1, glary, "read again")
    last = shop.history(1)["reading_id"].iloc[-1]
    found = face_beside._shape(shop, int(last))
    assert told == [photo]
    assert found.relief.told.sum() < clear.relief.told.sum()


def test_a_print_kept_meanwhile_is_left_for_the_next_verdict(shop, monkeypatch):
    face_id = face_named(shop, "top way").face_id
    monkeypatch.setattr(shop, "passes", lambda _: ())
    assert judged_prints(shop, face_id) == ()
