"""The verdicts on the faces of the shop: beside their figures, counted, and to filter by."""

from collections.abc import Callable, Mapping

import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from scrapeview.dashboard.shell import plainly
from scrapeview.dashboard.standing import NO_PRINT, NO_TARGET, SIGNS
from scrapeview.dashboard.steps import steps_on
from scrapeview.face_verdict import shop_verdicts
from scrapeview.record import FaceEntry, Record
from scrapeview.record.entries import KeptVerdict

_CHOICE = "shop_verdict"


def with_verdicts(
    table: pd.DataFrame, faces: Mapping[int, FaceEntry], verdicts: Mapping[int, KeptVerdict]
) -> pd.DataFrame:
    """Return the table of faces with how each stands, as `verdict` and `verdict_reason`."""
    stands = [
        _stands(int(face_id), bool(passes), faces, verdicts)
        for face_id, passes in zip(table["face_id"], table["passes"], strict=True)
    ]
    return table.assign(
        verdict=pd.Series([each for each, _ in stands], table.index, dtype=object),
        verdict_reason=pd.Series([reason for _, reason in stands], table.index, dtype=object),
    )


def _stands(
    face_id: int,
    is_printed: bool,
    faces: Mapping[int, FaceEntry],
    verdicts: Mapping[int, KeptVerdict],
) -> tuple[str, str]:
    if not is_printed:
        return NO_PRINT, ""
    if face_id in faces and not faces[face_id].plan.target.asks:
        return NO_TARGET, "Choose a target, so that the face can be judged."
    if face_id in verdicts:
        return verdicts[face_id].outcome, verdicts[face_id].reason
    return "", ""


def judge_others(record: Record, known: int, place: DeltaGenerator) -> None:
    """Judge the faces whose verdict no longer holds, with a bar, and show the page anew.

    Called after all else, so that nobody waits for the cards; what is pressed meanwhile breaks it
    off, and the next run goes on with what is left.

    Parameters
    ----------
    record : Record
    known : int
        Faces whose verdict still holds.
    place : DeltaGenerator
        Where the bar stands.
    """
    with plainly():
        if len(shop_verdicts(record, _judging_on(place))) > known:
            st.rerun()
    place.empty()


def _judging_on(place: DeltaGenerator) -> Callable[[int, int, str], None]:
    show = steps_on(place)
    return lambda done, of, title: show(done, of, f"Judging face {done + 1} of {of}: {title}")


def choose_verdict(table: pd.DataFrame) -> str:
    """Show how many faces stand how, and return the one that is chosen, "" for all."""
    counts = table["verdict"].value_counts()
    found = [stands for stands in SIGNS if counts.get(stands, 0)]
    if not found:
        return ""
    if st.session_state.get(_CHOICE) not in found:
        # what was chosen has gone since
        st.session_state[_CHOICE] = None
    return (
        st.pills(
            "Verdicts", found, key=_CHOICE, persist_state="session",
            format_func=lambda stands: f"{SIGNS[stands]} {counts[stands]} {stands}",
            help="Choose one to see only these faces; choose it again to see all.",
        )
        or ""
    )  # fmt: skip
