"""White and grey patches of a card: exposure and the colour of the light."""

import pytest

from scrapeview.photo.patches import PATCH_CODES, Patches, PatchSeen, patch_checks


def seen(white=(225, 225, 225), grey=(170, 170, 170), *, right=1.0, clipped=0.0):
    """Eight patches; those on the right have `right` times the values of the others."""
    made = []
    for i in range(8):
        kind, values = ("grey", grey) if i % 2 else ("white", white)
        times = right if i >= 4 else 1.0
        made.append(
            PatchSeen(kind, 100.0 if i < 4 else 500.0, 50.0 * i, *(v * times for v in values),
                      clipped if kind == "white" else 0.0)
        )  # fmt: skip
    return Patches(tuple(made))


def by_code(patches):
    return {check.code: check for check in patch_checks(patches)}


def test_a_well_lit_card_has_nothing_to_say():
    checks = patch_checks(seen())
    assert [check.code for check in checks] == [code.code for code in PATCH_CODES]
    assert {check.severity for check in checks} == {"ok"}


@pytest.mark.parametrize("nothing", [None, Patches((), 8)])
def test_no_patches_tell_nothing(nothing):
    assert patch_checks(nothing) == ()


def test_each_fault_is_told_by_its_own_check():
    assert by_code(seen(clipped=30.0))["card_clipped"].severity == "warn"
    assert by_code(seen((110,) * 3, (80,) * 3))["card_dark"].severity == "warn"
    assert by_code(seen((60,) * 3, (45,) * 3))["card_dark"].severity == "bad"
    cast = by_code(seen((240, 210, 170), (180, 158, 128)))["colour_cast"]
    assert cast.severity == "bad"
    assert "more red than blue" in cast.sentence
    assert "one kind of light" in cast.sentence
    uneven = by_code(seen(right=0.7))["card_uneven"]
    assert uneven.severity == "warn"
    assert uneven.sentence.startswith("The card's left side gets 2.2 times")


def test_two_kinds_of_light_differ_over_the_card():
    warm = seen((230, 220, 205), (172, 165, 154)).seen[:4]
    cool = seen((205, 220, 230), (154, 165, 172)).seen[4:]
    mixed = by_code(Patches((*warm, *cool)))["mixed_light"]
    assert mixed.severity == "bad"
    assert mixed.figure > 40


def test_only_grey_still_tells_the_cast():
    grey = Patches(tuple(p for p in seen(grey=(170, 150, 120)).seen if p.kind == "grey"), 4)
    assert "card_clipped" not in by_code(grey)
    assert by_code(grey)["colour_cast"].severity == "bad"
