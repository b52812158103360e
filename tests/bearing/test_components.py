"""Labels and sums against scipy's and scikit-image's."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from scipy import ndimage
from skimage.measure import label as skimage_label

from scrapeview.bearing.components import BARE, MARKS, count_by_label, label

masks = hnp.arrays(bool, st.tuples(st.integers(3, 12), st.integers(13, 19)))


@given(masks)
def test_marks_hold_together_over_corners(mask):
    labels, areas = label(mask, MARKS)
    reference, count = ndimage.label(mask, np.ones((3, 3)))
    assert len(areas) == count + 1
    assert areas[1:].sum() == mask.sum()
    pairs = np.unique(np.stack([labels[mask], reference[mask]]), axis=1)
    assert pairs.shape[1] == count
    assert not labels[~mask].any()


@given(masks)
def test_bare_metal_holds_together_over_edges_only(mask):
    _, areas = label(mask, BARE)
    reference = skimage_label(mask, connectivity=1)
    assert sorted(areas[1:]) == sorted(np.bincount(reference[mask])[1:])


def test_a_diagonal_is_one_mark_and_three_pieces_of_metal():
    mask = np.eye(3, 4, dtype=bool)
    assert len(label(mask, MARKS)[1]) - 1 == 1
    assert len(label(mask, BARE)[1]) - 1 == 3


@given(hnp.arrays(np.int32, (7, 11), elements=st.integers(0, 5)))
def test_counts_by_label_are_scipys_sums(labels):
    counted = count_by_label(labels, 6)
    expected = ndimage.sum_labels(np.ones(labels.shape), labels, np.arange(7))
    assert counted.tolist() == expected.tolist()


def test_no_label_is_missing_where_nothing_is_marked():
    labels, areas = label(np.zeros((4, 9), bool), MARKS)
    assert not labels.any()
    assert areas.tolist() == [36]
    assert count_by_label(labels, 2).tolist() == [36, 0, 0]
    assert areas.sum() == pytest.approx(labels.size)
