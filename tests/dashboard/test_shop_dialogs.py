"""Machines, parts and faces are added, changed and removed by what stands in the dialogs."""

import dataclasses

import pytest
from streamlit.testing.v1 import AppTest

from scrapeview.dashboard.shop_wide import shop_targets
from scrapeview.flatness import GRADES
from scrapeview.record_samples import MACHINE_NAME
from scrapeview.targets import OWN, SHIPPED_TARGETS
from scrapeview.units import MM_PER_INCH


def add_machine():
    from scrapeview.dashboard import shop_dialogs
    from scrapeview.dashboard.shell import the_record

    shop_dialogs.say_what_was_done()
    shop_dialogs.add_machine(the_record())


def change_machine():
    from scrapeview.dashboard import shop_dialogs
    from scrapeview.dashboard.shell import the_record

    if the_record().machines():
        shop_dialogs.change_machine(the_record(), the_record().machines()[0])


def add_part():
    from scrapeview.dashboard import shop_dialogs
    from scrapeview.dashboard.shell import the_record

    shop_dialogs.add_part(the_record(), the_record().machines()[0])


def change_part():
    from scrapeview.dashboard import shop_dialogs
    from scrapeview.dashboard.shell import the_record

    shop_dialogs.change_part(the_record(), the_record().parts(1)[0])


def add_face():
    from scrapeview.dashboard import shop_dialogs
    from scrapeview.dashboard.shell import the_record

    shop_dialogs.add_face(the_record(), the_record().parts(1)[0])


def change_face():
    from scrapeview.dashboard import shop_dialogs
    from scrapeview.dashboard.shell import the_record

    shop_dialogs.change_face(the_record(), the_record().face(1), 8)


@pytest.fixture
def asked(monkeypatch):
    """Show a dialog by itself: AppTest closes one that a button opened at its next run."""
    monkeypatch.delenv("SCRAPEVIEW_RECORD", raising=False)

    def shown(dialog, home):
        monkeypatch.setenv("SCRAPEVIEW_HOME", str(home))
        page = AppTest.from_function(dialog, default_timeout=60).run()
        assert not page.exception
        return page

    return shown


def pressed(page, key):
    page.button(key=key).click().run()
    assert not page.exception
    return page


def test_a_machine_with_its_first_part_is_added(asked, empty_home, recorded):
    page = asked(add_machine, empty_home)
    page.text_input(key="new_machine_name").set_value("Knee mill")
    page.text_input(key="new_machine_part").set_value("Saddle")
    pressed(page, "new_machine_save")
    (machine,) = recorded(empty_home).machines()
    assert machine.name == "Knee mill"
    assert [part.name for part in recorded(empty_home).parts(machine.machine_id)] == ["Saddle"]
    assert "Knee mill is in the record" in page.toast[0].value


@pytest.mark.parametrize("name", [MACHINE_NAME, "   "])
def test_a_name_that_cannot_be_is_refused_in_words(asked, sample_home, recorded, name):
    page = asked(add_machine, sample_home)
    page.text_input(key="new_machine_name").set_value(name)
    pressed(page, "new_machine_save")
    assert page.error[0].value.endswith(".")
    assert len(recorded(sample_home).machines()) == 1


def test_a_machine_goes_only_when_its_name_is_typed(asked, sample_home, recorded):
    page = asked(change_machine, sample_home)
    assert page.button(key="machine_1_remove").disabled
    page.text_input(key="machine_1_typed").set_value("grinder").run()
    assert page.button(key="machine_1_remove").disabled
    page.text_input(key="machine_1_typed").set_value(MACHINE_NAME).run()
    assert len(recorded(sample_home).machines()) == 1
    pressed(page, "machine_1_remove")
    assert not recorded(sample_home).machines()


def test_before_a_machine_goes_the_archive_is_named(asked, sample_home):
    page = asked(change_machine, sample_home)
    assert any("archive" in text.value for text in page.markdown)


def test_a_machine_is_renamed_and_keeps_its_notes(asked, sample_home, recorded):
    notes = recorded(sample_home).machines()[0].notes
    page = asked(change_machine, sample_home)
    page.text_input(key="machine_1_name").set_value("Grinder")
    pressed(page, "machine_1_save")
    (machine,) = recorded(sample_home).machines()
    assert (machine.name, machine.notes) == ("Grinder", notes)


