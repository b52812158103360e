"""Planes from the rim of a round face: the circle comes back from its ellipse."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scrapeview.errors import PlaneError
from scrapeview.plane import Plane
from scrapeview.plane.polygons import polygon_area

PROFILE = settings(deadline=None, derandomize=True, max_examples=60)
DIAMETER_MM = 100.0
CENTRE_MM = np.array([50.0, 50.0])


def rim_mm(angles_deg: np.ndarray) -> np.ndarray:
    angle = np.radians(angles_deg)
    return CENTRE_MM + DIAMETER_MM / 2 * np.column_stack((np.cos(angle), np.sin(angle)))


def project(homography: np.ndarray, xy: np.ndarray) -> np.ndarray:
    mapped = np.column_stack((xy, np.ones(len(xy)))) @ homography.T
    return mapped[:, :2] / mapped[:, 2:]


def upright_view(
    stretch: tuple[float, float], toward_deg: float, lean: tuple[float, float]
) -> np.ndarray:
    """Return a homography, mm to px, whose Jacobian at the disc's centre is a pure stretch."""
    toward = math.radians(toward_deg)
    axes = np.array([[math.cos(toward), -math.sin(toward)], [math.sin(toward), math.cos(toward)]])
    pull = axes @ np.diag(stretch) @ axes.T
    place = np.array([812.0, 617.0])
    view = np.eye(3)
    # with u = mm - centre: px = (pull u + place (1 + lean.u)) / (1 + lean.u)
    view[:2, :2] = pull + np.outer(place, lean)
    view[:2, 2] = place
    view[2, :2] = lean
    to_centre = np.eye(3)
    to_centre[:2, 2] = -CENTRE_MM
    return view @ to_centre


affine_views = st.builds(
    upright_view,
    stretch=st.tuples(st.floats(4, 12), st.floats(5, 12)),
    toward_deg=st.floats(0, 180),
    lean=st.just((0.0, 0.0)),
)
perspective_views = st.builds(
    upright_view,
    stretch=st.tuples(st.floats(4, 12), st.floats(5, 12)),
    toward_deg=st.floats(0, 180),
    lean=st.tuples(st.floats(-2e-3, 2e-3), st.floats(-2e-3, 2e-3)),
)
rim_angles = st.tuples(st.integers(5, 24), st.floats(0, 360), st.integers(0, 2**32 - 1)).map(
    lambda drawn: (
        drawn[1]
        + (np.arange(drawn[0]) + np.random.default_rng(drawn[2]).uniform(-0.3, 0.3, drawn[0]))
        * (360 / drawn[0])
    )
)
disc_points = np.array([[50, 50], [20, 40], [77, 61], [50, 5], [3, 50]], dtype=float)


@PROFILE
@given(view=affine_views, angles=rim_angles)
def test_a_view_from_afar_is_recovered(view: np.ndarray, angles: np.ndarray) -> None:
    plane = Plane.from_circle(project(view, rim_mm(angles)), DIAMETER_MM)
    np.testing.assert_allclose(plane.to_px(disc_points), project(view, disc_points), atol=1e-4)
    assert plane.residual_mm < 1e-5


@PROFILE
@given(view=perspective_views, angles=rim_angles)
def test_rim_and_centre_together_recover_the_perspective(
    view: np.ndarray, angles: np.ndarray
) -> None:
    centre = project(view, CENTRE_MM[None])[0]
    plane = Plane.from_circle(project(view, rim_mm(angles)), DIAMETER_MM, centre_px=centre)
    np.testing.assert_allclose(plane.to_px(disc_points), project(view, disc_points), atol=1e-3)
    np.testing.assert_allclose(plane.to_mm(project(view, disc_points)), disc_points, atol=1e-4)
    assert plane.residual_mm < 1e-4


