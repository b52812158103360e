"""The page New print from the photograph to the pass, as a tab drives it without its browser."""

import hashlib
import json

import numpy as np
import pytest

from scrapeview.corrections import Correction
from scrapeview.dashboard.new_print_correct import correction_words
from scrapeview.dashboard.new_print_planes import plane_from
from scrapeview.plane.polygons import polygon_area
from scrapeview.reading import read_print
from scrapeview.record import FacePlan
from scrapeview.samples import find_samples


class Bench:
    """A tab on the page, with what the picture would send put into its state."""

    def __init__(self, page, face_id, photo=b"", name="print.jpg", kept=""):
        self.page = page
        self.photo = photo
        self.name = name
        sha256 = hashlib.sha256(photo).hexdigest()
        self.key = f"new_print {face_id} {sha256}{kept}"
        self.number = 0

    def upload(self):
        self.page.file_uploader[0].set_value((self.name, self.photo, "image/jpeg")).run()
        return self

    def send(self, where, *events):
        self.page.session_state[f"{self.key} {where}"] = {
            "events": [
                {"number": self.number + at, "kind": kind, "places": places, **more}
                for at, (kind, places, more) in enumerate(events, start=1)
            ]
        }
        self.number += len(events)
        self.page.run()
        assert not self.page.exception
        return self

    def place(self, picks_px):
        self.number = 0
        self.send("picks", ("picks", picks_px, {}))
        self.number = 0
        return self

    def tap(self, kind, *places, **more):
        return self.send("layers", (kind, [list(place) for place in places], more))

    def press(self, label):
        button = next(b for b in self.page.button if b.label == label)
        button.click().run()
        assert not self.page.exception
        return self

    @property
    def figures(self):
        return {metric.label: metric.value for metric in self.page.metric}

    @property
    def words(self):
        kinds = (
            self.page.markdown, self.page.error, self.page.warning, self.page.info,
            self.page.success, self.page.caption,
        )  # fmt: skip
        return "\n".join(str(one.value) for kind in kinds for one in kind)

    @property
    def labels(self):
        return [button.label for button in self.page.button]


def sample(number):
    return next(s for s in find_samples() if s.pass_number == number)


def corners_of(one):
    return one.plane.to_px(one.plane.face_mm[0]).tolist()


@pytest.fixture
def bench(open_page, one_pass_home):
    """A tab with the photograph of pass 8 chosen on a face that has one pass."""
    photo = sample(8).photo.read_bytes()
    return Bench(open_page("New print", one_pass_home, 1), 1, photo, "pass-8.jpg").upload()


@pytest.fixture
def read_bench(bench):
    return bench.place(corners_of(sample(8)))


def point_of(reading, at=0):
    """A lonely plain point of a reading."""
    points = reading.points
    plain = points[~points[["edge", "split", "merged", "hollow"]].any(axis=1)]
    return tuple(float(v) for v in plain[["x_mm", "y_mm"]].to_numpy()[at])


def test_the_page_asks_for_a_photograph(open_page, one_pass_home):
    page = open_page("New print", one_pass_home, 1)
    assert [field.label for field in page.file_uploader] == ["Photograph of the print"]
    assert not page.metric


def test_a_photograph_is_placed_read_and_kept(read_bench, recorded, one_pass_home):
    one = sample(8)
    reading = one.read()
    assert read_bench.figures["Contact"] == f"{reading.contact_percent:.1f} %"
    assert read_bench.figures["Points counted"] == str(len(reading.points))
    read_bench.press("Keep as pass 2")
    assert "Kept as pass 2" in read_bench.words
    record = recorded(one_pass_home)
    assert [entry.number for entry in record.passes(1)] == [1, 2]
    kept = record.prints(1)[-1]
    assert record.photo(kept.photo_sha256s[0]) == one.photo.read_bytes()
    assert record.photo_name(kept.photo_sha256s[0]) == "pass-8.jpg"
    assert len(record.reading(kept.current_reading_id).points) == len(reading.points)


def test_the_page_is_empty_again_after_keeping(read_bench):
    read_bench.press("Keep as pass 2")
    assert not read_bench.page.metric
    assert not [k for k in read_bench.page.session_state if str(k).startswith(read_bench.key)]
    read_bench.page.run()
    assert "Kept as pass 2" not in read_bench.words


def test_corrections_move_the_figures_at_once_and_are_kept(read_bench, recorded, one_pass_home):
    reading = sample(8).read()
    before = len(reading.points)
    read_bench.tap("remove", point_of(reading))
    assert read_bench.figures["Points counted"] == str(before - 1)
    assert "Corrected by hand (1)" in read_bench.words
    read_bench.press("Undo the last correction")
    assert read_bench.figures["Points counted"] == str(before)
    read_bench.tap("remove", point_of(reading, 3))
    read_bench.press("Keep as pass 2")
    record = recorded(one_pass_home)
    kept = record.reading(record.prints(1)[-1].current_reading_id)
    assert [made.kind for made in kept.corrections] == ["remove"]
    assert len(kept.points) == before - 1


