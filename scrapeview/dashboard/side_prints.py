"""Two prints of a face at the same place: swipe, blink or both at once, and what changed."""

from collections.abc import Sequence
from io import BytesIO
from typing import Any

import pandas as pd
import streamlit as st

from scrapeview.charts import shown
from scrapeview.charts.compare_pictures import (
    FATE_MARKS,
    Place,
    compared_image,
    marker_radius_mm,
    place_for,
    places_of,
)
from scrapeview.charts.plain_layer import hex_of
from scrapeview.charts.shown import Units, points_unit
from scrapeview.dashboard import side_cached as cached
from scrapeview.dashboard import side_words as words
from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.face_downloads import ICON, file_stem, offer_file, offer_table
from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.swipe import MODES, Mode, Sheet, compare
from scrapeview.judge import Comparison
from scrapeview.judge.compare.matched import registration_error_mm
from scrapeview.record import FaceEntry, Record
from scrapeview.result import Reading

MODE_NAMES: dict[Mode, str] = {"swipe": "Swipe", "blink": "Blink", "both": "Both"}
OWN_FATES = (("stayed", "went"), ("stayed", "came"))
"""Which points stand on the earlier and on the later print."""


@st.fragment
def show_prints(record: Record, face: FaceEntry, progress: pd.DataFrame, units: Units) -> None:
    """Let two prints be chosen and show them compared; only this part runs again when they are."""
    with plainly():
        _show_prints(record, face, progress, units)


def _show_prints(record: Record, face: FaceEntry, progress: pd.DataFrame, units: Units) -> None:
    chosen = _two_prints(face, progress)
    if chosen is None:
        st.info("Choose two different prints.")
        return
    before, after = chosen
    ids = int(before.reading_id), int(after.reading_id)
    titles = title_of(before, progress), title_of(after, progress)
    readings = reading_of(record, ids[0]), reading_of(record, ids[1])
    found = cached.comparison_of(record, *ids)
    mode, fates, levelled = _ways_to_look(face, found)
    place = place_for(readings)
    _show_pictures(record, ids, titles, found, place, (mode, fates, levelled))
    _show_changes(readings, titles, found, units)
    _offer_files(record, face, ids, titles, found, place, (fates, levelled))


def title_of(row: Any, progress: pd.DataFrame) -> str:
    """Return what a print is called: pass 7, with its placement where the pass has several."""
    several = (progress["number"] == row.number).sum() > 1
    beside = row.placement or f"print {row.print_id}"
    return f"pass {row.number}, {beside}" if several else f"pass {row.number}"


def _two_prints(face: FaceEntry, progress: pd.DataFrame) -> tuple[Any, Any] | None:
    """The last print and the one before it until others are chosen; the earlier one first."""
    listed: list[Any] = list(progress.itertuples(index=False))
    rows = {int(row.print_id): row for row in listed}
    ids = list(rows)
    # a print kept since begins anew with the last two
    key = f"side-{face.face_id}-{ids[-1]}"
    columns = st.columns(2)
    asked = [
        column.selectbox(
            label, ids, index=len(ids) - 2 + at, key=f"{key}-{at}",
            format_func=lambda print_id: title_of(rows[print_id], progress),
        )
        for at, (column, label) in enumerate(
            zip(columns, ("Earlier print", "Later print"), strict=True)
        )
    ]  # fmt: skip
    if asked[0] == asked[1]:
        return None
    first, second = sorted(asked, key=ids.index)
    return rows[first], rows[second]


def _ways_to_look(face: FaceEntry, found: Comparison) -> tuple[Mode, list[str], bool]:
    key = f"side-{face.face_id}"
    with st.container(horizontal=True, vertical_alignment="bottom"):
        mode = st.segmented_control(
            "Look at them", MODES, default=MODES[0], required=True, key=f"{key}-mode",
            format_func=MODE_NAMES.__getitem__,
        )  # fmt: skip
        fates = st.pills(
            "Marks", list(FATE_MARKS), default=list(FATE_MARKS), selection_mode="multi",
            key=f"{key}-marks", format_func=lambda fate: f"{fate} ({getattr(found, fate)})",
        )  # fmt: skip
        levelled = st.toggle(
            "Level the light", key=f"{key}-level",
            help="Makes bare metal equally bright in both pictures. The readings stay as they are.",
        )  # fmt: skip
    return mode or MODES[0], list(fates), levelled


