"""A map of several photographs: laid where it belongs, each spot from its best view, all told."""

import json
from dataclasses import replace

import cv2
import numpy as np
import pytest
from joined_faces import STRIP_MM, outline, strip

from scrapeview.errors import ReadingError
from scrapeview.joining import map_from
from scrapeview.photo import load_photo
from scrapeview.plane import Plane
from scrapeview.plane.joined.best_view import Candidate, best_labels, candidate
from scrapeview.plane.joined.gaps import gaps_table, hidden_by_gaps, hidden_by_tiles
from scrapeview.plane.joined.joined import joined_from_dict
from scrapeview.plane.joined.map_grid import MapGrid, grid_for, reduction_for
from scrapeview.plane.joined.seam_cut import border_between, bordering, cut_seams
from scrapeview.plane.joined.seams import seams_table
from scrapeview.plane.joined.solved import Lens, SolvedPhotos
from scrapeview.plane.joined.upright import upright
from scrapeview.plane.joined.warped import Warped, warp_photo
from scrapeview.plane.polygons import crosses_itself, polygon_mask
from scrapeview.plane.projective import apply_homography

SIZE_PX = (460, 350)
GREY = np.full((*SIZE_PX[::-1], 3), 120, np.uint8)
TILTED = np.array([[7.2, 0.5, -20.0], [-0.4, 6.6, 10.0], [3e-4, -1e-3, 1.0]])
GRID = MapGrid(5.0, (0.0, 0.0), (640, 384), 4)


def solved_one(homography=TILTED, lens=Lens(0.06, -0.02)):  # noqa: B008 a frozen record
    return SolvedPhotos((homography,), (SIZE_PX,), lens)


def pattern(places_mm):
    """A smooth picture of the plane, grey levels."""
    x, y = np.moveaxis(places_mm, -1, 0)
    return 128 + 55 * np.sin(x / 2.1) * np.cos(y / 1.7) + 30 * np.sin((x + y) / 5)


def pictured(solved):
    """What a perfect camera sees of the pattern."""
    x, y = np.meshgrid(np.arange(SIZE_PX[0]), np.arange(SIZE_PX[1]))
    places = solved.to_mm(0, np.column_stack((x.ravel(), y.ravel())))
    grey = pattern(places).reshape(SIZE_PX[::-1])
    return np.repeat(np.clip(np.rint(grey), 0, 255).astype(np.uint8)[..., None], 3, axis=2)


@pytest.mark.parametrize("lens", [Lens(), Lens(0.06, -0.02), Lens(-0.08, 0.03)])
def test_a_photograph_is_laid_where_its_homography_and_lens_say(lens):
    solved = solved_one(lens=lens)
    grid = grid_for(solved, 5.0)
    laid = warp_photo(load_photo(pictured(solved)), 0, solved, grid)
    y, x = np.nonzero(cv2.erode(laid.valid.view(np.uint8), np.ones((9, 9))))
    expected = pattern(grid.to_mm(np.column_stack((x + laid.column, y + laid.row))))
    found = laid.rgb[y, x, 1].astype(float)
    assert laid.valid.mean() > 0.5
    # a slip of a tenth of a mm would change levels by up to 3.5
    assert np.abs(found - expected).mean() < 1.2
    assert abs(np.mean(found - expected)) < 0.2


def test_nothing_is_shown_behind_the_horizon_or_where_the_lens_folds():
    steep = np.array([[6.0, 0.0, 230.0], [0.0, 2.0, 125.0], [0.0, -6e-3, 1.0]])
    solved = solved_one(steep, Lens())
    grid = grid_for(solved, 5.0)
    laid = warp_photo(load_photo(GREY), 0, solved, grid)
    rows = grid.to_mm(np.column_stack((np.zeros(grid.size_px[1]), np.arange(grid.size_px[1]))))
    horizon_mm = 1 / 6e-3
    assert rows[np.flatnonzero(laid.valid.any(axis=1)) + laid.row, 1].max() < horizon_mm / 2
    folding = solved_one(np.array([[6.0, 0, 60], [0, 6.0, 50], [0, 0, 1.0]]), Lens(-0.5, 0.0))
    wide = MapGrid(5.0, (-100.0, -100.0), (1280, 1280), 4)
    shown = warp_photo(load_photo(GREY), 0, folding, wide)
    places = wide.to_mm(np.argwhere(shown.valid)[:, ::-1] + (shown.column, shown.row))
    ideal = apply_homography(folding.mm_to_px[0], places)
    reach = np.linalg.norm(ideal - (np.array(SIZE_PX) - 1) / 2, axis=1).max()
    assert reach < np.hypot(*SIZE_PX) / 2 / np.sqrt(3 * 0.5) + 8


