"""Where cards and tiles may lie: labels inside the paper, slots inside labels and off the edge."""

import numpy as np
import pytest

from scrapeview.errors import SettingsError
from scrapeview.plane.cards import BAR_MM
from scrapeview.sheet.card_paper import (
    CLEAR_MM,
    KNOWN_LABELS,
    NOT_PRINTED_MM,
    labels_on,
    places,
    printable,
    slots,
    strips,
)
from scrapeview.sheet.layout import PAPERS

KNOWN = [(paper, labels) for paper, each in KNOWN_LABELS.items() for labels in each]


@pytest.mark.parametrize(("name", "labels"), KNOWN)
@pytest.mark.parametrize("correction", [0.9, 1.0, 1.12])
def test_slots_lie_in_labels_in_what_prints_and_off_the_bar(name, labels, correction):
    paper = PAPERS[name]
    found, boxes = slots(paper, labels, correction), np.array(labels.boxes())
    head, foot = strips(paper, correction)
    drawn_in = printable(paper, correction)
    assert len(found) == len(set(found)) > 0
    for x0, y0, x1, y1 in found:
        inside = (boxes[:, :2] <= np.array([x0, y0]) - CLEAR_MM + 1e-9).all(axis=1)
        inside &= (boxes[:, 2:] >= np.array([x1, y1]) + CLEAR_MM - 1e-9).all(axis=1)
        assert inside.sum() == 1
        assert head[3] <= y0 < y1 <= foot[1]
        assert drawn_in[0] <= x0 < x1 <= drawn_in[2]


@pytest.mark.parametrize("paper", PAPERS.values(), ids=lambda paper: paper.name)
@pytest.mark.parametrize("correction", [0.8, 1.0, 1.07, 1.25])
def test_the_bar_fits_however_the_printer_scales(paper, correction):
    for strip in strips(paper, correction):
        assert strip[2] - strip[0] >= BAR_MM
        for factor in (1.0, correction):
            middle = paper.width_mm / 2
            assert middle + factor * (strip[0] - middle) >= NOT_PRINTED_MM - 1e-6
            assert middle + factor * (strip[2] - middle) <= paper.width_mm - NOT_PRINTED_MM + 1e-6


def test_labels_of_a_common_size_need_nothing_more():
    assert labels_on(PAPERS["a4"], (63.5, 38.1)) is KNOWN_LABELS["a4"][0]
    assert labels_on(PAPERS["letter"], (2.625 * 25.4, 25.4)) is KNOWN_LABELS["letter"][0]
    for name, labels in KNOWN:
        assert labels_on(PAPERS[name], (labels.width_mm, labels.height_mm)) is labels
        low, high = np.array(labels.boxes())[[0, -1]]
        middle = (low[:2] + high[2:]) / 2
        paper = PAPERS[name]
        assert middle == pytest.approx([paper.width_mm / 2, paper.height_mm / 2], abs=0.1)


def test_labels_are_centred_unless_their_margins_are_given():
    labels = labels_on(PAPERS["a4"], (50, 30), rows=6, columns=3, across_mm=5, down_mm=2)
    boxes = np.array(labels.boxes())
    assert len(boxes) == 18
    assert boxes[0, 0] == pytest.approx(210 - boxes[-1, 2])
    assert boxes[0, 1] == pytest.approx(297 - boxes[-1, 3])
    assert boxes[1, 0] - boxes[0, 2] == pytest.approx(5)
    assert boxes[3, 1] - boxes[0, 3] == pytest.approx(2)
    placed = labels_on(PAPERS["a4"], (50, 30), rows=6, columns=3, left_mm=11, top_mm=13)
    assert placed.boxes()[0][:2] == (11, 13)


@pytest.mark.parametrize(
    ("size_mm", "asked", "told"),
    [
        ((50.0, 30.0), {}, "need their rows and columns"),
        ((0.1, 0.1), {"rows": 2970, "columns": 2100}, "10 mm wide and high"),
        ((50.0, 30.0), {"rows": 4}, "needs their rows and columns"),
        ((50.0, 30.0), {"rows": 0, "columns": 3}, "both 1 or more"),
        ((80.0, 30.0), {"rows": 4, "columns": 3}, "210 mm wide"),
        ((50.0, 60.0), {"rows": 5, "columns": 3}, "297 mm high"),
        ((50.0, 30.0), {"rows": 4, "columns": 3, "left_mm": 70.0}, "210 mm wide"),
    ],
)
def test_labels_that_the_paper_does_not_hold_are_refused(size_mm, asked, told):
    with pytest.raises(SettingsError, match=told):
        labels_on(PAPERS["a4"], size_mm, **asked)


def test_a_slot_is_filled_from_its_middle_with_whole_squares():
    found = np.array(places((10.0, 20.0, 72.3, 61.0), 20.0))
    assert len(found) == 6
    assert found.min(axis=0) == pytest.approx([11.15, 20.5], abs=0.03)
    assert found.max(axis=0) + 20 == pytest.approx([71.15, 60.5], abs=0.03)
    assert places((0.0, 0.0, 60.0, 19.9), 20.0) == ()
    assert len(places((0.0, 0.0, 60.0, 20.0), 20.0)) == 3
    assert len(places((0.0, 0.0, 60.0, 20.0), 20.0, gap_mm=5.0)) == 2
