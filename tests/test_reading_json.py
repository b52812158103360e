"""A reading survives JSON without loss, and damaged text is refused in a plain sentence."""

import dataclasses
import json

import numpy as np
import pytest
from exactly import assert_same
from hypothesis import given, settings
from hypothesis import strategies as st

from scrapeview.errors import ReadingError
from scrapeview.reading_json import FORMAT, from_json, to_json
from scrapeview.result import Reading

SEED = 2


@pytest.fixture(scope="module")
def plain(reading):
    return reading("plain", SEED)


@pytest.fixture(scope="module")
def text(plain):
    return to_json(plain)


def strictly(text):
    def refuse(constant):
        raise AssertionError(f"{constant} is not JSON")

    return json.loads(text, parse_constant=refuse)


@pytest.mark.parametrize("scene", ["plain", "blank", "glare", "rails", "merged", "disc"])
def test_a_reading_comes_back_the_same(scene, reading):
    before = reading(scene, SEED)
    text = to_json(before)
    after = from_json(text)
    for field in dataclasses.fields(Reading):
        assert_same(getattr(before, field.name), getattr(after, field.name))
    assert to_json(after) == text
    strictly(text)


def test_a_blank_print_keeps_its_empty_tables_typed(reading):
    after = from_json(to_json(reading("blank", SEED)))
    assert not after.is_print
    assert len(after.points) == 0
    assert after.points["x_mm"].dtype == np.float64
    assert after.points["hollow"].dtype == bool
    assert after.points["region"].dtype == np.int16


@settings(max_examples=40)
@given(
    st.floats(), st.floats(), st.floats(width=32), st.booleans(), st.text(max_size=20),
    st.lists(st.tuples(st.floats(), st.integers(-(2**15), 2**15 - 1)), max_size=4),
    st.tuples(st.integers(1, 9), st.integers(1, 9)), st.randoms(use_true_random=False),
)  # fmt: skip
def test_any_figures_survive(plain, contact, x, share, is_print, words, rows, shape, random):
    points = plain.points.iloc[: len(rows)].copy()
    points["x_mm"] = np.array([value for value, _ in rows], dtype=np.float64)
    points["region"] = np.array([number for _, number in rows], dtype=np.int16)
    mask = np.array([[random.random() < 0.5 for _ in range(shape[1])] for _ in range(shape[0])])
    before = dataclasses.replace(
        plain, contact_percent=contact, origin_mm=(x, float(np.float32(share))), reason=words,
        is_print=is_print, points=points.reset_index(drop=True), contact_mask=mask,
        worst_square=None, photo_notes=(words, ""), taken_at=None,
    )  # fmt: skip
    text = to_json(before)
    after = from_json(text)
    strictly(text)
    assert to_json(after) == text
    for field in dataclasses.fields(Reading):
        assert_same(getattr(before, field.name), getattr(after, field.name))


def test_what_follows_from_the_fields_is_told_too(plain, text):
    derived = json.loads(text)["derived"]
    assert derived["point_count"] == len(plain.points)
    assert derived["count_reliable"] is plain.count_reliable
    assert derived["points_per_25mm_square"] == plain.points_per_25mm_square


def refused(text):
    with pytest.raises(ReadingError) as caught:
        from_json(text)
    message = str(caught.value)
    assert message.endswith(".")
    assert "\n" not in message
    return message


def changed(text, **values):
    return json.dumps(json.loads(text) | values)


@pytest.mark.parametrize("share", [0, 0.1, 0.5, 0.99])
def test_cut_text_is_refused(text, share):
    assert "damaged" in refused(text[: int(len(text) * share)])


@pytest.mark.parametrize(
    "bad", ["null", "[]", "7", '"text"', "{}", '{"kind": "other"}', "[" * 100_000, "\x00", "NaN"]
)
def test_other_text_is_refused(bad):
    refused(bad)


def test_formats(text):
    assert "newer" in refused(changed(text, format=FORMAT + 1))
    assert "newer" in refused(changed(text, format=10**400))
    for bad in (0, -1, True, "1", None, 1.0):
        refused(changed(text, format=bad))


def test_a_missing_field_is_named(text):
    stored = json.loads(text)
    del stored["contact_percent"]
    assert "contact_percent" in refused(json.dumps(stored))


@pytest.mark.parametrize(
    ("field", "value"), [("px_per_mm", 0), ("px_per_mm", -2.5), ("regions_mm", [])]
)
def test_a_reading_without_scale_or_face_is_refused(field, value, text):
    assert field in refused(changed(text, **{field: value}))


WRONG = (None, True, 3, -1, 2.5, "text", [], {}, [[]], [None], {"low": "x", "high": 1}, 10**400)


@pytest.mark.parametrize("field", [f.name for f in dataclasses.fields(Reading)])
def test_wrong_types_are_refused_or_harmless(field, text):
    """Whatever stands in a field, it is refused in words, or it was of the right type."""
    for wrong in WRONG:
        again, told = tried(changed(text, **{field: wrong}))
        if again is None:
            assert field in told
        else:
            assert json.loads(to_json(again))[field] == pytest.approx(wrong)


def tried(text):
    try:
        return from_json(text), ""
    except ReadingError as error:
        return None, str(error)


@pytest.mark.parametrize(
    ("field", "column", "wrong"),
    [("points", "x_mm", "far"), ("points", "hollow", 1), ("points", "region", 40_000),
     ("points", "region", 1.5), ("points", "mark", True), ("cells", "points", None),
     ("sizes", "to_mm", "Infinity")],
)  # fmt: skip
def test_wrong_cells_of_tables_are_refused(field, column, wrong, text):
    stored = json.loads(text)
    stored[field][column][0] = wrong
    assert field in refused(json.dumps(stored))


def test_columns_of_unequal_length_are_refused(text):
    stored = json.loads(text)
    stored["points"]["y_mm"].pop()
    assert "points" in refused(json.dumps(stored))


@pytest.mark.parametrize(
    "wrong",
    [{"shape": [3, 4]}, {"shape": [-3, -4]}, {"shape": [10**6, 10**6]}, {"shape": [2]},
     {"packed_bits_zlib_base64": ""}, {"packed_bits_zlib_base64": "no base 64"},
     {"packed_bits_zlib_base64": "AAAA"}, {"packed_bits_zlib_base64": 4}, {"more": 1}],
)  # fmt: skip
def test_a_damaged_mask_is_refused(wrong, text):
    mask = json.loads(text)["contact_mask"] | wrong
    assert "contact_mask" in refused(changed(text, contact_mask=mask))


def test_numbers_too_large_for_a_float_are_refused(text):
    assert "damaged" in refused(text.replace('"px_per_mm": ', '"px_per_mm": 1e999', 1))


def test_a_table_with_other_columns_is_not_written(plain):
    other = dataclasses.replace(plain, points=plain.points.drop(columns="mark"))
    with pytest.raises(ReadingError, match="points"):
        to_json(other)
