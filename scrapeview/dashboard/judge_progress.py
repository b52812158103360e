"""Where a face is heading: passes and hours still needed, and whether it has stopped gaining."""

import pandas as pd
import streamlit as st

from scrapeview.charts import forecast_words as words
from scrapeview.charts.chart_style import chart_config
from scrapeview.charts.forecast_charts import forecast_chart, forecast_data
from scrapeview.charts.shown import Units
from scrapeview.dashboard.face_downloads import file_stem, offer_figure
from scrapeview.dashboard.face_standing import as_written
from scrapeview.dashboard.judge_cached import forecast_of
from scrapeview.dashboard.shell import link_to
from scrapeview.judge.forecast.forecast import Forecast
from scrapeview.judge.forecast.stall import stall_of
from scrapeview.judge.verdict.criteria import Verdict
from scrapeview.record import FaceEntry

NOT_FORECAST = (
    "The face is not done all the same: what the verdict above hangs on is no matter of a forecast."
)


def show_progress(face: FaceEntry, progress: pd.DataFrame, verdict: Verdict, units: Units) -> None:
    """Show the forecast of a face and warn where it has stalled."""
    st.subheader("Passes and hours still needed", anchor=False)
    found = forecast_of(progress, face.plan.target)
    stalled = words.stall_sentence(stall_of(progress, face.plan.target))
    if stalled:
        st.warning(as_written(stalled), icon=":material/warning:")
    for sentence in _sentences(found, verdict, units):
        st.markdown(as_written(sentence))
    if found.state == "there" and verdict.outcome != "done":
        st.info(NOT_FORECAST)
    if found.state == "nothing asked":
        link_to("Shop")
    _show_chart(face, progress, found, units)


def _sentences(found: Forecast, verdict: Verdict, units: Units) -> list[str]:
    if verdict.outcome == "done":
        # what a next pass would leave asks for none
        return [words.forecast_sentence(found, units)]
    told = [
        words.forecast_sentence(found, units),
        words.hours_sentence(found),
        *(words.limit_sentence(found.of(which), units) for which in ("points", "contact")),
    ]
    return [sentence for sentence in told if sentence]


def _show_chart(face: FaceEntry, progress: pd.DataFrame, found: Forecast, units: Units) -> None:
    figure = forecast_chart(progress, found, units)
    stem, key = file_stem(face, "forecast"), f"judge-{face.face_id}-forecast"
    st.plotly_chart(figure, theme=None, config=chart_config(stem), key=key, width="stretch")
    st.caption(
        f"Dots: prints. Curve and band: where the face itself is heading, with its "
        f"{100 * found.confidence:.0f} % interval. {words.SCOPE}"
    )
    offer_figure(figure, forecast_data(found, units), stem, key)
