"""The verdict in one big line: what it is, why, for which pass, how sure, and what to do."""

import html

import streamlit as st

from scrapeview.charts import verdict_words as words
from scrapeview.charts.chart_style import GREY
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_standing import BREAK, as_written
from scrapeview.dashboard.judge_eye_agreement import eye_line
from scrapeview.dashboard.judge_look import COLOURS, banner
from scrapeview.dashboard.standing import NO_TARGET, verdict_word
from scrapeview.judge.verdict.criteria import Verdict
from scrapeview.record import FaceEntry, Record


def show_headline(face: FaceEntry, verdict: Verdict, units: Units) -> None:
    """Show the verdict of a face above all else, or that no target is set."""
    sentence = html.escape(words.verdict_sentence(verdict, units))
    if face.plan.target.asks:
        st.html(banner(verdict_word(verdict.outcome), COLOURS[verdict.outcome], sentence))
    else:
        st.html(banner(verdict_word(NO_TARGET), GREY, sentence))


def show_basis(record: Record, face: FaceEntry, verdict: Verdict, units: Units) -> None:
    """Say what was judged and how sure that is, and how eye and program agree."""
    by_eye = eye_line(record.eye_counts(face.face_id), units)
    st.caption(BREAK.join(filter(None, (basis_line(face, verdict), as_written(by_eye)))))


def basis_line(face: FaceEntry, verdict: Verdict) -> str:
    """Return which pass was judged, against which target, and at which risk."""
    beside = (
        f", compared with pass {verdict.compared_with}"
        if verdict.compared_with not in (None, verdict.pass_number)
        else ""
    )
    judged = f"Judged: pass {verdict.pass_number}{beside}."
    if not face.plan.target.asks:
        return f"{judged} No target is set."
    return (
        f"{judged} Target: {as_written(face.plan.target.name)}. "
        f"Where this says done, the risk that the face is not is {100 * verdict.risk:g} % at most."
    )


def show_advice(verdict: Verdict, units: Units) -> None:
    """List what to do next."""
    told = words.advice(verdict, units)
    if told:
        st.markdown("**What to do**")
        st.markdown("\n".join(f"- {as_written(line)}" for line in told))
