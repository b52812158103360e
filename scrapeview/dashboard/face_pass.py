"""One pass of a face at a time: its picture, cells, figures, checks and history."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

import pandas as pd
import streamlit as st

from scrapeview.charts import shown
from scrapeview.charts.cells_map import TITLES, Figure, cells_map, points_figure
from scrapeview.charts.chart_style import chart_config
from scrapeview.charts.shown import Units, points_unit
from scrapeview.corrections import Correction
from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.face_downloads import (
    ICON,
    file_stem,
    offer_figure,
    offer_file,
    offer_table,
)
from scrapeview.dashboard.face_history import show_history
from scrapeview.dashboard.face_pictures import bare_picture_of, overlay_of
from scrapeview.dashboard.face_standing import heading
from scrapeview.dashboard.new_print_figures import show_checks
from scrapeview.dashboard.shell import link_to, plainly
from scrapeview.reading_json import to_json
from scrapeview.record import FaceEntry, Record
from scrapeview.result import Reading

_DONE = {
    "remove": ("false point removed", "false points removed"),
    "add": ("missed point added", "missed points added"),
    "merge": ("pair of marks joined to one point", "pairs of marks joined to one point"),
    "split": ("mark split", "marks split"),
    "leave_out": ("area left out", "areas left out"),
}


@st.fragment
def show_pass(record: Record, face: FaceEntry, units: Units) -> None:
    """Let a pass be chosen and show its print; only this part runs again when it is."""
    st.subheader("One pass", anchor=False)
    with plainly():
        # anew each time, since another tab may have kept a pass or chosen a reading
        progress = record.progress(face.face_id)
        row = _chosen_print(face, progress)
        reading = reading_of(record, int(row.reading_id))
        st.markdown(heading(row))
        picture, beside = st.columns([3, 2], gap="medium")
        with picture, plainly():
            _show_picture(record, face, row, reading, units)
        with beside:
            st.markdown(figures_table(reading, units))
            _show_corrections(reading.corrections)
            link_to("New print", face.face_id, "Correct this print", int(row.print_id))
            show_checks(reading)
        cells, history = st.columns([3, 2], gap="medium")
        with cells:
            _show_cells(face, row, reading, units)
        with history:
            show_history(record, face, int(row.print_id), units)


def _chosen_print(face: FaceEntry, progress: pd.DataFrame) -> Any:
    numbers = sorted({int(number) for number in progress["number"]})
    number = _chosen_number(f"face-{face.face_id}-pass", numbers)
    rows: list[Any] = list(progress[progress["number"] == number].itertuples(index=False))
    if len(rows) == 1:
        return rows[0]
    key = f"face-{face.face_id}-print-{number}"
    at = st.selectbox(
        "Placement", range(len(rows)), key=key,
        format_func=lambda at: rows[at].placement or f"print {rows[at].print_id}",
    )  # fmt: skip
    return rows[at or 0]


def _chosen_number(key: str, numbers: list[int]) -> int:
    """Show a slider where there is something to choose; the latest pass until one is chosen."""
    if len(numbers) < 2:
        return numbers[0]
    latest = f"{key}-latest"
    if st.session_state.get(key) not in numbers or st.session_state.get(latest) != numbers[-1]:
        st.session_state[key] = numbers[-1]
    st.session_state[latest] = numbers[-1]
    number = int(st.select_slider("Pass", numbers, key=key))
    at = numbers.index(number)
    with st.container(horizontal=True):
        for label, step in (("Pass before", -1), ("Pass after", 1)):
            there = 0 <= at + step < len(numbers)
            st.button(
                label, key=f"{key}-step{step}", disabled=not there, width=160,
                icon=":material/chevron_left:" if step < 0 else ":material/chevron_right:",
                on_click=_go_to, args=(key, numbers[at + step] if there else number),
            )  # fmt: skip
    return number


def _go_to(key: str, number: int) -> None:
    st.session_state[key] = number


def _show_picture(
    record: Record, face: FaceEntry, row: Any, reading: Reading, units: Units
) -> None:
    looks = ("What was found", "As photographed")
    look = st.segmented_control(
        "Picture", looks, default=looks[0], required=True, key=f"face-{face.face_id}-look",
        label_visibility="collapsed",
    )  # fmt: skip
    reading_id = int(row.reading_id)
    drawn = look != looks[1]
    picture = (
        overlay_of(record, reading_id, reading, units)
        if drawn
        else bare_picture_of(record, reading_id, reading)
    )
    st.image(picture, width="stretch")
    with st.popover("Download this pass", icon=ICON, width="stretch"):
        stem = file_stem(face, "pass", row.number, row.placement)
        key = f"face-{face.face_id}-this"
        name = f"{stem}-{'overlay' if drawn else 'square-on'}.jpg"
        offer_file("Picture, JPEG", lambda: picture, name, "image/jpeg", f"{key}-picture")
        offer_file(
            "Whole reading, JSON", lambda: to_json(reading).encode(), f"{stem}-reading.json",
            "application/json", f"{key}-reading",
        )  # fmt: skip
        offer_table(reading.points, f"{stem}-points", f"{key}-points", "Points")
        offer_table(reading.cells, f"{stem}-cells", f"{key}-cells", "Squares")


def figures_table(reading: Reading, units: Units) -> str:
    """Return the figures of a reading as a Markdown table."""
    rows = [("Contact", f"{reading.contact_percent:.1f} % ({_ends(reading, 'contact')})")]
    if reading.is_print:
        rows += [*_point_rows(reading, units), *_print_rows(reading, units)]
    else:
        rows = [("Contact", "no print was found")]
    rows.append(("Area read", shown.area(reading.area_mm2, units)))
    if reading.washed_out_percent > 0:
        rows.append(("Lost to glare", f"{reading.washed_out_percent:.1f} % of the face"))
    lines = [f"| {name} | {value} |" for name, value in rows]
    return "\n".join(("| Figure | This pass |", "|---|---|", *lines))


def _ends(reading: Reading, figure: str) -> str:
    return shown.interval(getattr(reading, f"{figure}_interval"))


def _point_rows(reading: Reading, units: Units) -> list[tuple[str, str]]:
    name = f"Points/{points_unit(units)}"
    if not reading.count_reliable:
        return [(name, f"unreliable: {shown.merged_sentence(reading)}")]
    inch = units == "inch"
    value = reading.points_per_square_inch if inch else reading.points_per_25mm_square
    even = reading.evenness
    small, large = (
        shown.length(mm, units) for mm in (even.small_diameter_mm, even.large_diameter_mm)
    )
    median = shown.length(even.median_diameter_mm, units)
    return [
        (name, f"{value:.1f} ({_ends(reading, 'ppsi' if inch else 'p25')})"),
        ("Points counted", f"{len(reading.points)}"),
        ("Point diameter", f"{median}; 10 % below {small}, 10 % above {large}"),
        ("Spacing", shown.spacing(even.spacing_index)),
    ]


def _print_rows(reading: Reading, units: Units) -> list[tuple[str, str]]:
    worst, bare = reading.worst_square, reading.bare_patch
    rows = []
    if worst is not None:
        inch = units == "inch"
        density = worst.points_per_square_inch if inch else worst.points_per_25mm_square
        count = f"{density:.1f} points/{points_unit(units)}, " if reading.count_reliable else ""
        where = shown.place(worst.x_mm, worst.y_mm, units)
        rows.append(("Worst square", f"{count}{worst.contact_percent:.1f} % contact, {where}"))
    across = shown.length(bare.circle_mm, units)
    where = shown.place(bare.x_mm, bare.y_mm, units)
    rows.append(("Largest bare circle", f"{across} across, middle {where}"))
    rows.append(("Film", shown.film(reading)))
    return rows


def _show_corrections(corrections: Sequence[Correction]) -> None:
    if corrections:
        st.info(corrections_sentence(corrections), icon=":material/edit:")


def corrections_sentence(corrections: Sequence[Correction]) -> str:
    """Return what was corrected by hand: 2 false points removed, 1 area left out."""
    counts = Counter(correction.kind for correction in corrections)
    told = [f"{n} {_DONE[kind][n > 1]}" for kind, n in counts.items()]
    return f"Corrected by hand: {', '.join(told)}."


def _show_cells(face: FaceEntry, row: Any, reading: Reading, units: Units) -> None:
    st.markdown(f"**Squares of {shown.side(reading.settings.cell_mm)}**")
    if reading.cells.empty or not reading.is_print:
        st.info("There is nothing to map: print the face and photograph it again.")
        return
    choices: list[Figure] = ["contact_percent"]
    if reading.count_reliable:
        choices.append(points_figure(units))
    else:
        st.caption("Points are not mapped: their count is unreliable on this print.")
    figure = choices[0]
    if len(choices) > 1:
        figure = st.segmented_control(
            "Map of", choices, default=choices[0], required=True, format_func=TITLES.__getitem__,
            key=f"face-{face.face_id}-map", label_visibility="collapsed",
        )  # fmt: skip
    drawn = cells_map(reading.cells, reading.settings.cell_mm, figure, units, reading.worst_square)
    stem = file_stem(face, "pass", row.number, row.placement, "map")
    key = f"face-{face.face_id}-cells"
    st.plotly_chart(drawn, theme=None, config=chart_config(stem), key=key, width="stretch")
    if not reading.cells["enough_area"].all():
        st.caption("Pale, with the number in brackets: less than half of the square is face.")
    offer_figure(drawn, reading.cells, stem, key)
