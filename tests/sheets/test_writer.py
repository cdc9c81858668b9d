"""The PDF, read by libraries that did not write it: letters embedded, words to be searched."""

from __future__ import annotations

import io

import pytest
from fontTools.ttLib import TTFont
from matplotlib import get_data_path
from pypdf import PdfReader

from barmodel.sheets.letters import glyph_of
from barmodel.sheets.paper import Page
from barmodel.sheets.writer import pdf_of

WORDS = "Ärger × 12.5 mm → fi"


@pytest.fixture(scope="module")
def reader() -> PdfReader:
    page = Page(210.0, 297.0, "")
    page.text(20.0, 100.0, WORDS)
    page.text(20.0, 50.0, "bold (1)", bold=True, turned=True)
    page.circle(100.0, 100.0, 6.4)
    return PdfReader(io.BytesIO(pdf_of([page, Page(297.0, 210.0, "")], "Ö")), strict=True)


def test_words_and_sizes(reader: PdfReader) -> None:
    assert WORDS in reader.pages[0].extract_text()
    assert "bold (1)" in reader.pages[0].extract_text()
    assert reader.metadata is not None
    assert reader.metadata.title == "Ö"
    sizes = [tuple(float(v) * 25.4 / 72 for v in p.mediabox[2:]) for p in reader.pages]
    assert sizes == [pytest.approx((210.0, 297.0)), pytest.approx((297.0, 210.0))]


@pytest.mark.parametrize(("name", "file", "words"), [
    ("/F1", "DejaVuSans.ttf", WORDS), ("/F2", "DejaVuSans-Bold.ttf", "bold (1)"),
])  # fmt: skip
def test_used_letters_are_embedded_as_they_are(
    reader: PdfReader, name: str, file: str, words: str
) -> None:
    font = reader.pages[0]["/Resources"]["/Font"][name]["/DescendantFonts"][0].get_object()
    data = font["/FontDescriptor"]["/FontFile2"].get_data()
    assert len(data) < 120_000, "the whole face would be 700 kB"
    inside, whole = TTFont(io.BytesIO(data)), TTFont(f"{get_data_path()}/fonts/ttf/{file}")
    bold = name == "/F2"
    by_letter = whole.getBestCmap()
    for letter in words:
        number = glyph_of(letter, bold).number
        known = by_letter[ord(letter)]
        assert whole.getGlyphID(known) == number
        mine = inside["glyf"][inside.getGlyphName(number)]
        assert mine.compile(inside["glyf"]) == whole["glyf"][known].compile(whole["glyf"])
        advance = whole["hmtx"][known][0] * 1000 / whole["head"].unitsPerEm
        assert glyph_of(letter, bold).advance == pytest.approx(advance, abs=0.51)
    used = {glyph_of(letter, bold).number for letter in words}
    unused = glyph_of("Q", bold).number
    assert unused not in used
    assert inside["glyf"][inside.getGlyphName(unused)].numberOfContours == 0


def test_the_same_pages_give_the_same_file() -> None:
    page = Page(210.0, 297.0, "")
    page.text(20.0, 100.0, WORDS)
    assert pdf_of([page], "a") == pdf_of([page], "a")
