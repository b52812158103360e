"""Where the reference lay for a print: kept, changed, listed, and joined to one figure a pass."""

import dataclasses
import math

import pytest

from scrapeview.errors import RecordError, SettingsError
from scrapeview.placements import Placement
from scrapeview.record.photographs import sha256_of

LEFT = Placement(name="left end", start_mm=0.0, length_mm=450.0)
RIGHT = Placement(name="right end", start_mm=400.5, length_mm=1 / 3, side="near")


def keep(record, face, shot, text, *, number=None, **told):
    """Keep a print; figures of its reading are told by name."""
    where = {"placement": told.pop("placement")} if "placement" in told else {}
    photo, reading = shot(text)
    changed = dataclasses.replace(reading, **told)
    return record.keep_print(face.face_id, [photo], changed, pass_number=number, **where)


def test_a_placement_comes_back_as_it_was_told(record, face, shot):
    told = [LEFT, RIGHT, Placement(name="turned"), Placement(), Placement(side="far")]
    for number, placement in enumerate(told):
        keep(record, face, shot, f"{number}", placement=placement)
    keep(record, face, shot, "by its name", placement=" left half ")
    keep(record, face, shot, "nothing told")
    found = record.prints(face.face_id)
    assert [one.where for one in found] == [*told, Placement(name="left half"), Placement()]
    assert [one.placement for one in found[:3]] == ["left end", "right end", "turned"]
    rows = record.progress(face.face_id)
    assert list(rows["placement_start_mm"][:2]) == [0.0, 400.5]
    assert list(rows["placement_length_mm"][:2]) == [450.0, 1 / 3]
    assert rows["placement_start_mm"][2:].isna().all()
    assert list(rows["placement_side"]) == ["", "near", "", "", "far", "", ""]


def test_a_placement_that_was_told_wrongly_is_changed_and_judged_again(record, face, shot):
    kept = keep(record, face, shot, "one", placement=LEFT)
    seen = [record.judged_from(face.face_id)]
    for told in (
        dataclasses.replace(LEFT, start_mm=1.0), dataclasses.replace(LEFT, length_mm=451.0),
        dataclasses.replace(LEFT, side="far"), dataclasses.replace(LEFT, name="other"),
        Placement(name="left end"),
    ):  # fmt: skip
        assert record.change_placement(kept.print_id, told).where == told
        assert record.print_entry(kept.print_id).current_reading_id == kept.reading_id
        seen.append(record.judged_from(face.face_id))
        assert record.all_judged_from()[face.face_id] == seen[-1]
    assert len(set(seen)) == 6
    record.change_placement(kept.print_id, LEFT)
    assert record.judged_from(face.face_id) == seen[0]
    assert record.change_placement(kept.print_id, "by its name").where.start_mm is None
    with pytest.raises(RecordError, match="print is not in the record"):
        record.change_placement(kept.print_id + 1, LEFT)


@pytest.mark.parametrize("name", ["n" * 121, "a\0b", "\ud800"])
def test_a_name_that_cannot_be_stored_is_refused(in_sqlite, face_in, shot, name):
    face = face_in(in_sqlite)
    kept = keep(in_sqlite, face, shot, "one", placement=LEFT)
    for refused in (
        lambda: keep(in_sqlite, face, shot, "two", placement=Placement(name=name)),
        lambda: in_sqlite.change_placement(kept.print_id, name),
    ):
        with pytest.raises(RecordError, match="placement"):
            refused()
    (entry,) = in_sqlite.prints(face.face_id)
    assert entry.where == LEFT


def test_a_placement_that_cannot_be_is_refused_before_it_comes_here():
    for told in ({"start_mm": math.nan}, {"length_mm": math.inf}, {"side": "left"}):
        with pytest.raises(SettingsError):
            dataclasses.replace(LEFT, **told)


def test_the_placements_of_a_pass_are_one_pass_weighed_by_their_areas(record, face, shot):
    for number in (1, 2):
        for start, area, contact, ppsi in ((0, 100.0, 10.0, 8.0), (400, 300.0, 30.0, 24.0)):
            keep(
                record, face, shot, f"{number} {start}", number=number,
                placement=Placement(start_mm=start, length_mm=450), area_mm2=area,
                contact_percent=contact + number, points_per_square_inch=ppsi,
            )  # fmt: skip
    (row,) = record.shop().to_dict("records")
    assert row["passes"] == 2
    assert row["contact_percent"] == pytest.approx((12 * 100 + 32 * 300) / 400)
    assert row["points_per_square_inch"] == pytest.approx((8 * 100 + 24 * 300) / 400)
    assert row["trend_contact_percent"] == pytest.approx([26.0, 27.0])
    assert row["trend_ppsi"] == pytest.approx([20.0, 20.0])
    assert row["last_printed_at"] == record.progress(face.face_id)["printed_at"].iloc[-1]
    # printed once more, a placement counts by its last print
    placement = Placement(start_mm=400, length_mm=450)
    told = {"area_mm2": 300.0, "contact_percent": 22.0, "points_per_square_inch": 8.0}
    keep(record, face, shot, "again", number=2, placement=placement, **told)
    assert record.shop()["contact_percent"][0] == pytest.approx((12 * 100 + 22 * 300) / 400)
    assert record.shop()["points_per_square_inch"][0] == pytest.approx(8.0)
    assert len(record.progress(face.face_id)) == 5


