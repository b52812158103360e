"""A stretch of a long face looked at closely: its picture, its points large, its own figures."""

from collections.abc import Sequence

import streamlit as st

from scrapeview.charts import long_words as words
from scrapeview.charts.cells_map import cells_map
from scrapeview.charts.chart_style import chart_config
from scrapeview.charts.long_stretches import Stretch
from scrapeview.charts.long_strip import StripView, long_strip
from scrapeview.charts.picture import face_of
from scrapeview.charts.shown import Units, side
from scrapeview.dashboard.cached_prints import layers_asked, overlay_asked, square_on
from scrapeview.dashboard.face_downloads import (
    ICON,
    file_stem,
    offer_figure,
    offer_file,
    offer_table,
)
from scrapeview.dashboard.face_pass import figures_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.judge_part import NO_PRINT, part
from scrapeview.dashboard.long_cached import joined_of, stretch_of
from scrapeview.dashboard.long_part import STYLE, chosen_pass
from scrapeview.dashboard.long_strip import without_misplaced
from scrapeview.dashboard.new_print_correct import LOOK
from scrapeview.dashboard.new_print_figures import summary_words
from scrapeview.dashboard.picture import show_layers
from scrapeview.face_in_line import Box, LongFace, bounds_of, joined_percent, showing
from scrapeview.face_stretch import LEAST_MM
from scrapeview.record import FaceEntry, Record
from scrapeview.result import Reading
from scrapeview.units import MM_PER_INCH

Window = tuple[float, float]
CLOSEST_MM = 25.0
"""Buttons go no closer: a square of the face."""
STEPS = {"metric": 1.0, "inch": 0.05}
"""Steps of the slider, mm and in."""
SHORT = (
    "Draw the two ends of the slider apart: a stretch shorter than 5 mm (0.2 in) shows no figure "
    "that means anything."
)


def show_zoom(record: Record, face: FaceEntry, found: LongFace, units: Units) -> None:
    """Let a stretch be chosen and show it."""
    number = chosen_pass(face, found.numbers)
    stretches = found.of_pass(number)
    sound = without_misplaced(record, stretches)
    if not sound:
        return
    bounds_mm = bounds_of(face.plan, stretches)
    window = _chosen_window(face, sound, bounds_mm, units)
    if window[1] - window[0] < LEAST_MM:
        st.info(SHORT)
        return
    with part():
        _show_where(record, face, sound, bounds_mm, window, units)
    one = _chosen_print(face, sound, window)
    if one is None:
        st.info("No print of this pass shows this stretch. Choose another one.")
        return
    with part():
        reading = stretch_of(record, one.reading_id, *window)
        _show_stretch(record, face, one, reading, units)


def _chosen_window(
    face: FaceEntry, stretches: Sequence[Stretch], bounds_mm: Box, units: Units
) -> Window:
    """Show the buttons and the slider, which choose the same stretch in two ways."""
    kept = f"long-{face.face_id}-window"
    window = st.session_state.get(kept) or _ends(stretches[0])
    window = max(bounds_mm[0], window[0]), min(bounds_mm[2], window[1])
    if window[1] <= window[0]:
        window = _ends(stretches[0])
    st.html(STYLE)
    at = _which(stretches, window)
    _show_buttons(kept, stretches, at)
    _show_steps(kept, stretches, window, bounds_mm)
    _show_slider(kept, window, bounds_mm, units)
    return window


def _ends(one: Stretch) -> Window:
    return one.start_mm, one.end_mm


def _which(stretches: Sequence[Stretch], window: Window) -> int | None:
    """Which placement is looked at, where it is just one of them."""
    for at, one in enumerate(stretches):
        if abs(one.start_mm - window[0]) < 1 and abs(one.end_mm - window[1]) < 1:
            return at
    return None


