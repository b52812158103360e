"""The page Settings: what holds for the whole shop, and the care of its record."""

import streamlit as st

from scrapeview.dashboard.cautions import show_cautions
from scrapeview.dashboard.settings_archive import show_archive
from scrapeview.dashboard.settings_cards import show_cards
from scrapeview.dashboard.settings_record import show_check, show_exports, show_reread
from scrapeview.dashboard.settings_targets import show_targets
from scrapeview.dashboard.shell import page, plainly, the_record
from scrapeview.dashboard.shop_wide import keep_scrapers, scrapers
from scrapeview.record import Record
from scrapeview.shown_units import shop_units

_UNITS_KEY, _SCRAPERS_KEY = "settings_units", "settings_scrapers"
_UNITS = {"metric": "metric: mm, points per 25 mm square", "inch": "inch: in, points per in2"}


def settings_page() -> None:
    """Show the settings of the shop."""
    with page("Settings"):
        record = the_record()
        for show in (_show_units, _show_scrapers, show_targets, show_cards, _show_place,
                     show_check, show_archive, show_reread, show_exports):  # fmt: skip
            with plainly():
                show(record)
        show_cautions()


def _show_units(record: Record) -> None:
    st.subheader("Units", anchor=False)
    # as it is now, since another tab may have changed it
    st.session_state[_UNITS_KEY] = shop_units(record)
    st.radio(
        "The shop works in", list(_UNITS), key=_UNITS_KEY, format_func=_UNITS.__getitem__,
        on_change=_keep_units, args=(record,),
    )  # fmt: skip


def _keep_units(record: Record) -> None:
    with plainly():
        record.set_setting("units", st.session_state[_UNITS_KEY])


def _show_scrapers(record: Record) -> None:
    st.subheader("Who scrapes", anchor=False)
    now = list(scrapers(record))
    st.session_state[_SCRAPERS_KEY] = now
    st.multiselect(
        "Names offered when a print is kept", now, key=_SCRAPERS_KEY, on_change=_keep_scrapers,
        args=(record, now), accept_new_options=True, placeholder="Type a name and press Enter",
    )  # fmt: skip


def _keep_scrapers(record: Record, shown: list[str]) -> None:
    """Keep what was added and taken away here, beside what another tab has added meanwhile."""
    with plainly():
        chosen = st.session_state[_SCRAPERS_KEY]
        gone = set(shown) - set(chosen)
        keep_scrapers(record, [name for name in (*scrapers(record), *chosen) if name not in gone])


def _show_place(record: Record) -> None:
    st.subheader("The record", anchor=False)
    st.write(f"It lives in {record.place}. Photographs lie in {record.home}.")
    st.caption(
        "Another place: set SCRAPEVIEW_HOME to a folder before starting; several benches on one "
        "database: SCRAPEVIEW_RECORD to a PostgreSQL address. Copy the whole folder for a backup "
        "while the program is not running, or write archives below."
    )