def test_parts_are_added_and_renamed(asked, sample_home, recorded):
    page = asked(add_part, sample_home)
    page.text_input(key="new_part_1_name").set_value("Table")
    pressed(page, "new_part_1_save")
    page = asked(change_part, sample_home)
    page.text_input(key="part_1_name").set_value("Slide")
    pressed(page, "part_1_save")
    assert [part.name for part in recorded(sample_home).parts(1)] == ["Slide", "Table"]


def test_a_face_is_kept_as_it_was_told(asked, sample_home, recorded):
    page = asked(add_face, sample_home)
    page.text_input(key="new_face_1_name").set_value("Front flat way")
    page.text_input(key="new_face_1_role").set_value("way")
    page.number_input(key="new_face_1_width").set_value(400.0)
    page.number_input(key="new_face_1_height").set_value(60.0)
    page.selectbox(key="new_face_1_target").set_value(SHIPPED_TARGETS[2])
    page.text_input(key="new_face_1_reference").set_value("straightedge")
    page.selectbox(key="new_face_1_marking").set_value("blue")
    page.number_input(key="new_face_1_smallest").set_value(1.0)
    pressed(page, "new_face_1_save")
    added = next(f.plan for f in recorded(sample_home).faces() if f.plan.name == "Front flat way")
    assert (added.role, added.width_mm, added.height_mm) == ("way", 400.0, 60.0)
    assert added.target == SHIPPED_TARGETS[2]
    assert (added.reference, added.marking) == ("straightedge", "blue")
    assert (added.settings.smallest_point_mm, added.settings.cell_mm) == (1.0, 25.0)


def test_a_round_face_has_a_diameter_and_a_free_one_no_size(asked, sample_home, recorded):
    page = asked(add_face, sample_home)
    page.text_input(key="new_face_1_name").set_value("Disc")
    page.selectbox(key="new_face_1_shape").set_value("round").run()
    page.number_input(key="new_face_1_diameter").set_value(100.0)
    pressed(page, "new_face_1_save")
    page = asked(add_face, sample_home)
    page.text_input(key="new_face_1_name").set_value("Odd")
    page.selectbox(key="new_face_1_shape").set_value("free").run()
    sides = ("Width", "Height", "Diameter")
    assert not [field.label for field in page.number_input if field.label.startswith(sides)]
    pressed(page, "new_face_1_save")
    plans = {face.plan.name: face.plan for face in recorded(sample_home).faces()}
    assert (plans["Disc"].width_mm, plans["Disc"].height_mm) == (100.0, 0.0)
    assert (plans["Odd"].shape, plans["Odd"].width_mm) == ("free", 0.0)


def test_a_face_without_its_size_is_refused(asked, sample_home, recorded):
    page = asked(add_face, sample_home)
    page.text_input(key="new_face_1_name").set_value("No size")
    pressed(page, "new_face_1_save")
    assert "width" in page.error[0].value
    assert len(recorded(sample_home).faces()) == 1


def test_in_an_inch_shop_sizes_are_typed_in_inches(asked, sample_home, recorded):
    recorded(sample_home).set_setting("units", "inch")
    page = asked(add_face, sample_home)
    page.text_input(key="new_face_1_name").set_value("Gib")
    assert page.number_input(key="new_face_1_width").label == "Width, in"
    page.number_input(key="new_face_1_width").set_value(10.0)
    page.number_input(key="new_face_1_height").set_value(2.5)
    pressed(page, "new_face_1_save")
    plan = next(f.plan for f in recorded(sample_home).faces() if f.plan.name == "Gib")
    assert (plan.width_mm, plan.height_mm) == pytest.approx((254.0, 63.5))
    assert plan.settings.cell_mm == MM_PER_INCH


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_a_face_saved_untouched_stays_exactly_as_it_was(asked, sample_home, recorded, units):
    record = recorded(sample_home)
    record.set_setting("units", units)
    before = record.face(1).plan
    odd = dataclasses.replace(before, width_mm=219.9876543, notes="kept")
    record.change_face(1, odd)
    pressed(asked(change_face, sample_home), "face_1_save")
    assert record.face(1).plan == odd