def _show_buttons(kept: str, stretches: Sequence[Stretch], at: int | None) -> None:
    key = f"{kept}-placement"
    st.session_state[key] = at
    st.segmented_control(
        "Placement", range(len(stretches)), key=key, label_visibility="collapsed",
        format_func=lambda at: f"{at + 1} {stretches[at].name}",
        on_change=_take_placement, args=(key, kept, tuple(stretches)),
    )  # fmt: skip


def _take_placement(key: str, kept: str, stretches: tuple[Stretch, ...]) -> None:
    at = st.session_state[key]
    if at is not None:
        st.session_state[kept] = _ends(stretches[at])


def _show_steps(kept: str, stretches: Sequence[Stretch], window: Window, bounds_mm: Box) -> None:
    before, after = neighbours(stretches, window, bounds_mm)
    ways = (
        ("Stretch before", ":material/chevron_left:", before),
        ("Stretch after", ":material/chevron_right:", after),
        ("Closer", ":material/zoom_in:", scaled(window, 0.5, bounds_mm)),
        ("Wider", ":material/zoom_out:", scaled(window, 2.0, bounds_mm)),
    )
    with st.container(key="long_step_all", horizontal=True):
        for label, icon, there in ways:
            st.button(
                label, key=f"{kept}-{label}", icon=icon, disabled=there is None, width=160,
                on_click=_take_window, args=(kept, there or window),
            )  # fmt: skip


def _take_window(kept: str, window: Window) -> None:
    st.session_state[kept] = window


def neighbours(
    stretches: Sequence[Stretch], window: Window, bounds_mm: Box
) -> tuple[Window | None, Window | None]:
    """Return the stretches before and after the one that is looked at; None at the ends.

    Parameters
    ----------
    stretches : sequence of Stretch
    window : (from, to)
        One of them: its neighbours follow. Else a stretch of one's own: as much again.
    bounds_mm : (x0, y0, x1, y1)
        Of the face.
    """
    at = _which(stretches, window)
    if at is not None:
        before = _ends(stretches[at - 1]) if at > 0 else None
        return before, _ends(stretches[at + 1]) if at + 1 < len(stretches) else None
    length = window[1] - window[0]
    left, right = bounds_mm[0], bounds_mm[2]
    first = max(left, window[0] - length)
    last = min(right, window[1] + length)
    return (
        (first, first + length) if window[0] > left + 1e-6 else None,
        (last - length, last) if window[1] < right - 1e-6 else None,
    )


def scaled(window: Window, by: float, bounds_mm: Box) -> Window | None:
    """Return a stretch about the same middle, shorter or longer; None where it can be neither.

    Parameters
    ----------
    window : (from, to)
    by : float
        Its new length, as a share of the old.
    bounds_mm : (x0, y0, x1, y1)
        Of the face.
    """
    left, right = bounds_mm[0], bounds_mm[2]
    # whole millimetres, so that the slider and the words agree
    length = min(right - left, float(round(by * (window[1] - window[0]))))
    if length < CLOSEST_MM or (by > 1 and length <= window[1] - window[0] + 1e-6):
        return None
    first = min(max(left, float(round(sum(window) / 2 - length / 2))), right - length)
    return first, first + length


def _show_slider(kept: str, window: Window, bounds_mm: Box, units: Units) -> None:
    per_unit, unit = (MM_PER_INCH, "in") if units == "inch" else (1.0, "mm")
    key = f"{kept}-slider-{units}"
    low, high = (round(bounds_mm[at] / per_unit, 2) for at in (0, 2))
    shown = tuple(min(high, max(low, round(at / per_unit, 2))) for at in window)
    st.session_state[key] = shown
    st.slider(
        f"Or from and to, {unit} from the left end", low, high, step=STEPS[units],
        format="%.1f" if units == "inch" else "%.0f", key=key,
        on_change=_take_slider, args=(key, kept, per_unit),
    )  # fmt: skip


def _take_slider(key: str, kept: str, per_unit: float) -> None:
    first, last = st.session_state[key]
    st.session_state[kept] = first * per_unit, last * per_unit


