"""`scrapeview card`: what is asked for is written, and what cannot be is refused in a sentence."""

import pypdfium2
import pytest
from PIL import Image
from typer.testing import CliRunner

from scrapeview.cli import app

SIZES = {"a4": (595.276, 841.890), "letter": (612.0, 792.0)}


def run(*words):
    return CliRunner().invoke(app, ["card", *(str(word) for word in words)])


def text_of(file):
    with pypdfium2.PdfDocument(file) as document:
        pages = [page.get_textpage().get_text_range() for page in document]
        return " ".join(" ".join(pages).split()), len(pages), document[0].get_size()


@pytest.mark.parametrize(
    ("words", "told", "paper", "pages"),
    [
        ((), "frame card, window 1 in (25.4 mm)", "a4", 1),
        (("--window", "25mm", "--paper", "letter"), "window 25 mm", "letter", 1),
        (("--tiles", "small", "--count", 9), "tiles, small (20 mm), 1 to 9", "a4", 1),
        (("--tiles", "large", "--first", 20, "--count", 40), "(40 mm), 20 to 49", "a4", 2),
        (("--tiles", "small", "--label", "63.5x38.1mm"), "1 to 63", "a4", 1),
        (("--tiles", "small", "--label", "2.625x1in", "--paper", "letter"), "1 to 81", "letter", 1),
        (("--label", "99.1x67.7mm", "--bar", "149.2mm"), "came out 149.2 mm", "a4", 1),
        (("--tiles", "large", "--label", "90x50mm", "--rows", 5, "--columns", 2,
          "--label-left", "1cm", "--label-top", "20mm", "--gap-across", "0.25in",
          "--gap-down", "1mm"), "1 to 20", "a4", 1),
    ],
)  # fmt: skip
def test_what_is_asked_for_is_written(tmp_path, words, told, paper, pages):
    file = tmp_path / "out.pdf"
    result = run(file, *words)
    assert result.exit_code == 0, result.output
    text, count, found = text_of(file)
    assert told in text
    assert count == pages
    assert found == pytest.approx(SIZES[paper], abs=0.01)
    assert "100 %" in result.stdout
    assert "bar" in result.stdout


def test_the_bar_is_told_in_inches_as_well(tmp_path):
    run(tmp_path / "inch.pdf", "--bar", "5.874in")
    run(tmp_path / "mm.pdf", "--bar", "149.1996mm")
    assert (tmp_path / "inch.pdf").read_bytes() == (tmp_path / "mm.pdf").read_bytes()


def test_a_picture_tells_its_resolution(tmp_path):
    file = tmp_path / "card.PNG"
    assert run(file, "--tiles", "large", "--count", 3).exit_code == 0
    with Image.open(file) as image:
        assert image.format == "PNG"
        assert image.info["dpi"] == pytest.approx((508, 508), abs=0.01)
        assert image.size == (4200, 5940)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("card.jpg",), "must end in .pdf or .png"),
        (("card",), "must end in .pdf or .png"),
        (("no/card.pdf",), "There is no folder"),
        (("card.pdf", "--bar", "3m"), "is not a length"),
        (("card.pdf", "--bar", "3000mm"), "cannot be 3000 mm"),
        (("card.pdf", "--bar", "149.2"), "give the unit"),
        (("card.pdf", "--tiles", "small", "--count", 201), "There are 200 small tiles"),
        (("card.pdf", "--tiles", "small", "--first", 0), "numbers 1 to 200"),
        (("card.pdf", "--tiles", "small", "--first", 5000), "numbers 1 to 200"),
        (("card.png", "--tiles", "small", "--count", 131), "takes 2 sheets"),
        (("card.pdf", "--first", 5), "--first numbers tiles"),
        (("card.pdf", "--window", "inch", "--tiles", "small"), "not both"),
        (("card.pdf", "--label", "50x30mm"), "need their rows and columns"),
        (
            ("card.pdf", "--label", "50x30mm", "--rows", 8, "--columns", 3),
            "No card of 60.4 mm fits",
        ),
        (("card.pdf", "--rows", 8), "give --label too"),
        (("card.pdf", "--label", "wide"), "is not a size"),
        (("card.pdf", "--count", 100000), "Ask for 1 to 60 cards"),
    ],
)
def test_what_cannot_be_printed_is_refused_in_a_sentence(tmp_path, monkeypatch, words, told):
    monkeypatch.chdir(tmp_path)
    result = run(*words)
    assert result.exit_code == 2
    assert told in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1
    assert result.stdout == ""
    assert list(tmp_path.iterdir()) == []
