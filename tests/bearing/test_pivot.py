"""Where a part turns when pushed at one end: closed forms, symmetries, and how sure it is."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from scrapeview.bearing import pivot_of
from scrapeview.errors import ReadingError, SettingsError

EVEN = 1 - 1 / np.sqrt(2)
NARROW = (8, 1200)


def bearing_on(chosen, shape=NARROW):
    """Contact where a condition on the place along the length, -1 to 1 from the middle, holds."""
    along = (np.arange(shape[1]) + 0.5) / shape[1] * 2 - 1
    return np.broadcast_to(chosen(along), shape).copy()


def strewn(seed, share, *, shape=(160, 400), spot_px=6):
    """Contact decided by one coin a square of so many pixels, more likely where share says."""
    rows, columns = (n // spot_px for n in shape)
    along = (np.arange(columns) + 0.5) / columns * 2 - 1
    coins = np.random.default_rng(seed).random((rows, columns))
    return np.kron(coins < share(along), np.ones((spot_px, spot_px), bool))


def test_a_narrow_part_that_bears_evenly():
    # 1 - 1 / sqrt(2) = 0.292893 L from the far end (derived; practice says "about 30 %")
    whole = np.ones(NARROW, bool)
    found = pivot_of(whole, whole, 4.0, pushed="left")
    assert found.share == pytest.approx(0.292893, abs=1e-3)
    assert found.even_share == found.share
    assert found.shape == "even"


@pytest.mark.parametrize(
    ("ratio", "expected"), [(0.1, 0.2903), (0.25, 0.2799), (0.5, 0.2507), (1.0, 0.1617)]
)
@pytest.mark.parametrize("pushed", ["right", "top"])
def test_a_wider_part_turns_nearer_its_end(ratio, expected, pushed):
    # width / length 0.1 / 0.25 / 0.5 / 1 (derived)
    lying = np.ones((round(600 * ratio), 600), bool)
    whole = lying if pushed == "right" else lying.T
    assert pivot_of(whole, whole, 3.0, pushed=pushed).share == pytest.approx(expected, abs=5e-4)


@pytest.mark.parametrize(("fraction", "expected"), [(0.75, 0.375), (0.5, 0.441)])
def test_bearing_only_in_the_middle_is_convex(fraction, expected):
    # 1 - sqrt(1 + c^2) / 2 (derived)
    contact = bearing_on(lambda along: abs(along) < fraction)
    found = pivot_of(contact, np.ones_like(contact), 4.0, pushed="left")
    assert found.share == pytest.approx(1 - np.sqrt(1 + fraction**2) / 2, abs=1e-3)
    assert found.share == pytest.approx(expected, abs=2e-3)
    assert found.shape == "convex"
    assert found.even_share == pytest.approx(EVEN, abs=1e-3)


@pytest.mark.parametrize(("fraction", "expected"), [(0.2, 0.2254), (0.4, 0.1633), (0.5, 0.1340)])
def test_bearing_only_at_the_ends_is_hollow(fraction, expected):
    # 1 - sqrt((1 + r) / 2) (derived)
    contact = bearing_on(lambda along: abs(along) > fraction)
    found = pivot_of(contact, np.ones_like(contact), 4.0, pushed="right")
    assert found.share == pytest.approx(1 - np.sqrt((1 + fraction) / 2), abs=1e-3)
    assert found.share == pytest.approx(expected, abs=2e-3)
    assert found.shape == "hollow"


def test_a_part_bearing_at_one_end_turns_in_there():
    contact = bearing_on(lambda along: along < -0.5)
    left, right = (
        pivot_of(contact, np.ones_like(contact), 4.0, pushed=end) for end in ("left", "right")
    )
    # distances from the push: c^2 = (0.25^2) / 2, and c^2 = (1 + 0.75^2) / 2
    assert 1 - left.share == pytest.approx(0.25 / np.sqrt(2), abs=1e-3)
    assert 1 - right.share == pytest.approx(np.sqrt((1 + 0.75**2) / 2), abs=1e-3)
    assert (left.shape, right.shape) == ("convex", "hollow")


def test_the_motion_that_wastes_least_leaves_no_force_along_and_no_moment():
    contact = strewn(3, lambda along: 0.3 + 0.2 * along)
    known = np.ones_like(contact)
    found = pivot_of(contact, known, 2.0, pushed="left")
    rows, columns = np.nonzero(contact)
    length = contact.shape[1]
    from_push = (columns + 0.5) / length
    across = (rows + 0.5 - contact.shape[0] / 2) / length
    centre = 1 - found.share

    def left_over(sideways):
        distance = np.hypot(from_push - centre, across - sideways)
        along = (across - sideways) / distance
        moment = ((from_push - centre) * from_push + (across - sideways) * across) / distance
        return along.sum() / len(along), moment.sum() / len(along)

    # the centre's place across the part is not told; it lies where no force along is left
    sideways = np.linspace(-0.05, 0.05, 201)
    balance = np.array([left_over(s) for s in sideways])
    at = np.abs(balance[:, 0]).argmin()
    assert abs(balance[at, 0]) < 5e-3
    assert abs(balance[at, 1]) < 2e-3


@hypothesis_settings(max_examples=6)
@given(st.integers(0, 999), st.floats(-0.2, 0.2))
def test_turning_or_mirroring_the_print_turns_the_ends_with_it(seed, lean):
    contact = strewn(seed, lambda along: 0.35 + lean * along, shape=(120, 360))
    known = np.ones_like(contact)
    known[:50, 100:180] = False
    there = pivot_of(contact, known, 2.0, pushed="left")
    mirrored = pivot_of(contact[:, ::-1], known[:, ::-1], 2.0, pushed="right")
    assert mirrored.share == there.share
    assert mirrored.interval == there.interval
    flipped = pivot_of(contact[::-1], known[::-1], 2.0, pushed="left")
    assert flipped.share == pytest.approx(there.share, abs=2e-3)
    turned = pivot_of(contact.T, known.T, 2.0, pushed="top")
    assert turned.share == there.share
    assert (turned.even_share, turned.shape) == (there.even_share, there.shape)


@hypothesis_settings(max_examples=4)
@given(st.integers(0, 999), st.sampled_from([0.5, 3.0]))
def test_a_part_twice_the_size_turns_at_the_same_share(seed, times):
    contact = strewn(seed, lambda along: 0.5 - 0.3 * along**2, shape=(120, 360))
    known = np.ones_like(contact)
    found, other = (pivot_of(contact, known, scale, pushed="left") for scale in (2.0, 2.0 * times))
    assert other.share == found.share
    assert other.even_share == found.even_share


def test_finer_pixels_move_nothing():
    contact = strewn(8, lambda along: 0.5 - 0.3 * along**2, shape=(120, 360))
    finer = np.kron(contact, np.ones((3, 3), bool))
    found = pivot_of(contact, np.ones_like(contact), 2.0, pushed="left")
    fine = pivot_of(finer, np.ones_like(finer), 6.0, pushed="left")
    assert fine.share == pytest.approx(found.share, abs=1e-3)
    assert fine.interval.low == pytest.approx(found.interval.low, abs=5e-3)


def test_room_around_the_face_and_openings_in_it_do_not_count():
    contact = strewn(4, lambda along: 0.4 + 0 * along)
    known = np.ones_like(contact)
    known[60:100, 150:260] = False
    inside = pivot_of(contact, known, 2.0, pushed="left")
    wide = [np.pad(mask, ((30, 7), (11, 80))) for mask in (contact, known)]
    assert pivot_of(*wide, 2.0, pushed="left") == inside
    # an opening in the middle leaves more bearing at the ends, also for an even face
    assert inside.even_share < pivot_of(contact, np.ones_like(known), 2.0, pushed="left").even_share


def test_the_push_is_at_the_end_of_the_outline_also_where_that_is_not_known():
    contact = strewn(5, lambda along: 0.4 + 0 * along)
    face = np.ones_like(contact)
    known = face.copy()
    known[:, 300:] = False
    shorter = pivot_of(contact, known, 2.0, pushed="left")
    washed_out = pivot_of(contact, known, 2.0, pushed="left", face=face)
    assert shorter.share == pytest.approx(0.23, abs=0.04)
    # the same place, from an end that lies a quarter farther
    assert 1 - washed_out.share == pytest.approx((1 - shorter.share) * 300 / 396, abs=2e-3)


@pytest.mark.parametrize("share", [0.15, 0.4])
def test_the_interval_is_as_wide_as_prints_scatter(share):
    found = [
        pivot_of(mask, np.ones_like(mask), 2.0, pushed="left")
        for mask in (strewn(seed, lambda along: share + 0 * along) for seed in range(28))
    ]
    scatter = 1.96 * np.std([pivot.share for pivot in found])
    half_widths = [(pivot.interval.high - pivot.interval.low) / 2 for pivot in found]
    assert np.mean(half_widths) == pytest.approx(scatter, rel=0.3)
    # 28 prints of an even face: 26.6 are even on average, fewer than 23 in one of 100
    assert sum(pivot.shape == "even" for pivot in found) >= 23


def test_contact_that_grows_to_the_middle_is_told_from_contact_that_grows_to_the_ends():
    for seed in range(3):
        middle = strewn(seed, lambda along: 0.5 - 0.35 * along**2)
        ends = strewn(seed, lambda along: 0.15 + 0.35 * along**2)
        known = np.ones_like(middle)
        for end in ("left", "right"):
            assert pivot_of(middle, known, 2.0, pushed=end).shape == "convex"
            assert pivot_of(ends, known, 2.0, pushed=end).shape == "hollow"


def test_the_same_print_gives_the_same_interval():
    contact = strewn(9, lambda along: 0.4 + 0 * along)
    known = np.ones_like(contact)
    first, again = (pivot_of(contact, known, 2.0, pushed="left") for _ in range(2))
    assert first == again
    assert first.interval.low < first.share < first.interval.high


def test_without_contact_there_is_nothing_to_turn_on():
    contact = np.zeros((40, 90), bool)
    known = np.ones_like(contact)
    with pytest.raises(ReadingError, match="no contact"):
        pivot_of(contact, known, 2.0, pushed="left")
    # contact where nothing is known is none either
    with pytest.raises(ReadingError, match="no contact"):
        pivot_of(known, contact, 2.0, pushed="left")


def test_masks_that_do_not_fit_are_refused():
    mask = np.ones((40, 90), bool)
    with pytest.raises(SettingsError, match="same size"):
        pivot_of(mask, mask[1:], 2.0, pushed="left")
    with pytest.raises(SettingsError, match="scale"):
        pivot_of(mask, mask, 0.0, pushed="left")


@pytest.mark.parametrize("spot", [(0, 0), (7, 150), (39, 299)])
def test_a_single_mark_is_where_it_turns(spot):
    contact = np.zeros((40, 300), bool)
    contact[spot] = True
    found = pivot_of(contact, np.ones_like(contact), 2.0, pushed="right")
    # its distance from the far end is that of the one square that bears, 3 px wide
    assert found.share == pytest.approx((spot[1] + 0.5) / 300, abs=0.02)
