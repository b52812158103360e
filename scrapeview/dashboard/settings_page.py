"""The page Settings: what holds for the whole shop, and the care of its record."""

import streamlit as st

from scrapeview.dashboard.cautions import show_cautions
from scrapeview.dashboard.settings_archive import show_archive
from scrapeview.dashboard.settings_record import show_check, show_exports, show_reread
from scrapeview.dashboard.settings_targets import show_targets
from scrapeview.dashboard.shell import page, plainly, shop_units, the_record
from scrapeview.dashboard.shop_wide import keep_scrapers, scrapers
from scrapeview.record import Record

_UNITS = {"metric": "metric: mm, points per 25 mm square", "inch": "inch: in, points per in2"}


def settings_page() -> None:
    """Show the settings of the shop."""
    with page("Settings"):
        record = the_record()
        for show in (_show_units, _show_scrapers, show_targets, _show_place, show_check,
                     show_archive, show_reread, show_exports):  # fmt: skip
            with plainly():
                show(record)
        show_cautions()


def _show_units(record: Record) -> None:
    st.subheader("Units", anchor=False)
    now = shop_units(record)
    chosen = st.radio(
        "The shop works in", list(_UNITS), index=list(_UNITS).index(now), key="settings_units",
        format_func=_UNITS.__getitem__,
    )  # fmt: skip
    if chosen != now:
        record.set_setting("units", chosen)
        st.rerun()


def _show_scrapers(record: Record) -> None:
    st.subheader("Who scrapes", anchor=False)
    now = list(scrapers(record))
    names = st.multiselect(
        "Names offered when a print is kept", now, default=now, key="settings_scrapers",
        accept_new_options=True, placeholder="Type a name and press Enter",
    )  # fmt: skip
    if names != now:
        keep_scrapers(record, names)
        del st.session_state["settings_scrapers"]
        st.rerun()


def _show_place(record: Record) -> None:
    st.subheader("The record", anchor=False)
    st.write(f"It lives in {record.place}. Photographs lie in {record.home}.")
    st.caption(
        "Another place: set SCRAPEVIEW_HOME to a folder before starting; several benches on one "
        "database: SCRAPEVIEW_RECORD to a PostgreSQL address. Copy the whole folder for a backup "
        "while the program is not running, or write archives below."
    )
