"""`scrapeview read --card` and `--tiles`: the photograph gives its own scale, and refusals."""

import numpy as np
import pytest
from typer.testing import CliRunner

from scrapeview.cli import app
from scrapeview.plane.cards import CARDS
from scrapeview.reading_json import from_json
from scrapeview.simulate.carded import render_carded
from scrapeview.simulate.cards import tiles_along

SEED = 5
SIZE_MM = (110.0, 70.0)


def run(*words):
    return CliRunner().invoke(app, ["read", *(str(word) for word in words)])


def read_as_json(*words):
    result = run(*words, "--json", "-")
    assert result.exit_code == 0, result.output
    return from_json(result.stdout)


def pick_text(points):
    return " ".join(f"{float(x)!r},{float(y)!r}" for x, y in points)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("shop")


@pytest.fixture(scope="module")
def carded(folder):
    """A print with the inch card on it, and where it was saved."""
    shot = render_carded("plain", card="inch", card_at_mm=(58.0, 36.0), card_turn_deg=4.0,
                         seed=SEED, size_mm=SIZE_MM, px_per_mm=7.5)  # fmt: skip
    file = folder / "carded.jpg"
    file.write_bytes(shot.jpeg)
    return shot, file


@pytest.fixture(scope="module")
def tiled(folder):
    """A print with small tiles along it, and where it was saved."""
    tiles = tiles_along(SIZE_MM, every_mm=50.0, seed=SEED)
    shot = render_carded("plain", tiles=tiles, seed=SEED, size_mm=SIZE_MM, px_per_mm=7.5)
    file = folder / "tiled.jpg"
    file.write_bytes(shot.jpeg)
    return shot, file


def face_px(shot):
    w, h = SIZE_MM
    return shot.pose.to_px(np.array([[0, 0], [w, 0], [w, h], [0, h]], float))


def scale_line(told):
    return next(line for line in told.splitlines() if line.strip().startswith("scale"))


def test_the_window_is_read_and_the_bar_corrects_its_scale(carded, tmp_path):
    _, file = carded
    found = read_as_json(file, "--card", "inch", "--bar", "150mm")
    assert found.plane.kind == "card"
    assert found.is_print
    assert found.area_mm2 == pytest.approx(25.4**2, rel=0.005)
    longer = run(file, "--card", "auto", "--bar", "5.9646in", "--units", "inch",
                 "--json", tmp_path / "longer.json")  # fmt: skip
    assert longer.exit_code == 0, longer.output
    area_mm2 = from_json((tmp_path / "longer.json").read_text()).area_mm2
    assert area_mm2 / found.area_mm2 == pytest.approx((5.9646 * 25.4 / 150) ** 2, rel=2e-3)
    assert "residual under 0.0004 in; lengths within 0.2 %" in scale_line(longer.stdout)
    assert "not measured" not in longer.stdout


def test_the_residual_is_told_and_that_the_bar_was_not_measured(carded):
    told = run(carded[1], "--card", "auto")
    assert told.exit_code == 0, told.output
    line = scale_line(told.stdout)
    assert "from the card, residual under 0.01 mm; lengths within 2.0 %" in line
    assert "not measured" in told.stdout


def test_an_outline_is_read_on_the_scale_of_the_card_less_what_it_hides(carded):
    shot, file = carded
    found = read_as_json(file, "--card", "auto", "--bar", "150mm",
                         "--outline", pick_text(face_px(shot)))  # fmt: skip
    outer = CARDS["inch"].outer_mm
    hidden = (outer[2] - outer[0]) ** 2 - 25.4**2
    seen = SIZE_MM[0] * SIZE_MM[1] - hidden
    # a little round the card is not trusted either
    assert 0.95 * seen < found.area_mm2 < 1.003 * seen


def test_tiles_give_the_scale_of_a_face_told_by_its_corners_or_its_outline(tiled):
    shot, file = tiled
    corners = pick_text(face_px(shot))
    placed = read_as_json(file, "--tiles", "auto", "--bar", "150mm", "--corners", corners,
                          "--size", "110x70mm")  # fmt: skip
    drawn = read_as_json(file, "--tiles", "small", "--bar", "150mm", "--outline", corners)
    assert placed.plane.kind == drawn.plane.kind == "tiles"
    for found in (placed, drawn):
        assert found.area_mm2 == pytest.approx(SIZE_MM[0] * SIZE_MM[1], rel=0.006)
    assert placed.plane.face_mm[0] == pytest.approx(
        np.array([[0, 0], [110, 0], [110, 70], [0, 70]]), abs=1e-6
    )
    assert placed.points_per_square_inch == pytest.approx(drawn.points_per_square_inch, rel=0.02)


def test_a_size_that_disagrees_with_the_scale_is_refused(tiled):
    shot, file = tiled
    words = ("--tiles", "auto", "--bar", "150mm", "--corners", pick_text(face_px(shot)))
    refused(run(file, *words, "--size", "140x90mm"), "140 x 90 mm")


def refused(result, told):
    assert result.exit_code == 2, result.output
    assert told in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1
    assert result.stdout == ""


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--card", "25mm"), "inch"),
        (("--tiles", "auto", "--outline", "0,0 900,0 900,600"), "tiles"),
        (("--card", "auto", "--tiles", "auto"), "give --card or --tiles"),
        (("--card", "auto", "--rim", "1,1 2,2"), "leave --rim out"),
        (("--card", "auto", "--corners", "1,1 2,1 2,2 1,2"), "--corners needs --size"),
        (("--card", "auto", "--bar", "3000mm"), "cannot be 3000 mm"),
        (("--card", "auto", "--bar", "long"), "is not a length"),
        (("--tiles", "auto"), "--outline"),
        (("--bar", "149mm", "--corners", "1,1 2,1 2,2 1,2", "--size", "9x9mm"), "give --card"),
    ],
)
def test_what_gives_no_scale_is_refused_in_a_sentence(carded, words, told):
    refused(run(carded[1], *words), told)


def test_a_photograph_without_a_card_is_refused(tiled):
    refused(run(tiled[1], "--card", "auto"), "card")