def test_a_map_is_no_finer_than_photographs_are_and_each_is_opened_just_large_enough():
    fine, coarse = (np.diag([scale, scale, 1.0]) for scale in (13.0, 4.0))
    solved = SolvedPhotos((fine, coarse), (SIZE_PX, SIZE_PX))
    assert grid_for(SolvedPhotos((fine,) * 2, (SIZE_PX,) * 2), 5.0).px_per_mm == 5.0
    assert grid_for(SolvedPhotos((coarse,) * 2, (SIZE_PX,) * 2), 5.0).px_per_mm == pytest.approx(4)
    assert [reduction_for(solved, n, 5.0) for n in (0, 1)] == [2, 1]


def printed(rng):
    """Dark marks on metal, and where they are, the size of the grid."""
    width, height = GRID.size_px
    blobs = cv2.GaussianBlur(rng.normal(size=(height, width)), (0, 0), 6)
    marked = blobs > np.quantile(blobs, 0.75)
    grey = cv2.GaussianBlur(np.where(marked, 60.0, 170.0), (0, 0), 0.8)
    grey += rng.normal(0, 2, grey.shape)
    return np.repeat(np.clip(grey, 0, 255).astype(np.uint8)[..., None], 3, axis=2), marked


def whole(rgb, scale=7.0, middle=(0.5, 0.5)):
    """A photograph that shows all of the grid, its own middle at a share of it."""
    width, height = GRID.size_px
    down, across = np.mgrid[0 : height // 32, 0 : width // 32].astype(np.float32)
    off = np.hypot((across * 32 / width - middle[0]) * 2, (down * 32 / height - middle[1]) * 2)
    held = np.full(down.shape, scale, np.float32)
    return Warped(rgb, np.ones((height, width), bool), 0, 0, held, (off / 1.5).astype(np.float32))


def chosen(*photos, washed_out=None):
    washed = washed_out or [np.zeros(GRID.size_px[::-1], bool)] * len(photos)
    views = [candidate(p, p.rgb, w, GRID) for p, w in zip(photos, washed, strict=True)]
    return best_labels(views, GRID.cells), views


def test_the_sharper_the_finer_and_the_unglared_photograph_is_taken():
    rgb, _ = printed(np.random.default_rng(1))
    soft = cv2.GaussianBlur(rgb, (0, 0), 2.5)
    assert (chosen(whole(soft), whole(rgb))[0] == 1).all()
    assert (chosen(whole(rgb, scale=3.0), whole(rgb, scale=6.0))[0] == 1).all()
    veiled = cv2.addWeighted(rgb, 0.4, np.full_like(rgb, 255), 0.6, 0)
    assert (chosen(whole(veiled), whole(rgb))[0] == 1).all()
    glare = np.zeros(GRID.size_px[::-1], bool)
    glare[100:200, 300:420] = True
    labels, _ = chosen(whole(rgb), whole(rgb, scale=4.0), washed_out=[glare, np.zeros_like(glare)])
    assert (labels[26:49, 76:104] == 1).all()
    assert (labels[:, :60] == 0).all()


def test_each_half_comes_from_the_photograph_it_is_in_the_middle_of():
    rgb, _ = printed(np.random.default_rng(2))
    labels, _ = chosen(whole(rgb, middle=(0.25, 0.5)), whole(rgb, middle=(0.75, 0.5)))
    assert (labels[:, :70] == 0).all()
    assert (labels[:, 90:] == 1).all()


@pytest.mark.parametrize("seed", [3, 4, 5])
def test_seams_are_short_keep_off_marks_and_leave_whole_pieces(seed):
    rgb, marked = printed(np.random.default_rng(seed))
    labels, views = chosen(whole(rgb, middle=(0.25, 0.5)), whole(rgb, middle=(0.75, 0.5)))
    cut = cut_seams(labels, views, GRID.cell_mm)
    in_marks = cv2.resize(marked.astype(np.float32), GRID.cells[::-1], interpolation=cv2.INTER_AREA)
    crossed = [in_marks[border_between(each, 0, 1)].mean() for each in (labels, cut)]
    assert crossed[0] > 0.1
    assert crossed[1] < 0.4 * crossed[0]
    for number in (0, 1):
        assert cv2.connectedComponents((cut == number).astype(np.uint8))[0] == 2
    assert border_between(cut, 0, 1).sum() < 2.2 * border_between(labels, 0, 1).sum()


def test_a_seam_tells_how_far_its_photographs_lie_apart():
    rgb, _ = printed(np.random.default_rng(6))
    moved = cv2.warpAffine(
        rgb, np.array([[1, 0, 2.0], [0, 1, 1.5]]), GRID.size_px, borderMode=cv2.BORDER_REFLECT
    )
    labels = np.zeros(GRID.cells, np.int16)
    labels[:, 80:] = 1
    row = seams_table(labels, [whole(rgb), whole(moved)], [rgb, moved], GRID).iloc[0]
    assert (row["first"], row["second"]) == (1, 2)
    assert row["apart_mm"] == pytest.approx(2.5 / 5, abs=0.05)
    assert row["length_mm"] == pytest.approx(384 / 5, abs=1)
    assert (row["x_mm"], row["y_mm"]) == pytest.approx((64, 38), abs=8)
    level = seams_table(labels, [whole(rgb), whole(rgb)], [rgb, rgb], GRID).iloc[0]
    assert level["most_apart_mm"] < 0.02
    assert abs(level["light_percent"]) < 0.1
    flat = np.full_like(rgb, 120)
    unknown = seams_table(labels, [whole(flat), whole(flat)], [flat, flat], GRID).iloc[0]
    assert np.isnan(unknown["apart_mm"])


def labels_with(*holes):
    labels = np.zeros(GRID.cells, np.int16)
    for rows, columns in holes:
        labels[rows, columns] = -1
    return labels


def test_what_is_not_shown_is_covered_by_outlines_whatever_its_shape():
    ring = labels_with((slice(20, 60), slice(30, 90)))
    ring[30:50, 45:75] = 0
    frame = np.full(GRID.cells, -1, np.int16)
    frame[10:-10, 12:-15] = 0
    for labels in (ring, frame, labels_with((slice(0, 96), slice(70, 74)))):
        polygons = hidden_by_gaps(labels, np.zeros(labels.shape, bool), GRID)
        assert not any(crosses_itself(polygon) for polygon in polygons)
        hidden = np.zeros(GRID.size_px[::-1], bool)
        for polygon in polygons:
            hidden |= polygon_mask(GRID.to_px(polygon), hidden.shape)
        missing = cv2.resize((labels < 0).view(np.uint8), GRID.size_px, interpolation=0) > 0
        assert hidden[missing].all()
        reach = cv2.dilate(missing.view(np.uint8), np.ones((13, 13))) > 0
        assert not hidden[~reach].any()


def test_gaps_are_listed_with_their_place_and_reason():
    labels = labels_with((slice(0, 96), slice(70, 80)))
    washed = np.zeros(labels.shape, bool)
    washed[40:60, 20:30] = True
    listed = gaps_table(labels, washed, GRID)
    assert list(listed["reason"]) == ["no photograph", "washed out"]
    gap = listed.iloc[0]
    assert (gap["x0_mm"], gap["x1_mm"]) == pytest.approx((56 - 0.1, 64 - 0.1), abs=0.2)
    assert gap["area_mm2"] == pytest.approx(8 * 76.8, rel=0.02)
    inside = gaps_table(labels, washed, GRID, outline((60.0, 40.0)))
    assert inside["x1_mm"].max() <= 60.5
    assert len(gaps_table(labels_with(), washed & False, GRID)) == 0


def test_notches_between_the_borders_of_photographs_are_no_gaps():
    notched = labels_with((slice(0, 6), slice(30, 100)), (slice(92, 96), slice(60, 160)))
    assert gaps_table(notched, np.zeros(notched.shape, bool), GRID).empty
    within = labels_with((slice(30, 40), slice(60, 66)))
    assert len(gaps_table(within, np.zeros(within.shape, bool), GRID)) == 1


def test_tiles_hide_the_whole_of_themselves():
    marker = np.array([(10.0, 20.0), (24, 20), (24, 34), (10, 34)])
    (hidden,) = hidden_by_tiles([(103, marker)])
    assert hidden.min(axis=0) == pytest.approx([7 - 0.5, 17 - 0.5])
    assert hidden.max(axis=0) == pytest.approx([27 + 0.5, 37 + 0.5])


@pytest.mark.parametrize("turn_deg", [0, 31, 90, 178, -100])
def test_a_long_face_lies_along_x_with_up_up_however_its_plane_lay(turn_deg, made_once):
    face = strip(made_once)
    turn = np.deg2rad(turn_deg)
    away = np.array(
        [[np.cos(turn), -np.sin(turn), 70], [np.sin(turn), np.cos(turn), -30], [0, 0, 1]]
    )
    turned = SolvedPhotos(
        tuple(h @ np.linalg.inv(away) for h in face.solved.mm_to_px),
        face.solved.photo_sizes_px,
        face.solved.lens,
        {number: apply_homography(away, c) for number, c in face.tiles_mm.items()},
    )
    found = upright(turned)
    (first, x, y), (last, u, v), *_ = face.corners
    top = found.to_mm(last, [(u, v)])[0] - found.to_mm(first, [(x, y)])[0]
    assert top[0] == pytest.approx(STRIP_MM[0], abs=0.2)
    assert abs(top[1]) < 5
    before, after = (np.stack(list(s.tiles_mm.values())) for s in (turned, found))
    apart = [np.linalg.norm(c[:, :1] - c[:, 1:2], axis=2) for c in (before, after)]
    assert apart[0] == pytest.approx(apart[1])


@pytest.fixture(scope="module")
def joined(made_once):
    face = strip(made_once)
    return map_from(face.photos, face.solved, face_mm=outline(STRIP_MM))


def test_photographs_meet_in_neighbours_and_all_are_used(joined):
    assert list(zip(joined.seams["first"], joined.seams["second"], strict=True)) == [
        (1, 2), (2, 3), (3, 4),
    ]  # fmt: skip
    assert joined.seams["most_apart_mm"].max() < 0.1
    assert np.abs(joined.seams["light_percent"]).max() < 3
    assert joined.photos["share_percent"].min() > 15
    assert joined.photos["share_percent"].sum() == pytest.approx(100)
    assert (joined.photos["edge_mm"] > 0.1).all()
    assert joined.gaps.empty
    assert joined.plane.kind == "map"
    assert len(joined.plane.hidden_mm) >= len(joined.solved.tiles_mm)


def test_the_same_photographs_give_the_same_map(joined, made_once):
    face = strip(made_once)
    again = map_from(face.photos, face.solved, face_mm=outline(STRIP_MM))
    assert again.picture == joined.picture
    assert again.as_dict() == joined.as_dict()


def test_a_map_survives_json(joined):
    corners = np.array([(1.0, 2.0), (15, 2), (15, 16), (1, 16)])
    solved = replace(
        joined.solved, lenses=(Lens(0.01, 0.0),) * 4, left_out=((2, 104),), lying_twice=(117,),
        set_aside_mm=((117, corners), (117, corners + 30)),
    )  # fmt: skip
    odd = replace(joined, solved=solved, notes=("two of tile 18",))
    for each in (joined, odd):
        told = json.loads(json.dumps(each.as_dict(), allow_nan=False))
        back = joined_from_dict(told, each.picture)
        assert back.as_dict() == each.as_dict()
        assert [str(t) for t in back.seams.dtypes] == [str(t) for t in joined.seams.dtypes]
        assert (back.rgb == joined.rgb).all()


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"format": 2}, "newer version"),
        ({"kind": "reading"}, "cannot be understood"),
        ({"picture_sha256": "0" * 64}, "not the map"),
        ({"solved": {}}, "damaged"),
        ({"seams": {"first": [1]}}, "damaged"),
        ({"gaps": None}, "damaged"),
        ({"px_per_mm": float("nan")}, "damaged"),
        ({"slopes": []}, "damaged"),
        ({"plane": Plane.from_length((0, 0), (100, 0), 10.0).as_dict()}, "damaged"),
    ],
)
def test_what_is_stored_wrongly_is_refused(joined, changed, says):
    with pytest.raises(ReadingError, match=says):
        joined_from_dict({**joined.as_dict(), **changed}, joined.picture)


def test_what_is_no_description_of_a_map_is_refused(joined):
    for stored in (None, [], "map"):
        with pytest.raises(ReadingError, match="cannot be understood"):
            joined_from_dict(stored, joined.picture)


def test_cells_of_a_candidate_lie_where_its_photograph_does():
    rgb, _ = printed(np.random.default_rng(7))
    part = Warped(
        rgb[64:256, 96:416], np.ones((192, 320), bool), 96, 64,
        np.full((6, 10), 7, np.float32), np.zeros((6, 10), np.float32),
    )  # fmt: skip
    view = candidate(part, part.rgb, np.zeros((192, 320), bool), GRID)
    assert isinstance(view, Candidate)
    labels = best_labels([view], GRID.cells)
    assert bordering(labels) == []
    rows, columns = np.nonzero(labels == 0)
    assert (rows.min(), rows.max() + 1, columns.min(), columns.max() + 1) == (16, 64, 24, 104)
