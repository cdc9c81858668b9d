"""Whether what was heard can be of this bar: refused, doubted, or taken."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.strike.made_up import write_even_strike

# modes of the made-up blank of `Bench.start` within a few cents, torsion between the first two


def test_a_reading_that_cannot_be_of_this_bar_is_refused(bench) -> None:
    bench.start()
    before = (bench.folder / "G3.bar.json").read_bytes()
    for hz, said in (("1,2,3", "cents below"), ("56.7,148.4,271.8", "did you mean 567,1484,2718?")):
        result = bench("hear", "--hz", hz, "--into", "G3")
        assert result.code == 3
        assert said in result.told
        assert (bench.folder / "G3.bar.json").read_bytes() == before
        assert bench("hear", "--hz", hz, "--bar", "G3").code == 0  # looked at, not recorded
    assert bench("hear", "--hz", "1,2,3", "--into", "G3", "--unusual").code == 0


def test_a_bar_heard_before_foretells_itself(bench) -> None:
    bench.start()
    for hz in ("430", "430.5"):  # 480 cents under its table wood
        result = bench("hear", "--hz", hz, "--into", "G3")
        assert (result.code, "strike again" in result.err) == (0, False)
    bench("hear", "--hz", "400", "--into", "G3", "--unusual")
    assert (
        bench("hear", "--hz", "395", "--into", "G3").code == 0
    )  # near the last, far from the wood
    assert "mode 1 +107 cents" in bench("hear", "--hz", "420.3", "--into", "G3", "--unusual").err


HEARD = (566.8, 1484.0, 2718.0)


def _again(bench, *moved: float | None, more: tuple[str, ...] = ()):
    """A reading by hand, so many cents from what was heard first; None for a mode not heard."""
    hz = [
        "-" if cents is None else f"{hz * 2 ** (cents / 1200):.2f}"
        for hz, cents in zip(HEARD, moved, strict=False)
    ]
    return bench("hear", "--hz", ",".join(hz), "--into", "G3", *more)


@pytest.fixture
def heard(bench):
    """A bar heard twice, and nothing done to it since."""
    bench.start()
    for _ in range(2):
        assert _again(bench, 0, 0, 0, more=("--temperature", "18")).code == 0
    return bench


@pytest.mark.parametrize("moved", [(None, None, -246), (150, 130, -110), (-101,)])
def test_a_reading_with_no_mode_where_the_bar_had_it_is_refused(
    heard, moved: tuple[float | None, ...]
) -> None:
    before = (heard.folder / "G3.bar.json").read_bytes()
    refused = _again(heard, *moved)
    assert refused.code == 3
    assert "none of its modes is where this bar had it (mode " in refused.told
    assert "another bar? a cut not recorded?" in refused.told
    assert (heard.folder / "G3.bar.json").read_bytes() == before
    taken = _again(heard, *moved, more=("--unusual",))
    assert taken.code == 0
    assert "cents from what the last reading" in taken.err


def test_a_recording_of_another_bar_is_refused_where_its_modes_are_all_elsewhere(
    heard, tmp_path: Path
) -> None:
    """Modes 1 and 2 missing, 3 and 4 named: 4 was never heard, so it says nothing."""
    mode_3 = HEARD[2] * 2 ** (-150 / 1200)
    lines = ((mode_3, 1.0), (4320.0, 0.3))
    refused = heard("hear", write_even_strike(tmp_path / "other.wav", lines), "--into", "G3")
    assert refused.code == 3
    assert "none of its modes is where this bar had it (mode 3 -150" in refused.told


@pytest.mark.parametrize(
    ("moved", "more"),
    [
        ((-15, -170, -60), ()),  # a crack, which some mode hardly feels
        ((-22, -22, -22), ("--temperature", "42")),  # a bar left in the sun
        ((-99, -99, -99), ()),
        ((-120, -140, -110), ("--drilled",)),
    ],
)
def test_what_can_be_of_this_bar_is_taken(
    heard, moved: tuple[float, ...], more: tuple[str, ...]
) -> None:
    taken = _again(heard, *moved, more=more)
    assert taken.code == 0, taken.err


@pytest.mark.parametrize(
    "words",
    [
        ("--ends", "1"),
        ("--at", "200", "--width", "20", "--depth", "0.2"),
    ],
)
def test_after_a_cut_a_reading_may_lie_anywhere(heard, words: tuple[str, ...]) -> None:
    assert heard("cut", "G3", *words).code == 0
    taken = _again(heard, 160, 170, 180)
    assert taken.code == 0, taken.err
    assert "cents from what the last reading and the cuts since let expect" in taken.err
    assert _again(heard, 10, 10, 10).code == 3  # now it was heard so


def test_a_mode_not_heard_since_the_cut_is_no_reason_to_refuse(heard) -> None:
    assert heard("cut", "G3", "--ends", "1").code == 0
    assert _again(heard, 20, 20, None).code == 0
    assert _again(heard, 300, None, 250).code == 3  # mode 1 was, and is not there
    assert _again(heard, None, None, 250).code == 0


def test_a_bar_cut_far_deeper_than_told_is_named_by_itself(bench, tmp_path: Path) -> None:
    bench.start()
    assert bench("cut", "G3", "--from", "95", "--to", "305", "--depth", "9").code == 0
    path = write_even_strike(tmp_path / "deep.wav", ((196.0, 1.0), (784.0, 0.5), (1960.0, 0.3)))
    refused = bench("hear", str(path), "--into", "G3")
    assert refused.code == 3
    assert "or deeper than told" in refused.err
    (hz,) = re.findall(r"By itself it sounds like a bar tuned 1:4:10; .*: --hz (\S+)", refused.err)
    assert [float(value) for value in hz.split(",")] == pytest.approx([196, 784, 1960], abs=0.1)


def test_another_bar_is_not_taken_for_this_one(bench, tmp_path: Path) -> None:
    bench.start()
    wrong = write_even_strike(tmp_path / "wrong.wav", ((340.0, 1.0), (800.0, 0.6), (1550.0, 0.3)))
    result = bench("hear", wrong, "--into", "G3")
    assert result.code != 0
    assert "The strongest sound, 340 Hz, belongs to no mode of this bar" in result.err
    assert "--hz" not in result.err  # no way to record another bar's pitches as this one's
    assert json.loads((bench.folder / "G3.bar.json").read_text())["log"] == []
    beside = write_even_strike(
        tmp_path / "beside.wav", ((566.8, 1.0), (1484.0, 0.4), (660.0, 0.35))
    )
    result = bench("hear", beside, "--into", "G3")
    assert "strong sound, 660 Hz, belongs to no mode" in result.err
    assert "take it back: barmodel log" in result.out
    assert result.out.rstrip().count("--cancel 1") == 1


def test_pitches_by_hand_are_not_offered_for_another_bar(bench, tmp_path: Path) -> None:
    bench.start()
    # mode 3 of this bar in doubt, by a strong line of no mode of it
    lines = ((566.8, 1.0), (1484.0, 0.4), (2718.0, 0.2))
    stranger = write_even_strike(tmp_path / "stranger.wav", (*lines, (660.0, 0.47)))
    doubted = bench("hear", stranger, "--bar", "G3")
    assert "belongs to no mode" in doubted.err
    assert "not sure enough" in doubted.out + doubted.err
    assert "--hz" not in doubted.out + doubted.err
    assert bench("cut", "G3", "--from", "95", "--to", "305", "--depth", "9").code == 0
    # no cut, however deep, makes it higher than it is foretold: 299 Hz
    higher = write_even_strike(
        tmp_path / "higher.wav", ((400.0, 1.0), (1600.0, 0.5), (4000.0, 0.3))
    )
    refused = bench("hear", higher, "--into", "G3")
    assert refused.code == 3
    assert "By itself it sounds like a bar tuned 1:4:10, modes 1, 2, … at 400.00, " in refused.err
    assert "--hz" not in refused.err
