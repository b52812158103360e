"""From the first start to the pass on the face's page, by mouse at the bench and by thumb."""

import numpy as np
import pytest
from bench_browser import served
from scipy.spatial import cKDTree

import scrapeview
from scrapeview.record import FacePlan, Record

FACE_MM = (220, 150)


@pytest.fixture(scope="module")
def known():
    """Reading of a sample photograph as the page reads it: a new face has no openings."""
    made = {}

    def reading(shot):
        if shot.photo not in made:
            plane = scrapeview.Plane.from_corners(shot.corners_px, size_mm=shot.size_mm)
            made[shot.photo] = scrapeview.read_print(shot.photo, plane=plane)
        return made[shot.photo]

    return reading


def lonely_point(reading):
    """A plain, large point of the middle of the face, far from its neighbours."""
    points = reading.points
    places = points[["x_mm", "y_mm"]].to_numpy()
    apart = cKDTree(places).query(places, k=2)[0][:, 1]
    middle = (np.abs(places - np.array(FACE_MM) / 2) < np.array(FACE_MM) / 5).all(axis=1)
    plain = points["area_mm2"].between(4, 12).to_numpy() & middle
    return places[np.argmax(np.where(plain, apart, 0))]


def bare_place(reading):
    """The place of the middle of the face that is farthest from every point."""
    wide, high = FACE_MM
    x, y = np.meshgrid(np.arange(0.3 * wide, 0.7 * wide), np.arange(0.3 * high, 0.7 * high))
    grid = np.column_stack([x.ravel(), y.ravel()])
    apart = cKDTree(reading.points[["x_mm", "y_mm"]].to_numpy()).query(grid)[0]
    return grid[np.argmax(apart)]


def add_face(tab, name, machine="Invented grinder", part="cross slide"):
    tab.open()
    tab.press("Add your own machine")
    tab.fill("Name of the machine", machine)
    tab.fill("Its first part", part)
    tab.press("Add the machine")
    tab.see("No face yet")
    tab.press("Add a face")
    tab.fill("Name of the face", name)
    tab.fill("Width, mm", str(FACE_MM[0]))
    tab.fill("Height, mm", str(FACE_MM[1]))
    tab.press("Add the face")
    tab.see(name)


def text_of(tab):
    return tab.page.get_by_test_id("stMain").inner_text()


def see_charted(tab, passes):
    """Wait until the first chart of the page draws so many passes; fail where it never does."""
    drawn = "document.querySelector('.js-plotly-plot')?.calcdata?.[0].length"
    tab.page.wait_for_function(f"{drawn} === {passes}")


def counted(tab):
    return int(tab.figure("Points counted"))


def test_a_print_is_photographed_read_corrected_kept_and_found_again(tab, start, shot, known):
    server, home = start()
    hand = tab(server.url, phone=True)
    add_face(hand, "flat way")
    hand.open("face?face=1")
    hand.see("This face has no print yet")

    print_6 = shot(6)
    hand.open("new-print?face=1")
    hand.upload(print_6.photo)
    hand.pick(print_6.corners_px, print_6.size_px)
    handles = [hand.page.get_by_test_id(f"handle-{corner}") for corner in range(4)]
    picked = [[float(h.get_attribute("data-x")), float(h.get_attribute("data-y"))] for h in handles]
    thumb_reach_px = 8
    assert np.abs(np.array(picked) - print_6.corners_px).max() < thumb_reach_px
    hand.press("Read with these corners")
    hand.see("What was read")
    reading = known(print_6)
    read = counted(hand)
    assert abs(read - len(reading.points)) < 0.02 * len(reading.points)

    hand.choose_tool("remove")
    hand.tap_face(*lonely_point(reading))
    hand.see("Corrected by hand (1)")
    hand.see_figure("Points counted", str(read - 1))
    hand.choose_tool("add")
    hand.tap_face(*bare_place(reading))
    hand.see("Corrected by hand (2)")
    hand.see_figure("Points counted", str(read))
    contact = hand.figure("Contact")
    assert hand.complaints() == []

    hand.press("Keep as pass 1")
    hand.see("Kept as pass 1.")
    hand.open("face?face=1")
    see_charted(hand, 1)
    assert contact in text_of(hand)
    keep_another(hand, shot(7))
    hand.open("face?face=1")
    see_charted(hand, 2)
    hand.page.reload()
    hand.settle()
    see_charted(hand, 2)
    assert hand.complaints() == []

    record = Record.open(home)
    try:
        kept = record.prints(1)
        assert [entry.photo_sha256s for entry in kept] != []
        first = record.reading(kept[0].current_reading_id)
        assert [made.kind for made in first.corrections] == ["remove", "add"]
        assert len(first.points) == read
        assert [one.number for one in record.passes(1)] == [1, 2]
    finally:
        record.close()