def _show_pictures(
    record: Record,
    ids: tuple[int, int],
    titles: tuple[str, str],
    found: Comparison,
    place: Place,
    look: tuple[Mode, list[str], bool],
) -> None:
    mode, fates, levelled = look
    sheets = tuple(
        Sheet(
            title=title,
            key=cached.picture_key(record, reading_id, place, moved, levelled),
            jpeg=cached.picture_for(record, reading_id, place, moved, levelled),
            layers=tuple(_layer(found, fate, place) for fate in own),
        )
        for title, reading_id, moved, own in zip(titles, ids, _moved(found), OWN_FATES, strict=True)
    )
    height, width = place.canvas().shape
    legend = [_legend(fate, getattr(found, fate)) for fate in FATE_MARKS]
    compare("side-compare", (sheets[0], sheets[1]), (width, height), mode, fates, legend)


def _moved(found: Comparison) -> tuple[tuple[float, float], tuple[float, float]]:
    return (0.0, 0.0), (found.shift.x_mm, found.shift.y_mm)


def _layer(found: Comparison, fate: str, place: Place) -> dict[str, Any]:
    mark = FATE_MARKS[fate]
    places_px = place.canvas().to_px(places_of(found, fate)).round(1)
    return {
        "key": fate, "colour": hex_of(mark.colour), "shape": mark.shape,
        "radius_px": round(marker_radius_mm(found) * place.px_per_mm, 2),
        "places_px": places_px.ravel().tolist(),
    }  # fmt: skip


def _legend(fate: str, count: int) -> dict[str, str]:
    mark = FATE_MARKS[fate]
    label = f"{fate} ({count})"
    return {"key": fate, "label": label, "colour": hex_of(mark.colour), "shape": mark.shape}


def _show_changes(
    readings: tuple[Reading, Reading], titles: tuple[str, str], found: Comparison, units: Units
) -> None:
    _warn(readings, titles)
    st.markdown(words.points_sentence(found, titles))
    st.markdown(words.contact_sentence(found, units))
    st.markdown(change_table(readings, titles, found, units))
    error_mm = registration_error_mm(*readings)
    for told in (
        words.shift_sentence(found.shift, titles, error_mm, units),
        words.round_sentence(readings),
        words.not_known_sentence(found, titles),
    ):
        if told:
            st.caption(told)


def _warn(readings: tuple[Reading, Reading], titles: tuple[str, str]) -> None:
    blank = [t for reading, t in zip(readings, titles, strict=True) if not reading.is_print]
    merged = [
        f"{t} ({shown.merged_sentence(reading)})"
        for reading, t in zip(readings, titles, strict=True)
        if not reading.count_reliable
    ]
    if blank:
        st.warning(f"No print was found in {' and '.join(blank)}: there is nothing to match.")
    elif merged:
        st.warning(
            f"Points are not to be relied on in {' and in '.join(merged)}: go by the contact that "
            "stayed, went and came."
        )


def change_table(
    readings: tuple[Reading, Reading], titles: tuple[str, str], found: Comparison, units: Units
) -> str:
    """Return contact and points of both prints and their change as a Markdown table."""
    before, after = readings
    level = f"{100 * before.settings.confidence:g} % interval"
    rows: list[tuple[str, ...]] = [
        ("Contact, %", f"{before.contact_percent:.1f}", f"{after.contact_percent:.1f}",
         words.change(found.contact_change, "")),
    ]  # fmt: skip
    name = f"Points/{points_unit(units)}"
    if found.count_reliable:
        told = words.change(words.ppsi_change(found, units), "")
    else:
        told = "unreliable"
    rows.append((name, _count(before, units), _count(after, units), told))
    lines = [f"| {' | '.join(row)} |" for row in rows]
    head = f"| Figure | {titles[0]} | {titles[1]} | Change ({level}) |"
    return "\n".join((head, "|---|---|---|---|", *lines))


def _count(reading: Reading, units: Units) -> str:
    if not reading.count_reliable:
        return "unreliable"
    inch = units == "inch"
    value = reading.points_per_square_inch if inch else reading.points_per_25mm_square
    return f"{value:.1f}"


def _offer_files(
    record: Record,
    face: FaceEntry,
    ids: tuple[int, int],
    titles: tuple[str, str],
    found: Comparison,
    place: Place,
    look: tuple[Sequence[str], bool],
) -> None:
    fates, levelled = look
    stem = file_stem(face, *titles, "compared")
    key = f"side-{face.face_id}-files"

    def picture() -> bytes:
        first, second = (
            cached.pixels_for(record, reading_id, place, moved, levelled)
            for reading_id, moved in zip(ids, _moved(found), strict=True)
        )
        drawn = compared_image((first, second), titles, place, found, tuple(fates))
        held = BytesIO()
        drawn.save(held, "PNG")
        return held.getvalue()

    with st.popover("Download this comparison", icon=ICON):
        offer_file("Both pictures, PNG", picture, f"{stem}.png", "image/png", f"{key}-picture")
        offer_table(found.points, stem, key, "Points, mm")
