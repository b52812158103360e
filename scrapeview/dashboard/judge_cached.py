"""What judging takes long to make, kept by what it is made from and nothing else.

Readings are never overwritten, so that a number stands for what it gives for good.
"""

import json

import pandas as pd
import streamlit as st

from scrapeview.dashboard.cached import reading_of
from scrapeview.dashboard.side_cached import washed_out_for
from scrapeview.face_verdict import face_verdict
from scrapeview.judge.forecast.forecast import Forecast, forecast
from scrapeview.judge.shape import Shape, shape_of
from scrapeview.judge.verdict.criteria import Verdict
from scrapeview.judge.verdict.method import METHOD
from scrapeview.record import Record
from scrapeview.targets import Target

FEW, MANY = 12, 120


def verdict_of(record: Record, face_id: int) -> Verdict:
    """Return the verdict on a face, judged anew where anything it rests on has changed.

    Raises
    ------
    RecordError, ReadingError
    """
    rests_on = f"{record.judged_from(face_id)}:{METHOD}"
    return _verdict(record.place, face_id, rests_on, record)


@st.cache_data(max_entries=MANY, show_spinner="Judging the face ...")
def _verdict(place: str, face_id: int, rests_on: str, _record: Record) -> Verdict:  # noqa: ARG001
    return face_verdict(_record, face_id)


def shape_for(record: Record, reading_id: int) -> Shape:
    """Return what a reading says of the shape of its face.

    Raises
    ------
    RecordError, ReadingError
    """
    return _shape(record.place, reading_id, METHOD, record)


@st.cache_data(max_entries=FEW, show_spinner=False)
def _shape(place: str, reading_id: int, method: int, _record: Record) -> Shape:  # noqa: ARG001
    return shape_of(reading_of(_record, reading_id), washed_out=washed_out_for(_record, reading_id))


def forecast_of(progress: pd.DataFrame, target: Target) -> Forecast:
    """Return the forecast of a face, made once for the same passes and target."""
    return _forecast(
        progress.to_json(double_precision=15), target_key(target), METHOD, progress, target
    )


@st.cache_data(max_entries=MANY, show_spinner=False)
def _forecast(
    passes: str,  # noqa: ARG001 the cache keys on it
    asked: str,  # noqa: ARG001
    method: int,  # noqa: ARG001
    _progress: pd.DataFrame,
    _target: Target,
) -> Forecast:
    return forecast(_progress, _target)


def target_key(target: Target) -> str:
    """Return what stands for a target and nothing else."""
    return json.dumps(target.as_dict(), sort_keys=True)
