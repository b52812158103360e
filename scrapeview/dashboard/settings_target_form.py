"""One target at a time to change, copy, add or delete, each value with where it comes from."""

from collections.abc import Callable, Sequence

import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_form_target import fill_in
from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.shop_wide import NEW_TARGET, keep_targets, shop_targets
from scrapeview.dashboard.target_values import (
    FOUR_DIGITS,
    hint_of,
    long_name,
    origin_given,
    shown_value,
    step_of,
    stored_value,
    target_given,
)
from scrapeview.errors import SettingsError
from scrapeview.record import Record
from scrapeview.shown_units import shop_units
from scrapeview.targets import ASKED, SHIPPED_TARGETS, SURE_WORDS, Asked, Origin, Target

_SAID, _VERSION, _CHOSEN, _NEXT = (
    "targets_said", "targets_version", "targets_chosen", "targets_next",
)  # fmt: skip


@st.fragment
def show_target_form(record: Record) -> None:
    """Let a target be chosen and show its form; only this part runs again while it is filled in."""
    with plainly():
        targets = {target.name: target for target in shop_targets(record)}
        name = _chosen_name(list(targets))
        units, version = shop_units(record), st.session_state.get(_VERSION, 0)
        _show_form(record, targets.get(name), units, f"target_{version}_{units}_{name}")


def offer_shipped(record: Record) -> None:
    """Offer to go back to the targets the program came with."""
    with st.popover("Back to those shipped"):
        st.write("All targets set here go; faces keep those they were given.")
        if st.button("Take those shipped", key="targets_shipped", width="stretch"):
            keep_targets(record, SHIPPED_TARGETS)
            _start_afresh("The targets are those shipped with the program.")


def say_what_was_kept() -> None:
    """Show once what the last press did."""
    said = st.session_state.pop(_SAID, "")
    if said:
        st.success(said)


def _start_afresh(said: str, chosen: str = "") -> None:
    """Show all anew, without what stood in the fields."""
    st.session_state[_VERSION] = st.session_state.get(_VERSION, 0) + 1
    st.session_state[_SAID] = said
    st.session_state[_NEXT] = chosen
    st.rerun()


def _chosen_name(names: Sequence[str]) -> str:
    offered = [*names, NEW_TARGET]
    wanted = st.session_state.pop(_NEXT, "")
    if wanted in offered:
        st.session_state[_CHOSEN] = wanted
    return st.selectbox("Target to change", offered, key=_CHOSEN)


def _show_form(record: Record, target: Target | None, units: Units, key: str) -> None:
    name = st.text_input(
        "Kind of face", target.name if target else "", key=f"{key}_name", max_chars=80
    )
    with st.container(key="target_values"):
        told = [_value_fields(asked, target, units, f"{key}_{asked.name}") for asked in ASKED]

    def given() -> Target:
        values = {asked.name: each() for asked, each in zip(ASKED, told, strict=True)}
        return target_given(name, values)

    if target is None:
        if st.button("Add the target", type="primary", key="target_add"):
            _keep_beside(record, given)
        return
    with st.container(horizontal=True):
        saved = st.button("Save the target", type="primary", key="target_save")
        copied = st.button(
            "Save as a new one", key="target_copy", help="First give it another name."
        )
        with st.popover("Delete"):
            st.write("Faces that were given this target keep it.")
            deleted = st.button("Delete the target", key="target_delete", width="stretch")
    # below the buttons, where there is room to say what is wrong
    if saved or deleted:
        _keep_instead(record, target, given if saved else None)
    if copied:
        _keep_beside(record, given)


def _value_fields(
    asked: Asked, target: Target | None, units: Units, key: str
) -> Callable[[], tuple[float | None, Origin]]:
    """Show value, how sure it is and source of one thing asked; return what reads them."""
    before = getattr(target, asked.name) if target else None
    origin = target.origin(asked.name) if target else Origin("own")
    sure_key, source_key = f"{key}_sure", f"{key}_source"
    value, sure, source = st.columns([4, 4, 5], vertical_alignment="bottom")
    fill_in(key, None if before is None else shown_value(asked, before, units))
    given = value.number_input(
        long_name(asked, units), key=key, step=step_of(asked, units), format=FOUR_DIGITS,
        value=None, placeholder="not asked", help=hint_of(asked),
        on_change=_make_own, args=(sure_key, source_key),
    )  # fmt: skip
    if given is None:
        return lambda: (None, origin)
    st.session_state.setdefault(sure_key, origin.sure)
    st.session_state.setdefault(source_key, origin.source)
    how = sure.selectbox(
        "How sure", list(SURE_WORDS), key=sure_key, format_func=SURE_WORDS.__getitem__,
        label_visibility="collapsed",
    )  # fmt: skip
    where = ""
    if how not in ("practice", "suggestion") or st.session_state[source_key]:
        where = source.text_input(
            "Source", key=source_key, max_chars=200, label_visibility="collapsed",
            placeholder="source, such as a drawing or a standard",
        )  # fmt: skip
    return lambda: (
        stored_value(asked, given, units, before),
        origin_given(asked, how, where, units),
    )


def _make_own(sure_key: str, source_key: str) -> None:
    """A changed value is the shop's own until a person says otherwise."""
    st.session_state[sure_key] = "own"
    st.session_state[source_key] = ""


def _keep_beside(record: Record, given: Callable[[], Target]) -> None:
    with plainly():
        target = given()
        keep_targets(record, (*shop_targets(record), target))
        _start_afresh(f"The target '{target.name}' was added.", target.name)


def _keep_instead(record: Record, target: Target, given: Callable[[], Target] | None) -> None:
    """Put a target in the place of one, or nothing; the others stay as another tab left them."""
    with plainly():
        now = shop_targets(record)
        if all(each.name != target.name for each in now):
            raise SettingsError(
                f"The target '{target.name}' is not in the table any more: load the page again."
            )
        if given is None:
            keep_targets(record, [each for each in now if each.name != target.name])
            _start_afresh(f"The target '{target.name}' was deleted.")
            return
        new = given()
        keep_targets(record, [new if each.name == target.name else each for each in now])
        _start_afresh(f"The target '{new.name}' is saved.", new.name)
