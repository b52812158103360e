"""A face scraped pass by pass evolves as scraping does.

Progress as a textbook of mechanical engineering (archive) has it: patches grow more numerous,
smaller, more evenly dispersed; colour thick early and thin late (Whitworth, 1840).
"""

import itertools

import cv2
import numpy as np
import pytest
from scipy.stats import spearmanr

from scrapeview.simulate import FaceShape, PrintScene, printed_layer, render, scrape_series
from scrapeview.simulate.series import PASSES, patch_areas_mm2, to_be_scraped

FACE = FaceShape(size_mm=(95.0, 64.0), border_mm=0.0)
COUNTED_MM2 = 0.5


def figures(taken):
    """Points per square inch, mean area, and spread of contact between 16 mm cells over mean."""
    areas = patch_areas_mm2(taken)
    areas = areas[areas >= COUNTED_MM2]
    metal_mm2 = taken.face.metal.sum() / taken.face.grid.px_per_mm**2
    inside = taken.contact[6:-6, 6:-6].astype(np.float32)
    cells = cv2.resize(inside, (6, 4), interpolation=cv2.INTER_AREA)
    return len(areas) / metal_mm2 * 645.16, areas.mean(), cells.std() / cells.mean()


@pytest.fixture(scope="module", params=[1, 2, 3])
def series(request):
    return list(scrape_series(FACE, seed=request.param))


def test_points_grow_more_numerous_smaller_and_more_even(series):
    ppsi, area, unevenness = np.array([figures(taken) for taken in series]).T
    order = np.arange(len(series))
    assert spearmanr(order, ppsi).statistic > 0.95
    assert spearmanr(order, area).statistic < -0.95
    assert spearmanr(order, unevenness).statistic < -0.7
    assert ppsi[-1] > 5 * ppsi[0]
    assert area[-1] < area[0] / 5
    assert unevenness[-1] < unevenness[0] / 2


def test_marks_stand_apart_at_the_end(series):
    def share_in_large(taken):
        areas = patch_areas_mm2(taken)
        return areas[areas > 25].sum() / areas.sum()

    assert share_in_large(series[0]) > 0.8
    assert share_in_large(series[-1]) < 0.4


def test_metal_only_goes_down(series):
    for before, after in itertools.pairwise(series):
        assert (after.face.height_um <= before.face.height_um + 1e-9).all()


def test_film_goes_thin():
    films = [now.film_um for now in PASSES]
    assert films == sorted(films, reverse=True)


def test_small_sound_points_are_left_alone(series):
    taken = series[-1]
    marks = to_be_scraped(taken, 12.0)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(
        taken.contact.astype(np.uint8), connectivity=8
    )
    small = (stats[:, cv2.CC_STAT_AREA] <= 12 * 16)[labels] & taken.contact
    gentle = taken.gap_um > -0.1 * taken.film_um
    assert not marks[small & gentle].any()
    assert marks[taken.contact & ~small].all()


def test_openings_never_bear():
    shape = FaceShape(size_mm=(70.0, 50.0), border_mm=0.0, holes=((0.5, 0.5, 8.0),))
    taken = next(iter(scrape_series(shape, seed=4)))
    rows, columns = np.indices(taken.contact.shape)
    middle = taken.face.grid.to_px(np.array([35.0, 25.0]))
    hole = np.hypot(columns - middle[0], rows - middle[1]) < 7.5 * taken.face.grid.px_per_mm
    assert not taken.contact[hole].any()


def test_a_printed_face_keeps_its_contact_in_the_photograph(series):
    taken = series[5]
    scene = PrintScene(seed=3).with_(shape={"size_mm": FACE.size_mm, "border_mm": 0.0})
    shot = render(scene, lay=printed_layer(taken))
    pressed = 100 * taken.contact.sum() / taken.face.metal.sum()
    # the height map's pixels are 0.25 mm, the photograph's texture is finer
    assert shot.truth.contact_percent == pytest.approx(pressed, abs=0.6)
    assert not shot.truth.countable


def test_same_seed_same_face():
    first, again = (next(iter(scrape_series(FACE, seed=9))) for _ in range(2))
    np.testing.assert_array_equal(first.gap_um, again.gap_um)
    other = next(iter(scrape_series(FACE, seed=10)))
    assert not np.array_equal(first.gap_um, other.gap_um)