def test_an_event_that_is_sent_twice_is_applied_once(read_bench):
    before = int(read_bench.figures["Points counted"])
    read_bench.tap("remove", point_of(sample(8).read()))
    read_bench.page.run()
    read_bench.page.run()
    assert read_bench.figures["Points counted"] == str(before - 1)


def test_events_that_wait_while_the_server_works_are_all_applied(read_bench):
    reading = sample(8).read()
    before = int(read_bench.figures["Points counted"])
    places = [point_of(reading, at) for at in (0, 5, 9)]
    read_bench.send("layers", *(("remove", [list(place)], {}) for place in places))
    assert read_bench.figures["Points counted"] == str(before - 3)


def test_a_correction_that_cannot_be_applied_is_told_and_dropped(read_bench):
    before = read_bench.figures
    read_bench.tap("add", (10.0, 4000.0), diameter_mm=2.0)
    assert "off the face" in read_bench.words
    assert "Corrected by hand" not in read_bench.words
    assert read_bench.figures == before
    read_bench.page.run()
    assert "off the face" not in read_bench.words


def test_what_the_browser_should_not_send_changes_nothing(read_bench):
    before = read_bench.figures
    read_bench.tap("explode", (1.0, 1.0))
    read_bench.tap("merge", (1.0, 1.0))
    assert read_bench.figures == before
    assert "needs 2 places" in read_bench.words


def test_an_area_left_out_is_taken_off_the_area(read_bench):
    before = read_bench.words
    read_bench.tap("leave_out", (10, 10), (60, 10), (60, 40), (10, 40))
    assert "left out an area of 4 corners" in read_bench.words
    assert before != read_bench.words


def test_an_opening_is_kept_in_the_plan_of_the_face(read_bench, recorded, one_pass_home):
    record = recorded(one_pass_home)
    before = record.face(1).plan
    corners = ((20.0, 20.0), (40.0, 20.0), (40.0, 30.0))
    read_bench.tap("opening", *corners)
    plan = record.face(1).plan
    assert plan.openings_mm == (*before.openings_mm, corners)
    read_bench.tap("hole", (100.0, 40.0), (103.0, 44.0))
    hole = np.array(record.face(1).plan.openings_mm[-1])
    np.testing.assert_allclose(hole.mean(axis=0), (100, 40), atol=1e-9)
    assert polygon_area(hole) == pytest.approx(np.pi * 25)
    read_bench.tap("region", (0.0, 0.0), (110.0, 0.0), (110.0, 150.0), (0.0, 150.0))
    assert len(record.face(1).plan.regions_mm) == 1
    kept = record.face(1).plan
    read_bench.tap("region", (0.0, 0.0), (110.0, 0.0), (110.0, 150.0), (0.0, 150.0))
    assert record.face(1).plan == kept
    assert "Nothing was changed" in read_bench.words


def test_corners_that_cannot_be_are_told_and_asked_for_again(bench):
    bench.place([[10, 10], [500, 12], [20, 400], [480, 390]])
    assert "wrong order" in bench.words
    assert not bench.page.metric
    bench.send("picks", ("picks", [[1, 1], [2, 2]], {}))
    bench.number = 2
    bench.send("picks", ("picks", corners_of(sample(8)), {}))
    assert bench.figures


def test_a_photograph_that_is_kept_already_says_where(open_page, one_pass_home, recorded):
    photo = sample(7).photo.read_bytes()
    bench = Bench(open_page("New print", one_pass_home, 1), 1, photo).upload()
    assert "kept already: Test machine, Slide" in bench.words
    assert "pass 1" in bench.words
    bench.place(corners_of(sample(7))).press("Keep as pass 2")
    assert "kept already, as pass 1" in bench.words
    assert len(recorded(one_pass_home).prints(1)) == 1


@pytest.mark.parametrize(
    ("content", "said"), [(b"", "empty"), (b"no photograph at all", "not a photograph")]
)
def test_what_is_no_photograph_is_refused_in_words(open_page, one_pass_home, content, said):
    bench = Bench(open_page("New print", one_pass_home, 1), 1, content).upload()
    assert said in bench.words
    assert not bench.page.exception


def test_a_damaged_photograph_is_refused_in_words(open_page, one_pass_home):
    cut = sample(8).photo.read_bytes()[:3000]
    bench = Bench(open_page("New print", one_pass_home, 1), 1, cut).upload()
    assert "damaged or cut short" in bench.words
    assert not bench.page.exception