def test_a_placement_without_a_print_leaves_the_figures_to_the_others(record, face, shot):
    for number, told in enumerate((
        {"contact_percent": 20.0, "merged_percent": 99.0}, {"contact_percent": 0.0,
        "is_print": False},
    )):  # fmt: skip
        placement = Placement(start_mm=100.0 * number, length_mm=100)
        keep(record, face, shot, f"{number}", number=1, placement=placement, **told)
    (row,) = record.shop().to_dict("records")
    assert (row["contact_percent"], row["is_print"], row["count_reliable"]) == (20.0, True, False)


def joined(*photos):
    """How a map was joined, as far as the record asks; the map first."""
    first, *others = [sha256_of(photo) for _, photo in photos]
    return {"picture_sha256": first, "photos": {"sha256": others}, "notes": ["Größe", 0.1 + 0.2]}


def shots(shot, *texts):
    photos = [shot(text)[0] for text in texts]
    return photos, shot(texts[0])[1], joined(*photos)


def test_a_map_is_kept_with_what_it_was_joined_from(record, face, shot):
    photos, reading, told = shots(shot, "map", "one", "two")
    kept = record.keep_print(face.face_id, photos, reading, joined=told, placement=LEFT)
    (entry,) = record.prints(face.face_id)
    assert entry.joined == told
    assert entry.photo_sha256s == (told["picture_sha256"], *told["photos"]["sha256"])
    assert [record.photo(sha256) for sha256 in entry.photo_sha256s] == [p for _, p in photos]
    assert hash(entry) == hash(record.print_entry(kept.print_id))
    assert "notes" not in repr(entry)
    # its readings are of the map
    record.add_reading(kept.print_id, reading, "again")
    with pytest.raises(RecordError, match="another photograph"):
        record.add_reading(kept.print_id, shot("one")[1], "of a part")
    # each of its photographs is known again
    for text in ("map", "one", "two"):
        photo, other = shot(text)
        with pytest.raises(RecordError, match="kept already"):
            record.keep_print(face.face_id, [photo], other)
    assert record.keep_print(face.face_id, [shot("three")[0]], shot("three")[1]).pass_number == 2
    assert record.prints(face.face_id)[1].joined is None


def refusable():
    return {
        "a photograph lacks": lambda told: {
            **told,
            "photos": {"sha256": told["photos"]["sha256"][:1]},
        },
        "their order": lambda told: {**told, "photos": {"sha256": told["photos"]["sha256"][::-1]}},
        "another map": lambda told: {**told, "picture_sha256": "0" * 64},
        "no table": lambda told: {**told, "photos": None},
        "no list": lambda told: {**told, "photos": {"sha256": "0" * 64}},
        "nothing": lambda _: {},
        "no plain values": lambda told: {**told, "more": object()},
        "no finite number": lambda told: {**told, "more": math.nan},
        "too long": lambda told: {**told, "more": "m" * 2**22},
    }


@pytest.mark.parametrize("what", refusable())
def test_a_map_that_is_not_of_its_photographs_is_refused(in_sqlite, face_in, shot, what):
    face = face_in(in_sqlite)
    photos, reading, told = shots(shot, "map", "one", "two")
    with pytest.raises(RecordError, match=r"joined|map"):
        in_sqlite.keep_print(face.face_id, photos, reading, joined=refusable()[what](told))
    assert in_sqlite.prints(face.face_id) == in_sqlite.passes(face.face_id) == ()
    assert not list(in_sqlite.home.glob("photographs/*/*"))


def test_a_map_alone_or_a_reading_of_its_part_is_refused(in_sqlite, face_in, shot):
    face = face_in(in_sqlite)
    photos, _, told = shots(shot, "map", "one")
    with pytest.raises(RecordError, match="joined"):
        in_sqlite.keep_print(face.face_id, photos[:1], shot("map")[1], joined=joined(*photos[:1]))
    with pytest.raises(RecordError, match="another photograph"):
        in_sqlite.keep_print(face.face_id, photos, shot("one")[1], joined=told)
    assert in_sqlite.passes(face.face_id) == ()