def test_settings_changed_after_the_first_pass_warn_and_say_what_to_do(asked, sample_home):
    page = asked(change_face, sample_home)
    assert not page.warning
    page.number_input(key="face_1_smallest").set_value(1.5).run()
    assert "scrapeview reread" in page.warning[0].value
    assert "8 passes" in page.warning[0].value


def test_a_new_name_alone_does_not_warn(asked, sample_home):
    page = asked(change_face, sample_home)
    page.text_input(key="face_1_name").set_value("Other").run()
    assert not page.warning


def test_a_target_that_is_not_the_shops_stays_on_offer(asked, sample_home, recorded):
    target = recorded(sample_home).face(1).plan.target
    assert target not in SHIPPED_TARGETS
    assert asked(change_face, sample_home).selectbox(key="face_1_target").value == target


def test_values_changed_for_one_face_are_its_own_and_the_shops_table_stays(
    asked, sample_home, recorded
):
    record = recorded(sample_home)
    before = record.face(1).plan.target
    page = asked(change_face, sample_home)
    value_field(page, "contact_most_percent").set_value(55.0).run()
    pressed(page, "face_1_save")
    kept = record.face(1).plan.target
    assert (kept.name, kept.contact_most_percent) == (before.name, 55.0)
    assert kept.bare_circle_most_mm == before.bare_circle_most_mm
    assert kept.origin("contact_most_percent") == OWN
    assert kept.origin("contact_least_percent") == before.origin("contact_least_percent")
    assert shop_targets(record) == SHIPPED_TARGETS


def value_field(page, name):
    """The field of a value of the target; its key holds which target and which units."""
    (found,) = [each for each in page.number_input if each.key.endswith(f"metric_{name}")]
    return found


def test_a_value_that_cannot_be_is_refused_and_all_else_stays_typed(asked, sample_home, recorded):
    record = recorded(sample_home)
    before = record.face(1).plan
    page = asked(change_face, sample_home)
    page.text_area(key="face_1_notes").set_value("typed")
    value_field(page, "contact_most_percent").set_value(10.0).run()
    assert "more contact than it allows" in page.error[0].value
    assert page.text_area(key="face_1_notes").value == "typed"
    assert "face_1_save" not in [button.key for button in page.button]
    assert record.face(1).plan == before
    value_field(page, "contact_most_percent").set_value(70.0).run()
    pressed(page, "face_1_save")
    assert record.face(1).plan.notes == "typed"


def test_another_kind_of_face_brings_its_own_values(asked, sample_home, recorded):
    page = asked(change_face, sample_home)
    value_field(page, "contact_most_percent").set_value(55.0).run()
    page.selectbox(key="face_1_target").set_value(SHIPPED_TARGETS[1]).run()
    assert value_field(page, "contact_most_percent").value == 60.0
    pressed(page, "face_1_save")
    assert recorded(sample_home).face(1).plan.target == SHIPPED_TARGETS[1]


@pytest.mark.parametrize(
    ("units", "length", "error", "length_mm", "own_um"),
    [("metric", 600.0, 4.5, 600.0, 4.5), ("inch", 24.0, 100.0, 609.6, 2.54)],
)
def test_what_is_known_of_the_reference_is_kept(
    asked, sample_home, recorded, units, length, error, length_mm, own_um
):
    record = recorded(sample_home)
    record.set_setting("units", units)
    page = asked(change_face, sample_home)
    page.selectbox(key="face_1_grade").set_value(GRADES[1])
    page.number_input(key="face_1_reference_length").set_value(length)
    page.number_input(key="face_1_reference_error").set_value(error)
    pressed(page, "face_1_save")
    kept = record.face(1).plan.flatness
    assert (kept.grade, kept.width_mm) == (GRADES[1], 0.0)
    assert (kept.length_mm, kept.own_um) == pytest.approx((length_mm, own_um))
    pressed(asked(change_face, sample_home), "face_1_save")
    assert record.face(1).plan.flatness == kept