def test_another_print_of_the_last_pass(read_bench, recorded, one_pass_home):
    choice = next(radio for radio in read_bench.page.radio if radio.label == "Keep as")
    assert choice.options == ["Pass 2", "Another print of pass 1"]
    choice.set_value(1).run()
    read_bench.press("Keep as another print of pass 1")
    record = recorded(one_pass_home)
    (entry,) = record.passes(1)
    assert len(entry.print_ids) == 2
    assert entry.scrape.who == "A"


def test_a_pass_can_wait_for_its_print(open_page, one_pass_home, recorded):
    page = open_page("New print", one_pass_home, 1)
    notes = next(area for area in page.text_area if area.label == "Notes")
    notes.set_value("left end high")
    bench = Bench(page, 1, sample(8).photo.read_bytes()).press("Begin pass 2")
    assert "Pass 2 is scraped and waits" in bench.words
    record = recorded(one_pass_home)
    assert record.passes(1)[-1].print_ids == ()
    bench.upload().place(corners_of(sample(8))).press("Keep as pass 2")
    assert [len(entry.print_ids) for entry in record.passes(1)] == [1, 1]
    assert record.passes(1)[-1].scrape.notes == "left end high"


def test_the_corners_of_the_last_print_are_offered(bench):
    assert "Begin with the corners of pass 1" in bench.labels


def test_corners_are_taken_over_where_the_picture_did_not_move(open_page, one_pass_home):
    # the same picture as another file, as a camera on a stand would give it
    photo = sample(7).photo.read_bytes() + b"\0"
    bench = Bench(open_page("New print", one_pass_home, 1), 1, photo).upload()
    assert "hardly moved since pass 1: its corners are taken over" in bench.words


def test_samples_by_hand_count_once_there_are_both(read_bench, recorded, one_pass_home):
    reading = sample(8).read()
    marking = point_of(reading)
    bare = reading.bare_patch.x_mm, reading.bare_patch.y_mm
    read_bench.tap("sample_marking", marking)
    assert "Samples count once there are both" in read_bench.words
    read_bench.tap("sample_metal", bare)
    assert "1 of marking, 1 of metal" in read_bench.words
    read_bench.press("Keep as pass 2")
    record = recorded(one_pass_home)
    settings = record.reading(record.prints(1)[-1].current_reading_id).settings
    expected = sample(8).plane.to_px([marking])[0]
    np.testing.assert_allclose(settings.marking_picks_px[0], expected, atol=0.5)


def test_a_kept_print_is_corrected_and_its_first_reading_stays(open_page, one_pass_home, recorded):
    record = recorded(one_pass_home)
    (entry,) = record.prints(1)
    before = record.reading(entry.current_reading_id)
    page = open_page("New print", one_pass_home, 1)
    page.query_params["print"] = str(entry.print_id)
    page.run()
    bench = Bench(page, 1, sample(7).photo.read_bytes(), kept=f" kept {entry.print_id}")
    assert bench.figures["Points counted"] == str(len(before.points))
    assert "Save the corrected reading" not in bench.labels
    bench.tap("remove", point_of(before)).press("Save the corrected reading")
    assert "now the current one" in bench.words
    after = record.print_entry(entry.print_id)
    assert len(after.reading_ids) == 2
    assert after.current_reading_id != entry.current_reading_id
    assert len(record.reading(after.current_reading_id).points) == len(before.points) - 1
    assert len(record.reading(entry.current_reading_id).points) == len(before.points)


@pytest.mark.parametrize("asked", ["9999", "none"])
def test_a_print_that_is_not_there_is_told(open_page, one_pass_home, asked):
    page = open_page("New print", one_pass_home, 1)
    page.query_params["print"] = asked
    page.run()
    assert not page.exception
    assert page.error


def test_a_free_face_gets_its_outline_once(open_page, one_pass_home, recorded):
    one = sample(8)
    record = recorded(one_pass_home)
    part = record.parts(record.machines()[0].machine_id)[0]
    face = record.add_face(part.part_id, FacePlan(name="Gib", shape="free", marking="blue"))
    bench = Bench(open_page("New print", one_pass_home, face.face_id), face.face_id,
                  one.photo.read_bytes()).upload()  # fmt: skip
    top = corners_of(one)[:2]
    bench.place(top)
    assert "must be above zero" in bench.words
    length = next(field for field in bench.page.number_input if "Known length" in field.label)
    length.set_value(220.0).run()
    bench.number = 1
    bench.send("picks", ("picks", top, {}))
    assert "Draw the outline" in bench.words
    bench.number = 0
    bench.send("outline", ("picks", [[p[0], p[1]] for p in corners_of(one)], {}))
    assert bench.figures["Contact"]
    (region,) = record.face(face.face_id).plan.regions_mm
    np.testing.assert_allclose(region[0], (0, 0), atol=1e-6)
    np.testing.assert_allclose(region[1], (220, 0), atol=1e-6)
    assert json.loads(json.dumps(record.setting("free_marks_mm", {})))


