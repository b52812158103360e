"""How the maps of a long face were joined from photographs: pictures first, tables beside them."""

from typing import Any

import cv2
import numpy as np
import streamlit as st

from scrapeview.charts import long_words as words
from scrapeview.charts.long_joined import joined_strip, photos_shown
from scrapeview.charts.long_picture import LONGEST_PX, data_uri
from scrapeview.charts.long_stretches import Stretch
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import ICON, file_stem, offer_file, offer_table
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.judge_part import part
from scrapeview.dashboard.long_film import print_words
from scrapeview.dashboard.long_part import show_chart
from scrapeview.dashboard.shell import link_to
from scrapeview.face_in_line import LongFace
from scrapeview.plane.joined.joined import Joined, joined_from_dict
from scrapeview.record import FaceEntry, Record

NONE_JOINED = (
    "No print of this face is joined from several photographs. Where one photograph does not hold "
    "the face, lay numbered tiles along it, take photographs that overlap by a third, and give "
    "them all at once on the page New print."
)
NOTE = (
    "Bars: what each photograph shows of the face. Lines across: where one photograph takes over "
    "from another; a point on a seam is counted once. Hatched: what no photograph shows."
)


def show_joined(record: Record, face: FaceEntry, found: LongFace, units: Units) -> None:
    """Let a print be chosen that was joined from photographs, and show how it was."""
    joined = {entry.print_id: entry for entry in record.prints(face.face_id) if entry.joined}
    prints = [one for one in (*found.placed, *found.unplaced) if one.print_id in joined]
    if not prints:
        st.info(NONE_JOINED)
        link_to("New print", face.face_id)
        return
    one = _chosen(face, prints, units)
    entry = joined[one.print_id]
    with part():
        _show_map(record, face, one, entry.photo_sha256s[0], entry.joined or {}, units)


def _chosen(face: FaceEntry, prints: list[Stretch], units: Units) -> Stretch:
    ordered = sorted(prints, key=lambda one: -one.print_id)
    if len(ordered) == 1:
        return ordered[0]
    at = st.selectbox(
        "Print", range(len(ordered)), key=f"long-{face.face_id}-joined",
        format_func=lambda at: print_words(ordered[at], units),
    )  # fmt: skip
    return ordered[at or 0]


def _show_map(
    record: Record, face: FaceEntry, one: Stretch, sha256: str, told: dict[str, Any], units: Units
) -> None:
    picture = record.photo(sha256)
    joined = joined_from_dict(told, picture)
    st.markdown(as_written(words.joined_map_sentence(joined, units)))
    for note in joined.notes:
        st.warning(as_written(note))
    figure = joined_strip(joined, _picture_uri(sha256, joined), units)
    name = f"joined-print-{one.print_id}"
    show_chart(face, name, figure, joined.seams, NOTE)
    st.dataframe(
        photos_shown(joined, units), hide_index=True, width="stretch",
        key=f"long-{face.face_id}-{name}-photos",
    )  # fmt: skip
    stem, key = file_stem(face, name), f"long-{face.face_id}-{name}-files"
    with st.popover("Download the map and its tables", icon=ICON, width="stretch"):
        offer_file("Map, PNG", lambda: picture, f"{stem}.png", "image/png", f"{key}-picture")
        offer_table(joined.photos, f"{stem}-photographs", f"{key}-photos", "Photographs")
        offer_table(joined.gaps, f"{stem}-gaps", f"{key}-gaps", "Gaps")


@st.cache_data(max_entries=12, show_spinner="Drawing the map ...")
def _picture_uri(sha256: str, _joined: Joined) -> str:  # noqa: ARG001 the cache keys on it
    rgb = _joined.rgb
    shrunk = min(1.0, LONGEST_PX / max(rgb.shape))
    size = max(1, round(rgb.shape[1] * shrunk)), max(1, round(rgb.shape[0] * shrunk))
    small = cv2.resize(rgb, size, interpolation=cv2.INTER_AREA)
    return data_uri(np.asarray(small, np.uint8))
