"""Targets on the Settings page: read, changed one at a time, copied, deleted and downloaded."""

from io import StringIO

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from scrapeview.dashboard.settings_targets_table import targets_csv, targets_html
from scrapeview.dashboard.shop_wide import NEW_TARGET, keep_targets, shop_targets
from scrapeview.errors import SettingsError
from scrapeview.targets import ASKED, OWN, SHIPPED_TARGETS, SURE_WORDS, Origin, Target

REFERENCE, PRECISION, GENERAL = SHIPPED_TARGETS[:3]


def targets_alone():
    from scrapeview.dashboard.settings_targets import show_targets
    from scrapeview.dashboard.shell import page, the_record

    with page(""):
        show_targets(the_record())


@pytest.fixture
def open_targets(monkeypatch):
    """Show the targets without the rest of their page, which takes its time."""
    monkeypatch.delenv("SCRAPEVIEW_RECORD", raising=False)

    def opened(home):
        monkeypatch.setenv("SCRAPEVIEW_HOME", str(home))
        page = AppTest.from_function(targets_alone, default_timeout=60).run()
        assert not page.exception
        return page

    return opened


def pressed(page, key):
    page.button(key=key).click().run()
    assert not page.exception
    return page


def field(page, kind, end):
    """The one field of the form whose key ends so; the keys hold the version and the name."""
    (found,) = [each for each in getattr(page, kind) if str(each.key).endswith(end)]
    return found


def chosen(page, target):
    return page.selectbox(key="targets_chosen").set_value(target.name).run()


def test_every_value_stands_in_the_table_with_its_origin():
    shown = targets_html(SHIPPED_TARGETS, "metric")
    assert "≥ 19.4" in shown
    assert "≤ 12.7" in shown
    for word in ("second-hand", "practice", "suggestion"):
        assert SURE_WORDS[word] in shown
    assert SURE_WORDS["own"] not in shown
    values = sum(getattr(t, a.name) is not None for t in SHIPPED_TARGETS for a in ASKED)
    # once in the table, once in the list for a phone
    assert shown.count("<abbr class='sv-sure' title=") == 2 * values


def test_an_inch_shop_reads_inches():
    shown = targets_html((GENERAL,), "inch")
    assert "≥ 10" in shown
    assert "≤ 0.75" in shown
    assert ", in<" in shown
    assert ", mm<" not in shown


def test_names_and_sources_are_shown_as_they_are_never_as_markup():
    mine = Target(
        name="<b>x</b>", ppsi_least=1.0, origins=(("ppsi_least", Origin("own", "'><i>y</i>")),)
    )
    shown = targets_html((mine,), "metric")
    assert "<b>" not in shown
    assert "<i>" not in shown
    assert "&lt;b&gt;x" in shown


def test_a_download_has_one_row_a_value_in_the_units_of_its_name():
    rows = pd.read_csv(StringIO(targets_csv(SHIPPED_TARGETS)), keep_default_na=False)
    assert list(rows.columns) == [
        "target", "value_name", "value", "unit", "meaning", "how_sure", "source",
    ]  # fmt: skip
    assert set(rows["how_sure"]) <= set(SURE_WORDS.values())
    found = rows[(rows["target"] == REFERENCE.name) & (rows["value_name"] == "bare_circle_most_mm")]
    assert found["value"].iloc[0] == REFERENCE.bare_circle_most_mm
    assert found["unit"].iloc[0] == "mm"
    plates = rows[rows["how_sure"] == SURE_WORDS["second-hand"]]
    assert plates["source"].str.startswith("ISO 8512-1:1990").all()
    assert set(plates["value_name"]) == {"contact_least_percent"}


def test_a_changed_value_becomes_the_shops_own(open_targets, empty_home, recorded):
    page = chosen(open_targets(empty_home), PRECISION)
    field(page, "number_input", "contact_least_percent").set_value(45.0).run()
    assert field(page, "selectbox", "contact_least_percent_sure").value == "own"
    pressed(page, "target_save")
    assert "is saved" in page.success[0].value
    kept = shop_targets(recorded(empty_home))
    saved = kept[SHIPPED_TARGETS.index(PRECISION)]
    assert saved.contact_least_percent == 45.0
    assert saved.origin("contact_least_percent") == OWN
    assert saved.origin("contact_most_percent") == PRECISION.origin("contact_most_percent")
    assert saved.ppsi_least == PRECISION.ppsi_least
    assert [t for t in kept if t.name != PRECISION.name] == [
        t for t in SHIPPED_TARGETS if t.name != PRECISION.name
    ]


def test_a_value_that_is_cleared_is_no_longer_asked(open_targets, empty_home, recorded):
    page = chosen(open_targets(empty_home), GENERAL)
    cleared = field(page, "number_input", "contact_most_percent")
    # one with a default of its own could not be cleared in a browser
    assert not cleared.proto.HasField("default")
    page.session_state[cleared.key] = None
    pressed(page.run(), "target_save")
    saved = shop_targets(recorded(empty_home))[SHIPPED_TARGETS.index(GENERAL)]
    assert saved.contact_most_percent is None
    assert saved.contact_least_percent == GENERAL.contact_least_percent


