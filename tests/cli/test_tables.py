"""Tables: no word is broken at any width, and none is wider than a sheet of paper in a file."""

from __future__ import annotations

import io

import pytest

from barmodel_cli.exits import tell
from barmodel_cli.shown.show import print_table

NEXT = (
    ("mode", "now Hz", "aim Hz", "cents", "allowed", "then Hz", "cents", "90 % between"),
    [
        ("mode 1", "491.52", "130.81", "+2291.7 ± 0.4", "+3 −1", "140.16", "+119.5", "+40 to +199"),
        (
            "mode 3",
            "2484.21",
            "1308.13",
            "+1110.3 ± 0.4",
            "+15 −10",
            "1345.88",
            "+49.3",
            "+12 to +86",
        ),
    ],
)
DESIGN = (
    ("mode", "target Hz", "Hz", "cents", "per 0.1 mm", "solid − beam", "nodes, mm"),
    [("3", "1308.13", "1308.13", "+0.00", "-15.8", "0.0", "45.1, 165.6, 294.4, 414.9")],
)
WOODS = (
    ("quantity", "value", "standing", "source"),
    [("e long", "22 GPa (17 to 26)", "published", "a long title of a book, page 7; " * 6)],
)
TABLES = {"next": NEXT, "design": DESIGN, "woods": WOODS}


@pytest.mark.parametrize("width", [40, 60, 80, 100])
@pytest.mark.parametrize("name", TABLES)
def test_words_stay_whole_at_any_width(
    name: str, width: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    columns, rows = TABLES[name]
    print_table(columns, rows)
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= width
    shown = {word.rstrip(";") for word in out.split()}
    told = (*columns[1:], *sum(rows, ()))  # a stacked row needs no heading for its name
    wanted = {word.rstrip(";") for cell in told for word in cell.split()}
    assert wanted <= shown


def test_every_cell_keeps_its_heading_where_rows_are_stacked(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "50")
    print_table(*NEXT)
    told = " ".join(capsys.readouterr().out.split())
    assert "mode 1 now Hz 491.52; aim Hz 130.81 cents +2291.7 ± 0.4; allowed +3 −1" in told
    assert told.count("90 % between") == 2


def test_a_file_gets_no_more_than_a_sheet_holds(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    for columns, rows in TABLES.values():
        print_table(columns, rows)
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 110


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_sentences_are_folded_between_words_on_a_terminal_only(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", "30")
    sentence = "one sentence of a few words that is longer than thirty letters"
    for stream, most in ((_Terminal(), 30), (io.StringIO(), len(sentence))):
        monkeypatch.setattr("sys.stdout", stream)
        tell(sentence)
        lines = stream.getvalue().splitlines()
        assert max(map(len, lines)) <= most
        assert " ".join(lines) == sentence
    assert len(lines) == 1
