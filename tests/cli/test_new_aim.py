"""`log --note, --a4, --ratios, --offset`: another aim for a bar, and everything that follows it."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from barmodel.files import Reading, append_entries, read_bar_file
from tests.cli.conftest import Bench

G3_HZ = 195.99772
ARCH = {"shape": "arch", "start_mm": 80.0, "end_mm": 320.0, "depth_mm": 13.0, "fullness": 3.0}


@pytest.fixture
def begun(bench: Bench) -> Bench:
    """A bar with its undercut."""
    bench.start()
    Path("arch.json").write_text(json.dumps([ARCH]), encoding="utf-8")
    assert bench("cut", "G3", "--entries", "arch.json").code == 0
    return bench


def hear(*cents: float) -> None:
    """Record a reading that lies so many cents from the target of G3, 1:4:10, at A4 = 440."""
    hz = [G3_HZ * ratio * 2 ** (c / 1200) for ratio, c in zip((1, 4, 10), cents, strict=False)]
    append_entries("G3.bar.json", Reading(hz=tuple(hz)))


def answer(bench: Bench, *words: str) -> dict[str, Any]:
    found = bench(*words, "--json")
    assert found.code == 0, found.err
    content: dict[str, Any] = json.loads(found.out)
    return content


def test_every_command_counts_from_the_new_aim(begun: Bench) -> None:
    hear(20.0, 22.0, 25.0)
    step = 1200.0 * math.log2(443.0 / 440.0)
    asks = (
        ("modes", "G3", "--model", "beam"),
        ("try", "G3", "--at", "200", "--width", "20", "--depth", "0.1", "--model", "beam"),
    )
    before = [answer(begun, *words)["cents"] for words in asks]
    told = begun("log", "G3", "--a4", "443", "--remark", "their piano")
    assert told.code == 0, told.err
    assert (
        f"G3 (A4 = 443, 1:4:10), {step:.1f} cents above the aim before; their piano" in told.shown
    )
    for words, cents in zip(asks, before, strict=True):
        after = answer(begun, *words)["cents"]
        assert after == pytest.approx([value - step for value in cents], abs=1e-6)
    advice = answer(begun, "next", "G3")
    assert advice["target_hz"][0] == pytest.approx(G3_HZ * 443 / 440, abs=1e-3)
    heard = answer(begun, "hear", "--bar", "G3", "--hz", "198,792,1980")
    assert heard["cents"][0] == pytest.approx(1200 * math.log2(198 / (G3_HZ * 443 / 440)), abs=1e-3)
    sheet = begun("sheet", "G3", "--out", "G3.pdf")
    assert sheet.code == 0, sheet.err
    document = read_bar_file("G3.bar.json")
    assert (document.begun_for.a4_hz, document.target.a4_hz) == (440.0, 443.0)


def test_the_log_counts_each_reading_from_its_day_and_says_where_it_is_now(begun: Bench) -> None:
    hear(2.0, 1.0, 3.0)
    begun("log", "G3", "--note", "F#3")
    shown = begun("log", "G3").shown
    assert "+2.0 +1.0 +3.0 cents" in shown
    assert "entry 2 from the aim since then: +102.0 +101.0 +103.0 cents" in shown
    assert "begun for G3 (A4 = 440, 1:4:10)" in shown
    hear(-99.0, -99.0, -99.0)
    assert "+1.0 +1.0 +1.0 cents" in begun("log", "G3").shown
    content = answer(begun, "log", "G3")
    first, last = (row for row in content["log"] if row["kind"] == "reading")
    assert first["cents_that_day"] == pytest.approx([2.0, 1.0, 3.0], abs=1e-3)
    assert first["cents"] == pytest.approx([102.0, 101.0, 103.0], abs=1e-3)
    assert last["cents"] == last["cents_that_day"] == pytest.approx([1.0] * 3, abs=1e-3)
    assert (content["target"]["note"], content["begun_for"]["note"]) == ("F#3", "G3")
    back = begun("log", "G3", "--cancel", "3")
    assert back.code == 0
    assert "G3, target G3: 196.0, 784.0, 1960.0 Hz" in back.shown
    assert "cancelled: F#3" in back.shown
    assert answer(begun, "log", "G3")["log"][2]["counts"] is False


def test_the_picture_follows_an_aim_with_more_modes(
    begun: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    from barmodel.plots import history

    drawn: list[tuple[Any, list[str], str]] = []
    real = history.draw_history

    def seen(cents: Any, labels: list[str], *, home: str, title: str) -> Any:
        drawn.append((cents, labels, home))
        return real(cents, labels, home=home, title=title)

    monkeypatch.setattr(history, "draw_history", seen)
    begun("log", "G3", "--ratios", "1:4", "--holes", "6.4")
    hear(8.0, 9.0, 30.0)
    told = begun("log", "G3", "--ratios", "1:4:10", "--plot", "log.svg")
    assert told.code == 0, told.err
    assert "3 modes will be tuned where it was 2" in told.told
    ((cents, labels, home),) = drawn
    assert cents.shape == (2, 3)
    assert math.isnan(cents[0, 2])
    assert not math.isnan(cents[1, 2])
    assert home == "what it was to be that day"
    assert labels[0].split("\n")[2:] == ["now 1:4", "after a cut"]
    assert labels[1] == "no. 3\nnow 1:4:10"


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ("--note G3", "aims at G3 (A4 = 440, 1:4:10) already, so nothing changes"),
        ("--a4 440 --offset 0", "already, so nothing changes"),
        ("--note G4", "above the 198.3 Hz it was last heard at"),
        ("--note G4", "Did you mean --note G3?"),
        ("--note F2", "Did you mean --note F3?"),
        ("--note A4", "Did you mean --note A3?"),
        ("--ratios 1:4:98", "mode 3 would have to come to 19207.8 Hz"),
        ("--note H3", "did you mean"),
        ("--note G", "lacks its octave"),
        ("--a4 44.3", "is not a tuning frequency"),
        ("--a4 443,5", "decimals with a point"),
        ("--ratios 4:1", "must start at 1"),
        ("--ratios 1:4:10:18:30", "takes 1 to 4"),
        ("--offset 1300", "more than an octave"),
        ("--a4 443 --cancel 1", "two entries of the log"),
    ],
)
def test_slips_are_refused_and_nothing_is_written(begun: Bench, options: str, told: str) -> None:
    hear(20.0, 22.0, 25.0)
    before = Path("G3.bar.json").read_bytes()
    refused = begun("log", "G3", *options.split())
    assert refused.code != 0
    assert told in refused.told
    assert Path("G3.bar.json").read_bytes() == before


def test_an_aim_with_a_picture_of_no_reading_is_refused_as_a_whole(begun: Bench) -> None:
    before = Path("G3.bar.json").read_bytes()
    refused = begun("log", "G3", "--a4", "443", "--plot", "log.svg")
    assert refused.code == 3
    assert "there is no reading to draw yet" in refused.told
    assert Path("G3.bar.json").read_bytes() == before


def test_what_is_unusual_can_be_meant(begun: Bench) -> None:
    hear(20.0, 22.0, 25.0)
    assert begun("log", "G3", "--note", "F2", "--unusual").code == 0
    assert read_bar_file("G3.bar.json").target.note == "F2"


def test_an_aim_out_of_reach_is_taken_and_next_tells(begun: Bench) -> None:
    for _ in range(2):
        hear(1.0, 2.0, 4.0)
    assert answer(begun, "next", "G3")["state"] == "finished"
    assert begun("log", "G3", "--a4", "445").code == 0  # 20 cents higher
    assert answer(begun, "next", "G3")["state"] in ("rescue", "lost", "stuck")


def test_a_blank_is_designed_anew_for_its_new_aim(bench: Bench) -> None:
    bench.start()
    assert bench("design", "G3", "--model", "beam", "--save").code == 0
    assert read_bar_file("G3.bar.json").design_target is None
    told = bench("log", "G3", "--ratios", "1:4")
    assert "the design in the file is for G3 (A4 = 440, 1:4:10)" in told.told
    append_entries("G3.bar.json", Reading(hz=(566.8, 1484.0, 2718.0)))
    again = bench("log", "G3").told
    assert again.endswith("next: barmodel design G3.bar.json --save")
    assert bench("design", "G3", "--model", "beam", "--save").code == 0
    document = read_bar_file("G3.bar.json")
    assert document.design_target == document.target
    assert not document.design_is_old
    # the aim is taken back: the design is not for that either
    bench("log", "G3", "--cancel", "1")
    assert read_bar_file("G3.bar.json").design_is_old
    assert bench("log", "G3", "--note", "A#3", "--a4", "442").code == 0  # a blank may well


@pytest.mark.parametrize("cents", [(-130.0, -100.0, -120.0), (-248.0, -93.0, -14.0)])
def test_a_bar_that_cannot_be_saved_becomes_what_next_offers(
    begun: Bench, cents: tuple[float, ...]
) -> None:
    """In the second case a note that mode 1 is flat of would do, if one believed linear theory."""
    for _ in range(2):
        hear(*cents)
    lost = begun("next", "G3")
    assert "cannot become this note" in lost.out
    content = answer(begun, "next", "G3")
    (*_others, offer) = content["could_become"]
    assert offer["command"] == f"barmodel log G3.bar.json --note {offer['note']}"
    assert f"to make it {offer['note']} with 1:4:10 instead: {offer['command']}" in lost.shown
    followed = begun(*offer["command"].split()[1:])
    assert followed.code == 0, followed.err
    then = answer(begun, "next", "G3")
    assert then["state"] == "cut"
    assert min(then["now_cents"]) > 0.0
    shown = begun("next", "G3").out
    assert f"G3, target {offer['note']}" in shown


def test_offers_are_those_of_the_file_though_holes_are_to_come(begun: Bench) -> None:
    assert begun("log", "G3", "--holes", "6.4").code == 0
    for _ in range(2):
        hear(-130.0, -100.0, -120.0)
    offers = answer(begun, "next", "G3")["could_become"]
    assert offers
    for offer in offers:
        assert offer["ratios"] == [1.0, 4.0, 10.0][: len(offer["ratios"])]
    assert "with 1:4:10 instead" in begun("next", "G3").shown


def test_papers_say_that_the_design_was_for_another_aim(begun: Bench) -> None:
    assert begun("design", "G3", "--model", "beam", "--save").code == 0
    hear(20.0, 22.0, 25.0)
    asks = (("sheet", "G3", "--out", "G3.csv"), ("modes", "G3", "--designed", "--model", "beam"))
    said = "the design in the file is for G3 (A4 = 440, 1:4:10), and the bar is to become F#3"
    for words in asks:
        assert said not in begun(*words).shown
    assert said in begun("log", "G3", "--note", "F#3").told
    for words in asks:
        told = begun(*words)
        assert told.code == 0, told.err
        assert said in told.shown + told.told
    notes = answer(begun, "sheet", "G3", "--out", "G3.csv")["notes"]
    assert notes[0].startswith("Mind: the design")
    assert "next: barmodel next G3.bar.json" in begun("log", "G3").told
