"""Sheets at 1:1: what is drawn lies where the face has it, to a tenth of a millimetre."""

import dataclasses

import numpy as np
import pypdfium2
import pytest
from known_sheets import KINDS, advice_for, box, circles, face_of, read_back

from scrapeview.errors import ReadingError, SettingsError
from scrapeview.sheet import PAPERS, caption_of, layout_for, map_sheets
from scrapeview.sheet.frame import CROSS_MM, corner_mm
from scrapeview.sheet.layout import OVERLAP_MM

FACE = box(0, 0, 640, 330)
ACROSS_MM = 5.0
RING_MM = ACROSS_MM / 2 + 0.45
TITLE = "Mill (invented), table: top way"
SIZES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}


@pytest.fixture(scope="module")
def places():
    rng = np.random.default_rng(4)
    return np.column_stack((rng.uniform(0, 640, 150), rng.uniform(0, 330, 150)))


@pytest.fixture(scope="module", params=sorted(SIZES))
def printed_sheets(request, base, places):
    """Layout and pages of a face of several sheets."""
    reading = face_of(base, FACE)
    units = "metric" if request.param == "a4" else "inch"
    pdf = map_sheets(
        reading, advice_for(places, ACROSS_MM), title=TITLE, paper=request.param, units=units
    )
    layout = layout_for(reading.regions_mm, PAPERS[request.param])
    return request.param, layout, read_back(pdf)


def longest_run(row):
    """How many pixels in a row are dark without a gap."""
    ends = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(int), [0]))))
    return max(ends[1::2] - ends[::2], default=0)


def on_face(page_mm, tile):
    return page_mm - corner_mm() + np.array([tile.x_mm, tile.y_mm])


def test_pages_have_the_paper_s_size(printed_sheets):
    paper, layout, pages = printed_sheets
    assert len(pages) == len(layout.tiles) > 4
    for page in pages:
        assert sorted(page.size_mm) == pytest.approx(SIZES[paper], abs=0.01)
        assert page.size_mm[0] == pytest.approx(layout.paper.width_mm, abs=0.01)


def test_every_mark_is_where_the_face_has_it(printed_sheets, places):
    _, layout, pages = printed_sheets
    seen = np.zeros(len(places), dtype=int)
    for tile, page in zip(layout.tiles, pages, strict=True):
        found = on_face(circles(page, RING_MM), tile)
        apart = np.linalg.norm(found[:, None] - places[None], axis=2)
        assert apart.min(axis=1).max() < 0.1
        inside = (places >= (tile.x_mm, tile.y_mm)).all(axis=1)
        inside &= (places <= (tile.x_mm + tile.width_mm, tile.y_mm + tile.height_mm)).all(axis=1)
        assert (apart.min(axis=0)[inside] < 0.1).all()
        seen += inside
    assert (seen >= 1).all()
    assert (seen > 1).any()


def test_the_outline_is_as_large_as_the_face(printed_sheets):
    _, layout, pages = printed_sheets
    for tile, page in zip(layout.tiles, pages, strict=True):
        outlines = [
            on_face(path, tile) for path in page.paths
            if np.allclose(np.ptp(path, axis=0), (640, 330), atol=0.1)
        ]  # fmt: skip
        assert len(outlines) == 1
        assert outlines[0].min(axis=0) == pytest.approx([0, 0], abs=0.1)


def test_crosses_of_neighbouring_sheets_coincide(printed_sheets):
    _, layout, pages = printed_sheets
    crosses = {
        (tile.row, tile.column): on_face(circles(page, CROSS_MM / 2.5), tile)
        for tile, page in zip(layout.tiles, pages, strict=True)
    }
    tiles = {(tile.row, tile.column): tile for tile in layout.tiles}
    pairs = 0
    for (row, column), own in crosses.items():
        for beside in ((row, column + 1), (row + 1, column)):
            if beside not in crosses:
                continue
            apart = np.linalg.norm(own[:, None] - crosses[beside][None], axis=2)
            shared = own[apart.min(axis=1) < 0.02]
            other = tiles[beside]
            inner = np.array([other.x_mm, other.y_mm]) + OVERLAP_MM / 2
            axis = 0 if beside[0] == row else 1
            on_strip = shared[np.abs(shared[:, axis] - inner[axis]) < 0.02]
            assert len(on_strip) >= 2
            pairs += 1
    assert pairs >= 4


def test_the_bar_is_exactly_as_long_as_it_says(printed_sheets):
    paper, _, pages = printed_sheets
    length = 100.0 if paper == "a4" else 101.6
    for page in pages:
        foot = [p for p in page.paths if len(p) == 2 and (p[:, 1] > page.size_mm[1] - 30).all()]
        level = [np.ptp(p[:, 0]) for p in foot if np.ptp(p[:, 1]) < 1e-3]
        assert max(level) == pytest.approx(length, abs=0.005)
        assert ("100 mm long" if paper == "a4" else "4 in long") in page.text
        assert "100 %" in page.text
        assert "fit to page" in page.text


def test_every_sheet_says_what_it_is_and_where_it_belongs(printed_sheets):
    _, layout, pages = printed_sheets
    names = {tile.name for tile in layout.tiles}
    for tile, page in zip(layout.tiles, pages, strict=True):
        assert TITLE in page.text
        assert f"sheet {tile.name}, one of {len(names)}" in page.text
        assert "up is the top of the face" in page.text
    assert "A2 >" in pages[0].text
    assert "below: B1" in pages[0].text