def test_a_changed_value_may_be_said_to_come_from_elsewhere(open_targets, empty_home, recorded):
    page = chosen(open_targets(empty_home), PRECISION)
    field(page, "number_input", "contact_least_percent").set_value(45.0).run()
    field(page, "selectbox", "contact_least_percent_sure").set_value("read").run()
    field(page, "text_input", "contact_least_percent_source").set_value("drawing 12, sheet 3")
    pressed(page, "target_save")
    saved = shop_targets(recorded(empty_home))[SHIPPED_TARGETS.index(PRECISION)]
    assert saved.origin("contact_least_percent") == Origin("read", "drawing 12, sheet 3")


def test_values_are_given_in_the_units_of_the_shop(open_targets, empty_home, recorded):
    page = chosen(open_targets(empty_home), GENERAL)
    field(page, "number_input", f"{GENERAL.name}_ppsi_least").set_value(19.375)
    pressed(page, "target_save")
    saved = shop_targets(recorded(empty_home))[SHIPPED_TARGETS.index(GENERAL)]
    # 19.375 is 20 per in2, rounded
    assert saved.ppsi_least == pytest.approx(20.0, rel=1e-5)
    assert saved.bare_circle_most_mm == GENERAL.bare_circle_most_mm


@pytest.mark.parametrize(
    ("name", "end", "value", "said"),
    [
        ("number_input", "contact_least_percent", 70.0, "more contact than it allows"),
        ("number_input", "bare_circle_most_mm", -1.0, "give 0 to 1000, not -1"),
        ("text_input", "_name", REFERENCE.name.upper(), "already"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(
    open_targets, empty_home, recorded, name, end, value, said
):
    page = chosen(open_targets(empty_home), GENERAL)
    field(page, name, end).set_value(value).run()
    pressed(page, "target_save")
    assert said in page.error[0].value
    assert recorded(empty_home).setting("targets", None) is None


def test_a_target_is_copied_under_another_name(open_targets, empty_home, recorded):
    page = chosen(open_targets(empty_home), REFERENCE)
    field(page, "text_input", "_name").set_value("camelback straightedge")
    pressed(page, "target_copy")
    *before, copied = shop_targets(recorded(empty_home))
    assert tuple(before) == SHIPPED_TARGETS
    assert copied.name == "camelback straightedge"
    assert copied.origins == REFERENCE.origins
    assert page.selectbox(key="targets_chosen").value == "camelback straightedge"


def test_a_new_target_is_added(open_targets, empty_home, recorded):
    page = open_targets(empty_home)
    page.selectbox(key="targets_chosen").set_value(NEW_TARGET).run()
    field(page, "text_input", "_name").set_value(" pump  face ")
    field(page, "number_input", "contact_least_percent").set_value(70.0).run()
    pressed(page, "target_add")
    assert shop_targets(recorded(empty_home))[-1] == Target(
        name="pump face", contact_least_percent=70.0
    )


def test_a_target_is_deleted_and_the_others_stay(open_targets, empty_home, recorded):
    pressed(chosen(open_targets(empty_home), PRECISION), "target_delete")
    assert shop_targets(recorded(empty_home)) == (REFERENCE, *SHIPPED_TARGETS[2:])


def test_what_another_tab_saved_meanwhile_stays(open_targets, empty_home, recorded):
    page = chosen(open_targets(empty_home), GENERAL)
    keep_targets(recorded(empty_home), (GENERAL, Target(name="theirs", ppsi_least=9)))
    field(page, "number_input", "contact_most_percent").set_value(65.0)
    pressed(page, "target_save")
    general, theirs = shop_targets(recorded(empty_home))
    assert general.contact_most_percent == 65.0
    assert theirs == Target(name="theirs", ppsi_least=9)


def test_the_shop_keeps_its_own_targets(empty_home, recorded):
    record = recorded(empty_home)
    assert shop_targets(record) == SHIPPED_TARGETS
    keep_targets(record, (Target(name="mine", ppsi_least=12),))
    assert shop_targets(record) == (Target(name="mine", ppsi_least=12),)


@pytest.mark.parametrize("names", [("a", "A"), ("no target",), (NEW_TARGET,)])
def test_two_targets_never_share_a_name(empty_home, recorded, names):
    record = recorded(empty_home)
    with pytest.raises(SettingsError, match="already"):
        keep_targets(record, [Target(name=name) for name in names])
    assert shop_targets(record) == SHIPPED_TARGETS


def test_targets_go_back_to_those_shipped(open_targets, empty_home, recorded):
    keep_targets(recorded(empty_home), (Target(name="mine"),))
    pressed(open_targets(empty_home), "targets_shipped")
    assert shop_targets(recorded(empty_home)) == SHIPPED_TARGETS


def test_targets_that_cannot_be_understood_are_said_and_can_be_set_anew(
    open_targets, empty_home, recorded
):
    recorded(empty_home).set_setting("targets", [{"colour": "red"}])
    page = open_targets(empty_home)
    assert not page.exception
    assert "set them anew" in page.error[0].value
    pressed(page, "targets_shipped")
    assert shop_targets(recorded(empty_home)) == SHIPPED_TARGETS