def test_two_tabs_do_not_mix_prints(open_page, one_pass_home):
    one = Bench(open_page("New print", one_pass_home, 1), 1, sample(8).photo.read_bytes())
    two = Bench(open_page("New print", one_pass_home, 1), 1, sample(6).photo.read_bytes())
    one.upload().place(corners_of(sample(8)))
    two.upload().place(corners_of(sample(6)))
    one.tap("remove", point_of(sample(8).read()))
    two.page.run()
    assert two.figures["Points counted"] == str(len(sample(6).read().points))
    assert "Corrected by hand" not in two.words


def test_corrections_are_said_in_the_units_of_the_face():
    added = Correction("add", ((25.4, 50.8),), 2.54)
    assert correction_words(added, "inch") == (
        "added a point of 0.10 in 1.0 in from the left, 2.0 in from the top"
    )


def test_a_photograph_that_was_chosen_is_still_there_when_the_page_is_come_back_to(read_bench):
    shown = read_bench.figures
    # on the way to another page and back a field loses its file
    read_bench.page.session_state["new_print_round 1"] = 7
    read_bench.page.run()
    assert not read_bench.page.exception
    assert read_bench.figures == shown
    assert "'pass-8.jpg' is still open here and not kept yet" in read_bench.words


def test_dropping_a_photograph_forgets_it(read_bench):
    read_bench.press("Drop this photograph")
    assert not read_bench.page.metric
    assert not [k for k in read_bench.page.session_state if str(k).startswith(read_bench.key)]


def test_placing_again_begins_with_the_corners_there_were(read_bench):
    read_bench.press("Place the face again")
    assert not read_bench.page.metric
    read_bench.number = 1
    read_bench.send("picks", ("picks", corners_of(sample(8)), {}))
    assert read_bench.figures


def test_a_rim_of_too_few_picks_is_refused(open_page, one_pass_home, recorded):
    record = recorded(one_pass_home)
    part = record.parts(record.machines()[0].machine_id)[0]
    face = record.add_face(part.part_id, FacePlan(name="Disc", shape="round", width_mm=90.0))
    one = sample(8)
    bench = Bench(open_page("New print", one_pass_home, face.face_id), face.face_id,
                  one.photo.read_bytes()).upload()  # fmt: skip
    bench.place(corners_of(one))
    assert "At least five different picks" in bench.words
    assert not bench.page.exception


def test_a_round_face_is_read_by_picks_on_its_rim(open_page, one_pass_home, recorded, printed):
    shot = printed("disc", 4)
    record = recorded(one_pass_home)
    part = record.parts(record.machines()[0].machine_id)[0]
    plan = FacePlan(name="Disc", shape="round", width_mm=float(shot.diameter_mm))
    face = record.add_face(part.part_id, plan)
    bench = Bench(open_page("New print", one_pass_home, face.face_id), face.face_id,
                  shot.jpeg).upload()  # fmt: skip
    bench.place([[float(x), float(y)] for x, y in shot.rim_px])
    reading = read_print(shot.jpeg, plane=plane_from(plan, shot.rim_px))
    assert bench.figures["Contact"] == f"{reading.contact_percent:.1f} %"


def test_an_inch_shop_counts_by_the_square_inch(open_page, one_pass_home, recorded):
    recorded(one_pass_home).set_setting("units", "inch")
    one = sample(8)
    bench = Bench(open_page("New print", one_pass_home, 1), 1, one.photo.read_bytes()).upload()
    bench.place(corners_of(one))
    assert bench.figures["Points/in2"] == f"{one.read().points_per_square_inch:.1f}"
    assert "in2 read" in bench.words


def test_a_blank_face_says_what_to_do(open_page, one_pass_home, recorded, printed):
    shot = printed("blank", 4)
    record = recorded(one_pass_home)
    part = record.parts(record.machines()[0].machine_id)[0]
    width_mm, height_mm = (float(side) for side in shot.size_mm)
    face = record.add_face(part.part_id, FacePlan(name="B", width_mm=width_mm, height_mm=height_mm))
    bench = Bench(open_page("New print", one_pass_home, face.face_id), face.face_id,
                  shot.jpeg).upload()  # fmt: skip
    bench.place([[float(x), float(y)] for x, y in shot.corners_px])
    assert not bench.figures
    assert "choose the tool Marking" in bench.words
    bench.tap("remove", (10.0, 10.0))
    assert "No print was found" in bench.words
    assert "Keep as pass 1" in bench.labels
