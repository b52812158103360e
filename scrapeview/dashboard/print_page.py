"""The page of one print: its figures, overlay, checks, cells and points."""

from typing import get_args

import streamlit as st

from scrapeview.charts import shown
from scrapeview.charts.cells_chart import TITLES, Figure, cells_chart
from scrapeview.charts.shown import Units
from scrapeview.dashboard.cached import key_of, overlay_of, reading_of
from scrapeview.errors import ScrapeviewError
from scrapeview.result import Reading
from scrapeview.samples import Sample, find_samples


def print_page() -> None:
    """Choose a sample print and show what was read from it."""
    st.title("Read a print")
    try:
        samples = find_samples()
    except ScrapeviewError as error:
        st.info(str(error))
        return
    sample = st.selectbox("Print", samples, format_func=lambda s: s.title)
    units: Units = st.radio("Units", get_args(Units), horizontal=True)
    st.caption(
        "A computed picture of an invented job. Your own photographs are read with "
        "`scrapeview read`; `scrapeview read --help` says how."
    )
    try:
        key = key_of(sample)
        reading = reading_of(key, sample)
        _show(sample, reading, overlay_of(key, units, sample, reading), units)
    except (ScrapeviewError, OSError) as error:
        st.error(f"{sample.photo.name} cannot be read. {error}")


def _show(sample: Sample, reading: Reading, overlay: bytes, units: Units) -> None:
    if reading.is_print:
        _show_figures(reading, units)
    else:
        st.warning(f"No print. {reading.reason}")
    st.image(overlay, width="stretch")
    st.download_button("Download the overlay", overlay, f"{sample.name}-overlay.jpg", "image/jpeg")
    _show_checks(reading)
    _show_cells(sample, reading, units)
    _show_points(sample, reading)


def _show_figures(reading: Reading, units: Units) -> None:
    level = f"{100 * reading.settings.confidence:g} %"
    contact, ppsi, per_25 = st.columns(3)
    contact.metric("Contact", f"{reading.contact_percent:.1f} %")
    contact.caption(f"{level} interval {shown.interval(reading.contact_interval)}")
    if reading.count_reliable:
        ppsi.metric("Points/in2", f"{reading.points_per_square_inch:.1f}")
        ppsi.caption(f"{level} interval {shown.interval(reading.ppsi_interval)}")
        per_25.metric("Points/25 mm square", f"{reading.points_per_25mm_square:.1f}")
        per_25.caption(f"{level} interval {shown.interval(reading.p25_interval)}")
    else:
        ppsi.metric("Points/in2", "unreliable")
        ppsi.caption(f"{shown.merged_sentence(reading)}: go by contact.")
        per_25.metric("Points/25 mm square", "unreliable")
    area, bare, point = st.columns(3)
    area.metric("Area read", shown.area(reading.area_mm2, units))
    bare.metric("Largest bare circle", shown.length(reading.bare_patch.circle_mm, units))
    point.metric("Median point", shown.length(reading.evenness.median_diameter_mm, units))


def _show_checks(reading: Reading) -> None:
    st.subheader("Photograph and print")
    for check in reading.checks:
        if check.severity == "bad":
            st.error(check.sentence)
        elif check.severity == "warn":
            st.warning(check.sentence)
    fine = [check.sentence for check in reading.checks if check.severity == "ok"]
    with st.expander(f"{len(fine)} checks in order"):
        st.markdown("\n".join(f"- {sentence}" for sentence in fine))


def _show_cells(sample: Sample, reading: Reading, units: Units) -> None:
    st.subheader(f"Squares of {shown.side(reading.settings.cell_mm)}")
    if reading.cells.empty:
        st.info("No square holds any face: check the outline and the openings.")
        return
    if not reading.is_print:
        st.info("Without a print there is nothing to map: print the face and photograph it again.")
        return
    choices: list[Figure] = ["contact_percent"]
    if reading.count_reliable:
        choices.append("points_per_square_inch" if units == "inch" else "points_per_25mm_square")
    figure = choices[0]
    if len(choices) > 1:
        figure = st.radio("Map of", choices, format_func=TITLES.__getitem__, horizontal=True)
    st.vega_lite_chart(spec=cells_chart(reading, figure, units), width="stretch")
    csv = reading.cells.to_csv(index=False)
    st.download_button("Download the squares", csv, f"{sample.name}-cells.csv", "text/csv")


def _show_points(sample: Sample, reading: Reading) -> None:
    st.subheader("Points")
    if reading.points.empty:
        st.info("No point was counted: print again with more marking, or check the outline.")
        return
    st.dataframe(reading.points, hide_index=True, height=320)
    csv = reading.points.to_csv(index=False)
    st.download_button("Download the points", csv, f"{sample.name}-points.csv", "text/csv")
