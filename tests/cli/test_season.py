"""Leave it today so that it is right where it is played; and which bar of the set comes next."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from barmodel.files import read_bar_file
from barmodel.weather import Condition, offset_to_leave
from barmodel.wood import Sawn, species
from barmodel_cli.sets import set_run
from tests.cli.conftest import Bench
from tests.cli.sets import SET, Designer

G3 = 195.99772
DAMP, DRY = "22/60", "17/40"


def wanted(sawn: Sawn = "flat") -> Any:
    there, here = (
        Condition.settled(temperature_c=c, relative_humidity=rh) for c, rh in ((22, 0.6), (17, 0.4))
    )
    return offset_to_leave(species("padauk").weather(sawn=sawn), here, there)


def roughed(bench: Bench) -> None:
    """A bar that was cut and heard twice, at 24 degrees."""
    bench.start()
    arch = {"shape": "arch", "start_mm": 80.0, "end_mm": 320.0, "depth_mm": 13.0, "fullness": 3.0}
    Path("arch.json").write_text(json.dumps([arch]), encoding="utf-8")
    assert bench("cut", "G3", "--entries", "arch.json").code == 0
    for _ in range(2):
        heard = ",".join(f"{G3 * ratio * 2 ** (60 / 1200):.3f}" for ratio in (1, 4, 10))
        assert bench("hear", "--into", "G3", "--hz", heard, "--temperature", "24").code == 0


def test_modes_say_what_to_leave(bench: Bench) -> None:
    bench.start()
    result = bench("modes", "G3", "--model", "beam", "--room", DAMP, "--bench", DRY)
    assert result.code == 0, result.err
    shift = wanted()
    assert shift.cents > 10.0  # colder and drier today: leave it sharp
    assert f"leave it {shift.cents:+.1f} ± {shift.standard_error:.1f} cents" in result.out
    command = ("modes", "G3", "--model", "beam", "--json")
    told = json.loads(bench(*command, "--room", DAMP, "--bench", DRY).out)
    assert told["leave"]["cents"] == pytest.approx(shift.cents)
    assert "leave" not in json.loads(bench(*command).out)


def test_a_quarter_sawn_bar_swells_otherwise(bench: Bench) -> None:
    """Its thickness follows the larger, tangential shrinkage, which makes up for some softening."""
    leave = {}
    for sawn in ("flat", "quarter"):
        assert bench.start(sawn, "--orientation", sawn).code == 0
        words = ("modes", sawn, "--model", "beam", "--json", "--room", DAMP, "--bench", DRY)
        leave[sawn] = json.loads(bench(*words).out)["leave"]["cents"]
    assert leave["flat"] == pytest.approx(wanted().cents)
    assert leave["quarter"] == pytest.approx(wanted("quarter").cents)
    assert 1.0 < leave["quarter"] < leave["flat"] - 1.0


def test_next_aims_at_the_room(bench: Bench) -> None:
    """What it says of now falls by the moisture, and by the heat from 20 to 22 degrees."""
    roughed(bench)
    plain = json.loads(bench("next", "G3", "--json").out)
    aimed = json.loads(bench("next", "G3", "--json", "--room", DAMP, "--bench", DRY).out)
    shift = wanted()
    heat = 2.0 * species("padauk").weather().cents_per_c
    moved = aimed["now_cents"][0] - plain["now_cents"][0]
    assert moved == pytest.approx(heat - shift.moisture_cents, abs=0.2)
    assert aimed["target_hz"][0] == pytest.approx(G3 * 2 ** (shift.moisture_cents / 1200), rel=1e-6)
    # so in the room the bar is right: the cut goes on to another pitch than without
    assert aimed["cut"] != plain["cut"]
    assert "for the moisture" in bench("next", "G3", "--room", DAMP, "--bench", DRY).out


def test_the_last_reading_says_how_today_is(bench: Bench) -> None:
    roughed(bench)
    command = ("modes", "G3", "--model", "beam", "--json", "--room", DAMP)
    assert "give --bench" in bench(*command).err
    heard = ("hear", "--into", "G3", "--hz", f"{G3 * 1.03:.3f},-,-")
    assert bench(*heard, "--temperature", "17", "--humidity", "40").code == 0
    told = json.loads(bench(*command).out)["leave"]
    assert told["cents"] == pytest.approx(wanted().cents)


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--bench", DRY), "--bench needs --room"),
        (("--room", "22", "--bench", DRY), "write °C and % humidity"),
        (("--room", "22/160", "--bench", DRY), "relative humidity"),
        (("--room", "220/60", "--bench", DRY), "outside"),
    ],
)
def test_wrong_air_is_refused(bench: Bench, options: tuple[str, ...], told: str) -> None:
    bench.start()
    result = bench("modes", "G3", "--model", "beam", *options)
    assert result.code == 3
    assert told in result.err


def test_a_wood_without_a_known_answer_is_told(bench: Bench) -> None:
    sizes = ("--length", "400", "--width", "60", "--thickness", "22", "--note", "G3")
    assert bench("start", "own", *sizes, "--e-long", "15", "--density", "800").code == 0
    result = bench("modes", "own", "--model", "beam", "--room", DAMP, "--bench", DRY)
    assert result.code == 0
    assert "not known" in result.err
    assert "leave it" not in result.out


def _told(hz: Any, cents: Any) -> str:
    """Frequencies so far above, as they are typed."""
    return ",".join(f"{value:.3f}" for value in hz * 2.0 ** (cents / 1200))


def test_the_bench_knows_which_bar_is_next(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    air = "\n[bench]\ntemperature_c = 17\nhumidity_percent = 40\n"
    Path("try.set.toml").write_text(SET.replace('"D#4"\n', '"D4"\n') + air, encoding="utf-8")
    early = bench("instrument", "try.set.toml", "--next")
    assert early.code == 3
    assert "holds no set yet" in early.err
    monkeypatch.setattr(set_run, "design", Designer())
    assert bench("instrument", "try.set.toml", "--cores", "1").code == 0

    def told() -> Any:
        return json.loads(bench("instrument", "try.set.toml", "--next", "--json").out)

    first = told()
    order = [bar["note"] for bar in first["bars"]]
    assert sorted(order) == ["C#4", "C4", "D4"]
    assert {bar["state"] for bar in first["bars"]} == {"not begun"}
    assert first["next_bar"] == f"try/{order[0]}.bar.json"

    # the set's own rooms count: left sharp by what the season asks, the bar is done
    modes = json.loads(bench("modes", f"try/{order[0]}", "--designed", "--json").out)
    leave = modes["leave"]["cents"]
    assert leave > 5.0
    left = leave - np.array(modes["holes"]["shift_cents"])  # and for the holes of the cords
    bar = f"try/{order[0]}.bar.json"
    target = np.array(modes["target_hz"])

    silent = bench("hear", "--into", bar, "--hz", "300,1200,-", "--unusual", "--json")
    assert "17 °C is recorded" in silent.err
    assert read_bar_file(bar).readings[-1].temperature_c == 17.0
    assert bench("log", bar, "--cancel", "1").code == 0

    def hear(cents: float) -> None:
        hz = _told(target, left + cents)
        result = bench("hear", "--into", bar, "--hz", hz, "--temperature", "17", "--unusual")
        assert result.code == 0, result.err

    assert bench("cut", bar, "--designed").code == 0
    near = _told(target, left + 1.0)
    words = ("hear", "--bar", bar, "--hz", near, "--temperature", "17")
    said = bench(*words)
    assert said.out.count(" +1.0\n") == 2
    assert "from today's aim" in said.out
    assert "every mode is within" in said.err  # and not of a target it is not to have today
    flat = _told(target, 0.0)
    assert "every mode is within" not in bench(*words[:4], flat, *words[5:]).err
    hear(10.0)
    begun = told()
    assert begun["bars"][0]["state"] == "begun"
    assert begun["bars"][0]["cents"] == pytest.approx([10.0, 10.0], abs=0.1)
    assert begun["next_bar"] == bar
    today = target * 2.0 ** (left / 1200)
    shown = f"a tuner must show {', '.join(f'{hz:.1f}' for hz in today)} Hz today"
    rows = [line.split() for line in bench("next", bar).out.splitlines() if "±" in line]
    aims = [float(row[3]) for row in rows if row[0] == "mode"]  # mode, 1, now Hz, aim Hz
    assert aims == pytest.approx(today, abs=0.02)
    assert shown in bench("log", bar).out
    # paper, map and trial go by the same
    paper = json.loads(bench("sheet", bar, "--out", "x.pdf", "--json").out)
    assert shown in paper["today"]
    assert any("those of the set, on its straight cords" in note for note in paper["notes"])
    where = json.loads(bench("map", bar, "--stations", "4", "--json").out)
    assert where["cents"][:2] == pytest.approx([10.0, 10.0], abs=0.1)
    assert shown in bench("try", bar, "--ends", "0.5").out
    # the water in it is that of weeks at the bench, not of one damp hour
    damp = bench("hear", "--into", bar, "--hz", f"{today[0]:.3f},-,-", "--unusual",
                 "--temperature", "17", "--humidity", "75")  # fmt: skip
    assert damp.code == 0
    told_then = json.loads(bench("modes", bar, "--json").out)["leave"]["cents"]
    assert told_then == pytest.approx(leave, abs=0.05)
    assert bench("log", bar, "--cancel", "5").code == 0
    # that reading was a slip; a real fall without a cut would be asked about first
    assert bench("log", bar, "--cancel", "4").code == 0
    for _ in range(5):
        hear(1.0)
    done = told()
    assert done["bars"][0]["state"] == "in tune"
    assert done["bars"][0]["holes_to_drill"] is True
    assert done["next_bar"] == f"try/{order[1]}.bar.json"
    assert f"next bar: {order[1]}" in bench("instrument", "try.set.toml", "--next").out
    after = bench("next", bar)
    assert f"next bar of the set: barmodel next try/{order[1]}.bar.json" in after.out, after.out