@PROFILE
@given(view=perspective_views, angles=rim_angles)
def test_the_rim_is_a_circle_again_even_without_the_centre(
    view: np.ndarray, angles: np.ndarray
) -> None:
    plane = Plane.from_circle(project(view, rim_mm(angles)), DIAMETER_MM)
    other_rim = plane.to_mm(project(view, rim_mm(np.arange(0.0, 360, 7))))
    radii = np.linalg.norm(other_rim - CENTRE_MM, axis=1)
    np.testing.assert_allclose(radii, DIAMETER_MM / 2, atol=1e-3)


@pytest.mark.parametrize("with_centre", [False, True])
def test_the_photos_up_stays_up(with_centre: bool) -> None:
    view = upright_view((6, 9), 25, (1e-3, -5e-4))
    centre = project(view, CENTRE_MM[None])[0] if with_centre else None
    plane = Plane.from_circle(project(view, rim_mm(np.arange(0.0, 360, 30))), DIAMETER_MM, centre)
    step = 1e-4
    across = (plane.to_px(CENTRE_MM[None] + [step, 0]) - plane.to_px(CENTRE_MM[None]))[0] / step
    down = (plane.to_px(CENTRE_MM[None] + [0, step]) - plane.to_px(CENTRE_MM[None]))[0] / step
    # a stretch without a turn is symmetric and positive
    assert across[1] == pytest.approx(down[0], abs=1e-3)
    assert across[0] > 0
    assert down[1] > 0


def test_a_centre_where_the_ellipse_has_its_own_changes_nothing() -> None:
    view = upright_view((6, 9), 25, (0, 0))
    rim = project(view, rim_mm(np.arange(0.0, 360, 40)))
    plain = Plane.from_circle(rim, DIAMETER_MM)
    picked = Plane.from_circle(rim, DIAMETER_MM, centre_px=project(view, CENTRE_MM[None])[0])
    np.testing.assert_allclose(picked.to_px(disc_points), plain.to_px(disc_points), atol=1e-4)


@pytest.mark.parametrize("tilt", [0.0, 20.0, 52.0])
def test_tilt_comes_from_the_ellipses_axes(tilt: float) -> None:
    view = upright_view((8 * math.cos(math.radians(tilt)), 8), 70, (0, 0))
    plane = Plane.from_circle(project(view, rim_mm(np.arange(0.0, 360, 45))), DIAMETER_MM)
    assert plane.tilt_deg == pytest.approx(tilt, abs=0.05)


def test_the_outline_is_the_disc_in_its_bounding_square() -> None:
    view = upright_view((7, 8), 10, (0, 0))
    plane = Plane.from_circle(project(view, rim_mm(np.arange(0.0, 360, 30))), DIAMETER_MM)
    outline = plane.outline_mm()
    assert outline is not None
    assert polygon_area(outline[0]) == pytest.approx(math.pi * 50**2, rel=1e-12)
    np.testing.assert_allclose(outline[0].min(axis=0), [0, 0], atol=0.02)
    np.testing.assert_allclose(outline[0].max(axis=0), [100, 100], atol=0.02)
    assert plane.kind == "circle"


def test_hand_picks_are_averaged_and_their_scatter_reported() -> None:
    # picks off by sigma px: the residual of N picks under 5 fitted figures is, in the mean,
    # sigma sqrt((N - 5) / N) across the rim, and the disc is found better than any one pick
    rng = np.random.default_rng(8)
    view = upright_view((6.5, 8), 35, (0, 0))
    angles = np.arange(0, 360, 15.0)
    residuals, area_errors = [], []
    for _ in range(60):
        rim = project(view, rim_mm(angles)) + rng.normal(0, 2.0, (len(angles), 2))
        plane = Plane.from_circle(rim, DIAMETER_MM)
        residuals.append(plane.residual_mm)
        jacobian = np.linalg.det(plane.mm_to_px[:2, :2])
        area_errors.append(jacobian / (6.5 * 8) - 1)
    across_px = 2.0 * math.sqrt((24 - 5) / 24)
    assert np.mean(residuals) == pytest.approx(across_px / 7.2, rel=0.12)
    assert abs(np.mean(area_errors)) < 2e-3
    assert np.std(area_errors) < 6e-3


