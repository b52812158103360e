"""The map of the next pass as sheets to print at 1:1 and lay on the face."""

from typing import Any

import streamlit as st

from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import file_stem, offer_file
from scrapeview.dashboard.judge_part import part, title_of
from scrapeview.judge.next.next_pass import NextPass
from scrapeview.record import FaceEntry, Record
from scrapeview.result import Reading
from scrapeview.sheet import PAPERS, caption_of, layout_for, map_sheets

HOW = (
    "Print at 100 %, not 'fit to page', and measure the bar on the sheet before you trust it. "
    "Crosses on neighbouring sheets lie over each other."
)


def offer_sheets(
    record: Record, face: FaceEntry, row: Any, reading: Reading, advice: NextPass, units: Units
) -> None:
    """Show, folded, the choice of paper and the button for the sheets."""
    with st.popover("Sheets to print at 1:1", icon=":material/print:", width="stretch"), part():
        key = f"judge-{face.face_id}-sheets"
        names = list(PAPERS)
        paper = st.segmented_control(
            "Paper", names, default=names[1 if units == "inch" else 0], required=True,
            key=f"{key}-paper", format_func=lambda name: PAPERS[name].name,
        )  # fmt: skip
        beneath = st.checkbox("With the photograph faintly beneath", key=f"{key}-photo")
        chosen = paper or names[0]
        count = len(layout_for(reading.regions_mm, PAPERS[chosen]).tiles)
        sheets = f"{count} sheet{'' if count == 1 else 's'} of {PAPERS[chosen].name}"
        st.caption(f"{sheets}. {HOW}")

        def made() -> bytes:
            photo = record.photo(reading.photo_sha256) if beneath else None
            return map_sheets(
                reading, advice, title=face.title, paper=chosen, units=units, photo=photo,
                told=caption_of(int(row.number), row.placement, str(row.printed_at or "")),
            )  # fmt: skip

        stem = file_stem(face, title_of(row), "next", chosen)
        offer_file(f"{sheets}, PDF", made, f"{stem}.pdf", "application/pdf", f"{key}-{chosen}")
