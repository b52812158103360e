"""The shop's targets as a table that can be changed."""

from dataclasses import asdict, fields
from typing import Any

import pandas as pd
import streamlit as st

from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.shop_wide import keep_targets, shop_targets
from scrapeview.dashboard.standing import is_told
from scrapeview.errors import SettingsError
from scrapeview.record import Record
from scrapeview.targets import SHIPPED_TARGETS, Target

_NAMES = [field.name for field in fields(Target)]
_VERSION = "targets_version"


def show_targets(record: Record) -> None:
    """Show the targets and keep what is changed about them."""
    st.subheader("Targets", anchor=False)
    st.caption(
        "What a face can be scraped to. Points are per in2; per 25 mm square they are 3 % fewer "
        "(1 in2 = 1.032 squares). A face keeps the target it was given until you choose again."
    )
    version = st.session_state.get(_VERSION, 0)
    edited = st.data_editor(
        targets_table(shop_targets(record)), num_rows="dynamic", hide_index=True, placeholder="-",
        column_config=_columns(), key=f"targets_{version}",
    )  # fmt: skip
    with st.container(horizontal=True):
        if st.button("Save the targets", type="primary", key="targets_save"):
            with plainly():
                keep_targets(record, targets_of(edited))
                _start_afresh("The targets are saved.")
        if st.button("Back to those shipped", key="targets_shipped"):
            with plainly():
                keep_targets(record, SHIPPED_TARGETS)
                _start_afresh("The targets are those shipped with the program.")
        st.download_button(
            "Download the targets", edited.to_csv(index=False), "targets.csv", "text/csv",
            key="targets_csv",
        )  # fmt: skip
    said = st.session_state.pop("targets_said", "")
    if said:
        st.success(said)


def _start_afresh(said: str) -> None:
    """Show the table anew, without the changes the editor remembers."""
    st.session_state[_VERSION] = st.session_state.get(_VERSION, 0) + 1
    st.session_state["targets_said"] = said
    st.rerun()


def targets_table(targets: tuple[Target, ...]) -> pd.DataFrame:
    """Return targets as a table, one row each."""
    frame = pd.DataFrame([asdict(target) for target in targets], columns=_NAMES)
    numbers = ["contact_least_percent", "contact_most_percent", "ppsi_least"]
    texts = ["name", "source"]
    return frame.astype({**dict.fromkeys(numbers, float), **dict.fromkeys(texts, object)})


def targets_of(frame: pd.DataFrame) -> tuple[Target, ...]:
    """Return the targets of a table.

    Raises
    ------
    SettingsError
        Where a row has no name or a value out of its range.
    """
    return tuple(
        _target_of(row) for row in frame.to_dict("records") if any(map(is_told, row.values()))
    )


def _target_of(row: dict[Any, Any]) -> Target:
    told = {str(name): value for name, value in row.items() if is_told(value)}
    if not str(told.get("name", "")).strip():
        raise SettingsError("A target needs a name: fill it in, or delete its row.")
    return Target(**told)


def _columns() -> dict[str, Any]:
    config = st.column_config
    return {
        "name": config.TextColumn("Kind of face", required=True, max_chars=80),
        "contact_least_percent": config.NumberColumn(
            "Contact, at least %", min_value=0.0, max_value=100.0, format="%.0f"
        ),
        "contact_most_percent": config.NumberColumn(
            "Contact, at most %", min_value=0.0, max_value=100.0, format="%.0f"
        ),
        "ppsi_least": config.NumberColumn(
            "Points/in2, at least", min_value=0.0, max_value=500.0, format="%.0f"
        ),
        "source": config.TextColumn("Where it comes from", default="your own", max_chars=200),
    }