def test_the_bar_and_a_ring_are_seen_where_they_are_drawn(base):
    """Rendered pixels, not what the file says of itself."""
    reading = face_of(base, box(0, 0, 120, 80))
    pdf = map_sheets(reading, advice_for([(60, 40)], ACROSS_MM, later=0), title=TITLE)
    tile = layout_for(reading.regions_mm, PAPERS["a4"]).tiles[0]
    px_per_mm = 8.0
    with pypdfium2.PdfDocument(pdf) as document:
        grey = document[0].render(scale=px_per_mm * 25.4 / 72).to_numpy().mean(axis=2)
    dark = grey < 90
    rows = dark[-round(30 * px_per_mm) :]
    longest = max(longest_run(row) for row in rows)
    assert longest / px_per_mm == pytest.approx(100, abs=0.3)
    x, y = (np.array([60, 40]) - (tile.x_mm, tile.y_mm) + corner_mm()) * px_per_mm
    reach = round(4.5 * px_per_mm)
    near = dark[round(y) - reach : round(y) + reach, round(x) - reach : round(x) - 0]
    _, columns = np.nonzero(near)
    left = columns.min() + round(x) - reach
    assert (x - left) / px_per_mm == pytest.approx(RING_MM + 0.45, abs=0.25)


def test_each_kind_has_a_shape_of_its_own_and_its_name(base):
    places = np.array([(20.0 * k, 30.0) for k in range(1, 7)])
    advice = advice_for(places, ACROSS_MM, why=[*KINDS, "large"], later=1)
    page = read_back(map_sheets(face_of(base, box(0, 0, 180, 60)), advice, title=TITLE))[0]
    told = (
        "hollow: first (1)", "patch: break it up (1)", "large (1)", "crowded place (1)",
        "largest of the rest (1)", "for the pass after (1)", "hatched: leave alone",
    )  # fmt: skip
    for words in told:
        assert words in page.text
    assert len(circles(page, RING_MM)) == 1
    tile = layout_for([box(0, 0, 180, 60)], PAPERS["a4"]).tiles[0]
    shapes = set()
    for place in places:
        at = place - (tile.x_mm, tile.y_mm) + corner_mm()
        here = [p for p in page.paths if np.abs((p.min(0) + p.max(0)) / 2 - at).max() < 1.5]
        own = [p for p in here if np.ptp(p, axis=0).max() < 12]
        shapes.add((len(own[0]), *np.round(np.ptp(own[0], axis=0), 2)))
    assert len(shapes) == 6


def test_a_face_that_is_done_says_so_and_marks_nothing(base, halted):
    page = read_back(map_sheets(face_of(base, box(0, 0, 110, 70)), halted, title=TITLE))[0]
    assert "0 points to take" in page.text
    assert "hatched" not in page.text
    assert "crosses" not in page.text


def test_the_photograph_lies_beneath_where_it_is_asked_for(base, printed):
    advice = advice_for([(30, 30)], 4.0)
    photo = printed("plain", 2).jpeg
    plain = map_sheets(base, advice, title=TITLE)
    over = map_sheets(base, advice, title=TITLE, photo=photo)
    assert [page.pictures for page in read_back(plain)] == [0]
    assert [page.pictures for page in read_back(over)] == [1]
    with pytest.raises(ReadingError, match="not the photograph"):
        map_sheets(base, advice, title=TITLE, photo=printed("red", 2).jpeg)


def test_the_same_map_is_the_same_file_to_the_byte(base, printed):
    advice = advice_for([(30, 30), (50, 20)], 4.0)
    asked = {"title": TITLE, "told": caption_of(3, "left", "2026-05-07T10:00"), "paper": "letter"}
    photo = printed("plain", 2).jpeg
    one, two = (map_sheets(base, advice, photo=photo, **asked) for _ in range(2))
    assert one == two
    assert "pass 3, left, 2026-05-07" in read_back(one)[0].text


def test_rails_round_faces_and_openings_are_drawn(base):
    turn = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    disc = np.column_stack((np.cos(turn), np.sin(turn))) * 40 + (60, 50)
    reading = face_of(base, disc, box(120, 5, 30, 90), openings_mm=[box(130, 20, 8, 40)])
    page = read_back(map_sheets(reading, advice_for([(60, 50)], 4.0), title=TITLE))[0]
    spans = [np.round(np.ptp(path, axis=0), 1).tolist() for path in page.paths]
    assert [8.0, 40.0] in spans
    assert any(len(path) >= 94 for path in page.paths)


@pytest.mark.parametrize("title", ["", "Łoże  Größe\n№ 7 – станина 床" * 4, "x" * 400])
def test_any_title_fits_on_the_sheet(base, title):
    page = read_back(map_sheets(base, advice_for([(30, 30)], 4.0), title=title))[0]
    assert "one sheet" in page.text


def test_paper_that_is_not_known_is_refused(base):
    with pytest.raises(SettingsError, match="a4 or letter"):
        map_sheets(base, advice_for([(30, 30)], 4.0), title=TITLE, paper="a9")


def test_patches_to_break_up_are_outlined(reading):
    from scrapeview.judge.next.next_pass import next_pass
    from scrapeview.targets import Target

    merged = reading("merged", 2)
    advice = next_pass(merged, Target(name="t", ppsi_least=20))
    assert (advice.to_take["why"] == "merged").any()
    nothing = dataclasses.replace(advice, points=advice.points.assign(what="leave", rank=0))
    more, fewer = (read_back(map_sheets(merged, a, title=TITLE))[0] for a in (advice, nothing))
    assert len(more.paths) > len(fewer.paths)
