"""The shop's targets: to read, to change and to download."""

import streamlit as st

from scrapeview.dashboard.settings_target_form import (
    offer_shipped,
    say_what_was_kept,
    show_target_form,
)
from scrapeview.dashboard.settings_targets_table import targets_csv, targets_html
from scrapeview.dashboard.shop_wide import shop_targets
from scrapeview.errors import SettingsError
from scrapeview.record import Record
from scrapeview.shown_units import shop_units


def show_targets(record: Record) -> None:
    """Show the targets and let them be changed."""
    st.subheader("Targets", anchor=False)
    try:
        targets = shop_targets(record)
    except SettingsError as error:
        st.error(str(error))
        offer_shipped(record)
        return
    st.caption(
        "What a face can be scraped to, each value with where it comes from. A face keeps the "
        "target it was given until you choose again; its own values can be changed with the face."
    )
    st.html(targets_html(targets, shop_units(record)))
    with st.container(horizontal=True):
        st.download_button(
            "Download the targets", targets_csv(targets), "targets.csv", "text/csv",
            key="targets_csv", on_click="ignore",
        )  # fmt: skip
        offer_shipped(record)
    with st.expander("Change, copy or add a target"):
        show_target_form(record)
    say_what_was_kept()