def _show_where(
    record: Record,
    face: FaceEntry,
    stretches: Sequence[Stretch],
    bounds_mm: Box,
    window: Window,
    units: Units,
) -> None:
    contact, _ = joined_of(record, face, stretches, bounds_mm)
    joined = joined_percent(contact, window)
    if joined is not None:
        st.markdown(as_written(words.joined_sentence(joined, window, units)))
    view = StripView(bounds_mm, stretches, contact, window_mm=window, small=True)
    figure = long_strip(view, units)
    st.plotly_chart(
        figure, theme=None, key=f"long-{face.face_id}-where", width="stretch",
        config=chart_config("where") | {"displayModeBar": False}, height=figure.layout.height,
    )  # fmt: skip


def _chosen_print(face: FaceEntry, stretches: Sequence[Stretch], window: Window) -> Stretch | None:
    """The print that shows most of the stretch, until another is chosen."""
    shown = showing(stretches, window)
    if len(shown) < 2:
        return shown[0] if shown else None
    at = st.selectbox(
        "Seen in the print of", range(len(shown)),
        key=f"long-{face.face_id}-print-{window[0]:.1f}-{window[1]:.1f}",
        format_func=lambda at: shown[at].name,
    )  # fmt: skip
    return shown[at or 0]


def _show_stretch(
    record: Record, face: FaceEntry, one: Stretch, reading: Reading, units: Units
) -> None:
    photo = record.photo(reading.photo_sha256)
    with part():
        # as wide as the page, so that its points are large
        shown, view = square_on(reading, photo)
        layered = layers_asked(f"{shown.key}-{one.reading_id}", units, reading, view)
        show_layers(
            f"long-{face.face_id}-zoom", shown, layered, (LOOK,),
            summary=summary_words(reading, units),
        )  # fmt: skip
    if not reading.is_print:
        st.info(NO_PRINT)
        return
    figures, cells = st.columns(2, gap="medium")
    with figures:
        x0, _, x1, _ = face_of(reading).bounds_mm
        where = words.span(x0, x1, units)
        st.markdown(f"**{as_written(f'{where}: {one.name}, pass {one.pass_number}')}**")
        st.markdown(figures_table(reading, units))
        _offer_files(face, one, reading, photo, units)
    with cells, part():
        _show_cells(face, one, reading, units)


def _offer_files(
    face: FaceEntry, one: Stretch, reading: Reading, photo: bytes, units: Units
) -> None:
    x0, _, x1, _ = face_of(reading).bounds_mm
    stem = file_stem(face, "pass", one.pass_number, f"{x0:.0f} to {x1:.0f} mm")
    key = f"long-{face.face_id}-this"
    with st.popover("Download this stretch", icon=ICON, width="stretch"):
        offer_file(
            "Picture, JPEG",
            lambda: overlay_asked(f"{stem}-{one.reading_id}", units, reading, photo),
            f"{stem}.jpg", "image/jpeg", f"{key}-picture",
        )  # fmt: skip
        offer_table(reading.points, f"{stem}-points", f"{key}-points", "Points")
        offer_table(reading.cells, f"{stem}-cells", f"{key}-cells", "Squares")


def _show_cells(face: FaceEntry, one: Stretch, reading: Reading, units: Units) -> None:
    if reading.cells.empty:
        return
    st.markdown(f"**Squares of {side(reading.settings.cell_mm)}, the worst one dashed**")
    drawn = cells_map(
        reading.cells, reading.settings.cell_mm, "contact_percent", units, reading.worst_square
    )
    x0, _, x1, _ = face_of(reading).bounds_mm
    stem = file_stem(face, "pass", one.pass_number, f"{x0:.0f} to {x1:.0f} mm", "map")
    key = f"long-{face.face_id}-cells"
    st.plotly_chart(drawn, theme=None, config=chart_config(stem), key=key, width="stretch")
    offer_figure(drawn, reading.cells, stem, key)
