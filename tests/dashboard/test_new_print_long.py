"""Stretches of a long face and pictures joined from several photographs, on the page New print."""

from dataclasses import replace

import numpy as np
import pytest

from scrapeview.charts.placement_words import named, placement_words
from scrapeview.dashboard.new_print_planes import corners_of, plane_from, plane_of_marks
from scrapeview.dashboard.new_print_several import in_order_taken
from scrapeview.placements import Placement
from scrapeview.plane import Plane
from scrapeview.record import FacePlan, Record
from scrapeview.shop_paper import keep_bar
from scrapeview.simulate import render
from scrapeview.simulate.camera import encode_jpeg
from scrapeview.simulate.long_face import render_long

WAY = FacePlan(name="way", width_mm=1200.0, height_mm=120.0)
LEFT, MIDDLE = (
    Placement(name=name, start_mm=start, length_mm=450.0) for name, start in (("l", 0), ("m", 380))
)
NEAR = Placement(start_mm=25.4, length_mm=254.0, side="near")
CORNERS = ((412.0, 380.0), (3610.0, 402.0), (3702.0, 1271.0), (380.0, 1250.0))
MAP = Plane.from_map(5.0, (-10.0, -12.0))


def test_corners_of_a_stretch_give_millimetres_of_the_whole_face():
    plane = plane_from(WAY, CORNERS, placement=MIDDLE)
    np.testing.assert_allclose(plane.to_mm(CORNERS[:2]), [[380, 0], [830, 0]], atol=1e-6)
    np.testing.assert_allclose(corners_of(plane, WAY), CORNERS, atol=1e-6)


def test_the_side_the_reference_lay_on_is_read_and_the_same_corners_are_offered_again():
    far = Placement(start_mm=0, length_mm=450.0, side="far")
    plane = plane_from(WAY, CORNERS, placement=far)
    assert plane.face_mm[0].max(axis=0) == pytest.approx((450, 60))
    np.testing.assert_allclose(corners_of(plane, WAY), CORNERS, atol=1e-6)


def test_a_joined_map_keeps_its_own_scale():
    picks = MAP.to_px([[100, 20], [550.4, 20], [550.4, 140.2], [100, 140.2]])
    plane = plane_from(WAY, tuple(map(tuple, picks)), placement=LEFT, known=MAP)
    side_mm = np.linalg.norm(np.diff(plane.to_mm(picks[:2]), axis=0))
    assert side_mm == pytest.approx(450.4, abs=1e-6)
    assert plane.face_mm[0].max(axis=0) == pytest.approx((450, 120))


def test_two_marks_on_a_card_s_scale_need_no_length():
    marks = MAP.to_px([[60.0, 50.0], [140.0, 58.0]])
    plane = plane_of_marks(tuple(map(tuple, marks)), 0.0, MAP)
    first, second = plane.to_mm(marks)
    assert first == pytest.approx((0, 0), abs=1e-9)
    assert second == pytest.approx((np.hypot(80, 8), 0), abs=1e-9)


def test_photographs_come_in_the_order_they_were_taken():
    def taken(at):
        small = render("plain", size_mm=(60, 40), px_per_mm=2.0)
        when = f"2026:03:04 10:{at:02d}:00" if at else ""
        return encode_jpeg(small.rgb, replace(small.scene.camera, taken_at=when))

    named = [(name, taken(at)) for name, at in (("a", 9), ("b", 2), ("c", 5))]
    assert [name for name, _ in in_order_taken(named)] == ["b", "c", "a"]
    timeless = [*named, ("0", taken(0))]
    assert [name for name, _ in in_order_taken(timeless)] == ["0", "a", "b", "c"]
    counted = [(name, timeless[-1][1]) for name in ("f 10", "f 9", "e")]
    assert [name for name, _ in in_order_taken(counted)] == ["e", "f 9", "f 10"]


@pytest.mark.parametrize(
    ("place", "units", "words"),
    [
        (LEFT, "metric", "l, 0.0 mm to 450.0 mm"),
        (NEAR, "inch", "1.00 in to 11.00 in, near side"),
        (Placement(name="tail"), "metric", "tail"),
        (named(NEAR, "inch"), "inch", "1.00 in to 11.00 in, near side"),
    ],
)  # fmt: skip
def test_a_placement_is_told_in_one_line(place, units, words):
    assert placement_words(place, units) == words


