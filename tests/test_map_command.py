"""`scrapeview map`: sheets and pictures of faces in the record, and plain refusals."""

import pypdfium2
import pytest
import typer
from PIL import Image
from typer.testing import CliRunner

from scrapeview.face_reading import read_for_face
from scrapeview.map_command import map_
from scrapeview.placements import Placement
from scrapeview.record import FacePlan, Record
from scrapeview.targets import Target

pytestmark = pytest.mark.usefixtures("own_home")

SEED = 2
app = typer.Typer(pretty_exceptions_enable=False)
app.command("map")(map_)
app.callback()(lambda: None)


@pytest.fixture(scope="module")
def first(printed, plane_of):
    shot = printed("sparse", SEED)
    w, h = shot.size_mm
    target = Target(name="own", ppsi_least=20)
    plan = FacePlan(name="top way", width_mm=w, height_mm=h, marking=shot.marking, target=target)
    return plan, shot.jpeg, read_for_face(plan, shot.jpeg, plane_of(shot))


@pytest.fixture
def shop(own_home, first):
    """A face with a pass of one print and a pass of two placements, and a face without any."""
    plan, photo, reading = first
    record = Record.open(own_home)
    part = record.add_part(record.add_machine("Mill").machine_id, "Table")
    face = record.add_face(part.part_id, plan)
    record.add_face(part.part_id, FacePlan(name="gib", shape="free"))
    record.keep_print(face.face_id, [("p.jpg", photo)], reading)
    kept = record.keep_print(
        face.face_id, [("p.jpg", photo)], reading, placement="left", again=True
    )
    record.keep_print(
        face.face_id, [("p.jpg", photo)], reading, placement="right", again=True,
        pass_number=kept.pass_number,
    )  # fmt: skip
    yield record
    record.close()


def run(*words):
    return CliRunner().invoke(app, ["map", *(str(word) for word in words)])


@pytest.mark.usefixtures("shop")
def test_sheets_are_written_and_what_to_do_is_said(tmp_path):
    file = tmp_path / "map.pdf"
    result = run(1, file, "--pass", 1, "--paper", "letter", "--units", "inch")
    assert result.exit_code == 0, result.output
    assert "points to take" in result.stdout
    assert "in2" in result.stdout
    assert "100 %" in result.stdout
    with pypdfium2.PdfDocument(file) as document:
        assert sorted(document[0].get_size()) == pytest.approx([612, 792])
        text = document[0].get_textpage().get_text_range()
    assert "Mill, Table: top way" in text
    assert "pass 1" in text
    assert "4 in long" in text


def test_prints_of_places_that_have_no_name_are_asked_for_by_their_numbers(shop, tmp_path):
    first, second, third = shop.prints(1)
    for number, printed in enumerate((second, third)):
        place = Placement(start_mm=400.0 * number, length_mm=450.0)
        shop.change_placement(printed.print_id, place)
    result = run(1, tmp_path / "map.pdf")
    assert result.exit_code == 2
    assert f"'print {second.print_id}' or 'print {third.print_id}'" in result.stderr
    named = f"print {second.print_id}"
    assert run(1, tmp_path / "map.png", "--placement", named).exit_code == 0
    # of one place printed twice it is the last print
    shop.change_placement(third.print_id, Placement(start_mm=0.0, length_mm=450.0))
    assert run(1, tmp_path / "map.pdf").exit_code == 0
    assert first.placement == ""


@pytest.mark.usefixtures("shop")
def test_the_same_command_writes_the_same_file(tmp_path):
    for name in ("a.pdf", "b.pdf"):
        result = run(1, tmp_path / name, "--placement", "right", "--photo")
        assert result.exit_code == 0, result.output
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


@pytest.mark.usefixtures("shop")
def test_a_picture_is_written_where_the_name_says_so(tmp_path):
    file = tmp_path / "map.PNG"
    assert run(1, file, "--pass", 1).exit_code == 0
    with Image.open(file) as image:
        assert image.format == "PNG"
        assert image.width >= 900


@pytest.mark.usefixtures("shop")
@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((1, "map.jpg"), "must end in .pdf or .png"),
        ((1, "no/map.pdf"), "There is no folder"),
        ((7, "map.pdf"), "face"),
        ((2, "map.pdf"), "has no print yet"),
        ((1, "map.pdf", "--pass", 5), "no print of pass 5; it has 1, 2"),
        ((1, "map.pdf"), "several prints: name one with --placement, 'left' or 'right'"),
        ((1, "map.pdf", "--placement", "up"), "no print with the placement 'up'"),
    ],
)
def test_what_cannot_be_done_is_refused_in_a_sentence(tmp_path, monkeypatch, words, told):
    monkeypatch.chdir(tmp_path)
    result = run(*words)
    assert result.exit_code == 2
    assert told in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1
    assert result.stdout == ""
    assert not list(tmp_path.glob("map.*"))


def test_a_folder_without_a_record_is_refused(tmp_path):
    result = run(1, tmp_path / "map.pdf", "--home", tmp_path / "none")
    assert result.exit_code == 2
    assert "There is no record" in result.stderr
