"""The lens bends as Brown's radial model does in OpenCV, and unbends what it bent."""

import cv2
import numpy as np
import pytest

from scrapeview.plane.joined.solved import Lens, SolvedPhotos

SIZE_PX = (1601, 1200)
FOCAL_PX = 1300.0
STRAIGHT = Lens()
LENSES = (Lens(-0.05, 0.0), Lens(0.05, 0.0), Lens(-0.03, 0.02), Lens(0.04, -0.01))


def everywhere():
    x, y = np.meshgrid(np.linspace(0, SIZE_PX[0] - 1, 9), np.linspace(0, SIZE_PX[1] - 1, 7))
    return np.column_stack((x.ravel(), y.ravel()))


def opencv_camera(lens):
    """The same lens for OpenCV, whose radius counts in focal lengths."""
    width, height = SIZE_PX
    matrix = np.array([[FOCAL_PX, 0, (width - 1) / 2], [0, FOCAL_PX, (height - 1) / 2], [0, 0, 1]])
    share = 2 * FOCAL_PX / np.hypot(*SIZE_PX)
    return matrix, np.array([lens.k1 * share**2, lens.k2 * share**4, 0, 0, 0])


@pytest.mark.parametrize("lens", LENSES)
def test_it_bends_as_opencv_projects(lens):
    matrix, distortion = opencv_camera(lens)
    rays = np.column_stack((everywhere(), np.ones(63))) @ np.linalg.inv(matrix).T
    expected = cv2.projectPoints(
        rays.reshape(-1, 1, 3), np.zeros(3), np.zeros(3), matrix, distortion
    )
    bent = lens.distorted(everywhere(), SIZE_PX)
    np.testing.assert_allclose(bent, expected[0].reshape(-1, 2), atol=1e-6)
    assert np.abs(bent - everywhere()).max() > 5


@pytest.mark.parametrize("lens", LENSES)
def test_it_unbends_as_opencv_does(lens):
    matrix, distortion = opencv_camera(lens)
    straight = cv2.undistortPoints(
        everywhere().reshape(-1, 1, 2), matrix, distortion, P=matrix,
        criteria=(cv2.TERM_CRITERIA_COUNT, 60, 0),
    )  # fmt: skip
    np.testing.assert_allclose(
        lens.undistorted(everywhere(), SIZE_PX), straight.reshape(-1, 2), atol=0.01
    )


@pytest.mark.parametrize("lens", LENSES)
def test_unbending_undoes_bending(lens):
    bent = lens.distorted(everywhere(), SIZE_PX)
    np.testing.assert_allclose(lens.undistorted(bent, SIZE_PX), everywhere(), atol=0.01)


def test_the_middle_stays_and_turning_the_photo_turns_what_the_lens_does():
    lens, (width, height) = Lens(-0.05, 0.01), SIZE_PX
    middle = (np.array(SIZE_PX) - 1) / 2
    np.testing.assert_allclose(lens.distorted(middle, SIZE_PX)[0], middle)
    turned = np.column_stack((height - 1 - everywhere()[:, 1], everywhere()[:, 0]))
    x, y = lens.distorted(everywhere(), SIZE_PX).T
    expected = np.column_stack((height - 1 - y, x))
    np.testing.assert_allclose(lens.distorted(turned, (height, width)), expected)


def test_each_photograph_is_seen_through_its_own_lens():
    view = np.diag([5.0, 5.0, 1.0])
    solved = SolvedPhotos(
        (view, view), (SIZE_PX, SIZE_PX), lenses=(STRAIGHT, LENSES[0]), tiles_mm={}
    )
    place = np.array([[20.0, 30.0]])
    straight, bent = solved.to_px(0, place), solved.to_px(1, place)
    np.testing.assert_allclose(straight, 5 * place)
    np.testing.assert_allclose(bent, LENSES[0].distorted(5 * place, SIZE_PX))
    np.testing.assert_allclose(solved.to_mm(1, bent), place, atol=1e-3)
