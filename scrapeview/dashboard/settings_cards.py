"""Scale cards and tiles to print, and how long their bar came out on the shop's paper."""

from functools import partial

import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_form import length_field
from scrapeview.dashboard.shell import plainly
from scrapeview.plane.cards import BAR_MM
from scrapeview.record import Record
from scrapeview.sheet.card_files import card_pdf
from scrapeview.sheet.card_sheets import card_sheets, tile_sheets
from scrapeview.shop_paper import bar_mm, keep_bar
from scrapeview.shown_units import shop_units
from scrapeview.units import MM_PER_INCH

_PAPERS = {"a4": "A4", "letter": "Letter"}
_WINDOWS: dict[Units, str] = {"inch": "inch", "metric": "25mm"}
_BAR_WORDS: dict[Units, str] = {
    "inch": f"{BAR_MM / MM_PER_INCH:.3f} in", "metric": f"{BAR_MM:g} mm",
}  # fmt: skip
_SIZES = {"small": "20 mm", "large": "40 mm"}


def show_cards(record: Record) -> None:
    """Offer the sheets, and ask how long their bar is on the paper."""
    units = shop_units(record)
    st.subheader("Scale cards and tiles", anchor=False)
    st.caption(
        "A card in the photograph tells its scale, without a known length on the face. Tiles laid "
        "along a long face let several photographs of it be joined. Print at 100 %, not fitted to "
        "the page."
    )
    paper = st.radio(
        "Paper", list(_PAPERS), key="cards_paper", format_func=_PAPERS.__getitem__,
        index=1 if units == "inch" else 0, horizontal=True,
    )  # fmt: skip
    window = _WINDOWS[units]
    with st.container(horizontal=True, gap="small"):
        st.download_button(
            "Card with a window", lambda: card_pdf(card_sheets(window, paper=paper)),
            f"card-{window}.pdf", "application/pdf", on_click="ignore", key="cards_card",
        )  # fmt: skip
        for size, told in _SIZES.items():
            st.download_button(
                f"Tiles, {told}", partial(_tiles, size, paper),
                f"tiles-{size}.pdf", "application/pdf", on_click="ignore", key=f"cards_{size}",
            )  # fmt: skip
    _ask_bar(record, units)


def _tiles(size: str, paper: str) -> bytes:
    return card_pdf(tile_sheets(size, paper=paper))


def _ask_bar(record: Record, units: Units) -> None:
    kept = bar_mm(record)
    with st.form("cards_bar"):
        st.markdown("**How long is the bar on your paper?**")
        st.caption(
            f"Every sheet has a bar that is drawn {_BAR_WORDS[units]} long. Measure it over the "
            "outer edges of its end ticks with a caliper or a rule; the answer corrects the scale."
        )
        measured = length_field(
            "Length of the bar on your paper", kept or 0.0, units, "cards_bar_length", most_mm=400.0
        )
        if st.form_submit_button("Keep it", width="stretch"):
            with plainly():
                keep_bar(record, measured or None)
                st.success("Kept. Photographs that are read from now on go by it.")
    # asked anew: it may just have been kept
    if bar_mm(record) is None:
        st.caption("Not measured yet: lengths by card or tiles are sure to 2 % only, areas to 4 %.")