@pytest.fixture
def short_way(made_once):
    """Three photographs of a way of 300 x 60 mm with tiles along it, and its truth."""
    return made_once.value(
        "three photographs of a short way",
        lambda: render_long("plain", photos=3, px_per_mm=5.0, size_mm=(300.0, 60.0), seed=5),
    )


@pytest.fixture
def way_home(tmp_path):
    """Folder of a record with one long face and no print."""
    record = Record.open(tmp_path / "way")
    part = record.add_part(record.add_machine("Test planer").machine_id, "Bed")
    record.add_face(part.part_id, FacePlan(name="way", width_mm=700.0, height_mm=60.0))
    record.close()
    return tmp_path / "way"


class Bench:
    """A tab on the page with photographs of a way, and what its picture would send."""

    def __init__(self, page):
        self.page = page

    def choose(self, label):
        group = next(g for g in self.page.button_group if label in g.options)
        group.set_value(label).run()
        return self

    def press(self, label):
        next(b for b in self.page.button if b.label == label).click().run()
        assert not self.page.exception
        return self

    def send(self, key, places):
        event = {"number": 1, "kind": "picks", "places": places}
        self.page.session_state[key] = {"events": [event]}
        self.page.run()
        assert not self.page.exception
        return self

    @property
    def draft(self):
        return self.page.session_state[self.page.session_state["new_print_now 1"]]


def test_photographs_of_a_stretch_are_joined_placed_read_and_kept(
    open_page, way_home, short_way, recorded
):
    bench = Bench(open_page("New print", way_home, 1))
    page = bench.page
    next(s for s in page.selectbox if s.label == "The print shows").select("another place").run()
    numbers = {field.label: field for field in page.number_input}
    numbers["Begins, from the face's left end, mm"].set_value(350.0)
    numbers["Length printed, mm"].set_value(300.0).run()
    bench.choose("several, to be joined")
    named = [(f"{n}.jpg", photo, "image/jpeg") for n, photo in enumerate(short_way.photos)]
    page.file_uploader[0].set_value(named).run()
    assert not page.metric
    bench.press("Join the photographs")
    draft = bench.draft
    joined = draft.joined
    seen_mm = [joined.solved.to_mm(at, [[x, y]])[0] for at, x, y in short_way.corners]
    bench.send(f"{draft.key} picks", joined.plane.to_px(seen_mm).tolist())
    # told another place afterwards, the print stays where it was read, and that is said
    length = next(f for f in page.number_input if f.label == "Length printed, mm")
    length.set_value(200.0).run()
    (said,) = [w.value for w in page.warning if "Place the face again" in w.value]
    assert "350.0 mm to 650.0 mm" in said
    assert "350.0 mm to 550.0 mm" in said
    next(f for f in page.number_input if f.label == "Length printed, mm").set_value(300.0).run()
    assert not [w for w in page.warning if "Place the face again" in w.value]
    # a map of tiles on other paper has other millimetres
    other = Record.open(way_home)
    keep_bar(other, 149.0)
    page.run()
    assert "Join the photographs" in [b.label for b in page.button]
    assert not page.metric
    keep_bar(other, None)
    other.close()
    page.run()
    assert page.metric
    bench.press("Keep as pass 1")
    record = recorded(way_home)
    (kept,) = record.prints(1)
    told = Placement(name="350.0 mm to 650.0 mm", start_mm=350.0, length_mm=300.0)
    assert kept.where == told
    assert len(kept.photo_sha256s) == 4
    assert kept.joined is not None
    reading = record.reading(kept.current_reading_id)
    assert reading.photo_sha256 == kept.photo_sha256s[0]
    assert reading.points["x_mm"].between(345, 655).all()
    truth = short_way.truth
    assert len(reading.points) == pytest.approx(len(truth.points), rel=0.03)
    # joined once more, they come from the cache, which has no progress to show
    again = Bench(open_page("New print", way_home, 1)).choose("several, to be joined")
    again.page.file_uploader[0].set_value(named).run()
    again.press("Join the photographs")
    assert again.draft.sha256 == draft.sha256