def keep_another(hand, another):
    """A second print: where the picture hardly moved, its corners are there already."""
    hand.open("new-print?face=1")
    hand.upload(another.photo)
    clear = hand.page.get_by_test_id("clear-picks")
    if clear.is_enabled():
        clear.click()
    hand.pick(another.corners_px, another.size_px)
    hand.press("Read with these corners")
    hand.see("What was read")
    hand.press("Keep as pass 2")
    hand.see("Kept as pass 2.")


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """A server over a record with faces that have no print yet, and the record."""
    home = tmp_path_factory.mktemp("shop") / "home"
    record = Record.open(home)
    part = record.add_part(record.add_machine("Invented grinder").machine_id, "cross slide")
    for name in ("flat way", "dovetail", "gib", "bed"):
        record.add_face(part.part_id, FacePlan(name=name, width_mm=220, height_mm=150))
    with served(home) as server:
        yield server, record
    record.close()


def test_two_tabs_and_a_phone_at_once_keep_each_its_own_print(tab, shop, shot):
    server, record = shop
    tabs = [tab(server.url), tab(server.url), tab(server.url, phone=True)]
    shots = [shot(number) for number in (5, 6, 8)]
    faces = (1, 2, 3)
    for hand, face_id in zip(tabs, faces, strict=True):
        hand.open(f"new-print?face={face_id}")
    for hand, one in zip(tabs, shots, strict=True):
        hand.upload(one.photo)
    for hand, one in zip(tabs, shots, strict=True):
        hand.pick(one.corners_px, one.size_px)
    for hand in reversed(tabs):
        hand.press("Read with these corners")
        hand.see("What was read")
    shown = [counted(hand) for hand in tabs]
    for hand in tabs:
        hand.press("Keep as pass 1")
        hand.see("Kept as pass 1.")
    for face_id, one, points in zip(faces, shots, shown, strict=True):
        (kept,) = record.prints(face_id)
        reading = record.reading(kept.current_reading_id)
        assert record.photo(reading.photo_sha256) == one.photo.read_bytes()
        assert len(reading.points) == points
    assert len(set(shown)) == 3
    assert [hand.complaints() for hand in tabs] == [[], [], []]


def test_what_is_no_photograph_is_refused_and_nothing_kept(tab, shop, tmp_path):
    server, record = shop
    before = set(record.home.rglob("*.jpg"))
    hand = tab(server.url)
    text = tmp_path / "letter.jpg"
    text.write_text("no photograph at all")
    hand.open("new-print?face=4")
    hand.upload(text)
    hand.see("is not a photograph that can be read")
    large = tmp_path / "large.jpg"
    large.write_bytes(b"\xff\xd8\xff" + bytes(65 * 2**20))
    hand.open("new-print?face=4")
    hand.upload(large)
    assert "64" in text_of(hand)
    assert hand.page.get_by_test_id("picture-stage").count() == 0
    assert hand.complaints() == []
    assert record.prints(4) == ()
    assert set(record.home.rglob("*.jpg")) == before