# --- picks that are refused -----------------------------------------------------------------


@pytest.mark.parametrize("count", [0, 3, 4])
def test_fewer_than_five_picks_are_refused(count: int) -> None:
    rim = rim_mm(np.arange(count) * 70.0).reshape(-1, 2)
    with pytest.raises(PlaneError, match=f"At least five different picks.*{count} given"):
        Plane.from_circle(rim, DIAMETER_MM)


def test_the_same_pick_twice_counts_once() -> None:
    rim = rim_mm(np.array([0.0, 80, 160, 240, 240, 240]))
    with pytest.raises(PlaneError, match="4 given"):
        Plane.from_circle(rim, DIAMETER_MM)


def test_picks_in_a_line_are_refused() -> None:
    x = np.linspace(0, 900, 7)
    with pytest.raises(PlaneError, match="in one line"):
        Plane.from_circle(np.column_stack((x, 0.3 * x + 2)), DIAMETER_MM)


def test_a_short_arc_is_refused() -> None:
    rim = 8 * rim_mm(np.linspace(20, 110, 9))
    with pytest.raises(PlaneError, match="270 degrees of the rim without a pick"):
        Plane.from_circle(rim, DIAMETER_MM)


def test_half_a_rim_is_enough() -> None:
    plane = Plane.from_circle(8 * rim_mm(np.linspace(0, 180, 9)), DIAMETER_MM)
    np.testing.assert_allclose(plane.to_px(disc_points), 8 * disc_points, atol=1e-3)


@pytest.mark.parametrize(
    "picks",
    [
        # a hyperbola, both branches
        [(x, 300 * math.sqrt(1 + (x / 200) ** 2) * s) for x in (-300, 0, 300) for s in (-1, 1)],
        # a square's corners and middles of its sides, pulled in
        [(0, 0), (400, 150), (800, 0), (650, 400), (800, 800), (400, 650), (0, 800), (150, 400)],
        # one pick gone astray
        [*(8 * rim_mm(np.arange(0.0, 360, 60))), (1500, 100)],
    ],
    ids=["hyperbola", "star", "stray"],
)
def test_picks_that_lie_on_no_ellipse_are_refused(picks: list[tuple[float, float]]) -> None:
    with pytest.raises(PlaneError, match=r"do not lie on an ellipse|too flat|without a pick"):
        Plane.from_circle(picks, DIAMETER_MM)


def test_a_very_flat_ellipse_is_refused() -> None:
    rim = rim_mm(np.arange(0.0, 360, 30)) * [8, 1.2]
    with pytest.raises(PlaneError, match="too flat for a face worth reading"):
        Plane.from_circle(rim, DIAMETER_MM)


def test_a_centre_far_from_the_middle_is_refused() -> None:
    rim = 8 * rim_mm(np.arange(0.0, 360, 30))
    with pytest.raises(PlaneError, match="too far from the middle of its rim"):
        Plane.from_circle(rim, DIAMETER_MM, centre_px=(700, 400))
    with pytest.raises(PlaneError, match="not finite"):
        Plane.from_circle(rim, DIAMETER_MM, centre_px=(math.nan, 400))


@pytest.mark.parametrize("diameter", [0, -3, math.nan])
def test_a_diameter_must_be_above_zero(diameter: float) -> None:
    with pytest.raises(PlaneError, match="diameter must be above zero"):
        Plane.from_circle(8 * rim_mm(np.arange(0.0, 360, 30)), diameter)


def test_a_diameter_is_a_number() -> None:
    with pytest.raises(PlaneError, match="must be a number of mm"):
        Plane.from_circle(8 * rim_mm(np.arange(0.0, 360, 30)), None)  # type: ignore[arg-type]
