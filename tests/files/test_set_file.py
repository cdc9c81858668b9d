"""The set file: what it says arrives in SI, and a slip is named with its place."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from barmodel.bar import Bar, Blank
from barmodel.bench import Belief
from barmodel.errors import FileError, InputError
from barmodel.files import file_schemas, read_cutters, set_document, wood_of, wood_part
from barmodel.files.cuts import Record
from barmodel.files.set_file import read_set_file
from barmodel.fit import Taps, fit_wood
from barmodel.instrument import to_leave
from barmodel.modes import solve
from barmodel.pitch import note_semitone
from barmodel.weather import Condition
from barmodel.wood import species

GOOD = """
schema = "barmodel/set/1"
lowest = "F3"
highest = "C5"
a4_hz = 442
[ratios]
F3 = [1, 4, 10]
"Bb4" = [1, 4]
[stretch_cents]
F3 = -4
C4 = 3
[width_mm]
F3 = 56
C4 = 50
[stock]
thickness_mm = 21
wood = {species = "padauk"}
[lengths]
given_mm = {F3 = 372, C5 = 250}
[room]
temperature_c = 21
humidity_percent = 50
[[planks]]
name = "P1"
length_mm = 900
width_mm = 60
thickness_mm = 22
mass_g = 950
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "try.set.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_everything_arrives_in_si(tmp_path: Path) -> None:
    plan = read_set_file(written(tmp_path, GOOD))
    f3, b3, a4, b4 = (note_semitone(name) for name in ("F3", "B3", "A4", "A#4"))
    assert plan.name == "try"
    assert len(plan.semitones) == 20
    assert plan.target(a4).ratios == (1.0, 4.0, 10.0)
    assert plan.target(b4).ratios == (1.0, 4.0)
    assert (plan.width(b3), plan.width(b3 + 1)) == pytest.approx((0.056, 0.050))
    assert plan.target(f3).offset_cents == -4.0
    assert plan.target(b3).offset_cents == pytest.approx(2.0)  # six of seven semitones on
    assert plan.target(b4).offset_cents == 3.0
    assert plan.lengths.given == pytest.approx({f3: 0.372, note_semitone("C5"): 0.25})
    assert plan.limits.keep == pytest.approx(6e-3)  # of wood, where none is given
    assert plan.room is not None
    assert plan.room.moisture_percent == pytest.approx(9.2, abs=0.1)
    assert plan.planks[0].wood.density == pytest.approx(0.95 / (0.9 * 0.06 * 0.022))


def test_a_tapped_plank_brings_its_own_stiffness(tmp_path: Path) -> None:
    plank = read_set_file(written(tmp_path, GOOD)).planks[0]
    stiffer = replace(plank.wood, e_long=1.2 * plank.wood.e_long)
    bar = Bar(blank=Blank(length=0.9, width=0.06, thickness=0.022, wood=stiffer))
    hz = solve(bar, count=1, families=["bending"]).bending_hz[0]
    tapped = read_set_file(written(tmp_path, f"{GOOD}tap_hz = [{hz:.2f}]\n")).planks[0]
    # one tap and the species' spread about E: most of what is heard goes to E
    assert tapped.wood.e_long / plank.wood.e_long == pytest.approx(1.2, rel=0.01)


def test_how_sure_a_tapped_plank_is_goes_with_its_bars(tmp_path: Path) -> None:
    untapped = read_set_file(written(tmp_path, GOOD)).planks[0].wood
    taps = "tap_hz = [116.4, 318.1, 616.0]\n"
    tapped = read_set_file(written(tmp_path, GOOD + taps)).planks[0].wood
    assert untapped.spread == ()
    spread = dict(tapped.spread)
    # the taps tell E to a percent; a bar of it may differ from the plank's mean by more than that
    assert 0.05 < spread["e_long"] < 0.053
    assert 0.10 < spread["g_long_thick"] < 0.30
    # through the bar file into what the bench believes, and what a fit leans on
    read = wood_of(wood_part(tapped))
    assert dict(read.spread) == pytest.approx(spread, rel=1e-3)
    belief = Belief.about(read)
    assert belief.e_long == pytest.approx(spread["e_long"], rel=1e-3)
    assert belief.g_long_width == Belief().g_long_width
    bar = Bar(blank=Blank(length=0.4, width=0.06, thickness=0.022, wood=read))
    higher = 1.1 * solve(bar, count=1, families=["bending"]).bending_hz[0]
    usual = replace(bar, blank=replace(bar.blank, wood=replace(read, spread=())))
    moved = [fit_wood(b, Taps(bending_hz=[higher])).wood.e_long for b in (bar, usual)]
    assert moved[0] / read.e_long == pytest.approx(1.21, abs=0.02)
    assert moved[0] < moved[1], "the surer constant gives way less, and the shear more"
    with pytest.raises(InputError, match="give the modulus it belongs to"):
        replace(read, spread=(("density", 0.1),))


def test_taps_make_nobody_less_sure(tmp_path: Path) -> None:
    taps = "tap_hz = [116.4, 318.1, 616.0]\n"
    known = GOOD + taps + "[planks.wood.spread_percent]\ne_long = 3\ng_long_width = 4\n"
    spread = dict(read_set_file(written(tmp_path, known)).planks[0].wood.spread)
    assert (spread["e_long"], spread["g_long_width"]) == pytest.approx((0.03, 0.04))
    assert spread["g_long_thick"] < 0.30, "E being known, the taps tell more of the shear"
    # alike all over, a metal's bar is as its bar stock was tapped
    text = GOOD.replace('"padauk"', '"6061"').replace("mass_g = 950", "mass_g = 3208")
    rang = solve(
        Bar(blank=Blank(length=0.9, width=0.06, thickness=0.022, wood=species("6061").wood())),
        count=3,
        families=["bending"],
    ).bending_hz
    metal = f"{text}tap_hz = [{', '.join(f'{hz:.2f}' for hz in rang)}]\n"
    of_metal = dict(read_set_file(written(tmp_path, metal)).planks[0].wood.spread)
    assert 0.001 < of_metal["e_long"] < 0.03
    assert of_metal.get("g_long_thick", 0.0) < 0.03


def test_quarter_sawn_stock_stays_so(tmp_path: Path) -> None:
    text = GOOD.replace('{species = "padauk"}', '{species = "padauk", sawn = "quarter"}')
    plan = read_set_file(written(tmp_path, f"{text}tap_hz = [116.4, 318.1, 616.0]\n"))
    assert wood_part(plan.planks[0].wood).sawn == "quarter"
    plan = replace(plan, bench=Condition(temperature_c=17.0, moisture_percent=6.0))
    flat = read_set_file(written(tmp_path, GOOD)).wood
    upright, lying = to_leave(plan, plan.wood), to_leave(plan, flat)
    assert upright is not None
    assert lying is not None
    assert abs(upright.cents - lying.cents) > 1.0


def test_a_tap_some_cents_off_hardly_moves_a_slender_plank(tmp_path: Path) -> None:
    """Once ten cents in mode 3 took the shear down by a third, and the plank did for nothing."""

    def shear(third: float) -> float:
        taps = f"tap_hz = [116.4, 318.1, {third}]\n"
        return read_set_file(written(tmp_path, GOOD + taps)).planks[0].wood.g_long_thick

    even, low = shear(616.0), shear(616.0 * 2 ** (-12 / 1200))
    assert 0.85 < low / even < 0.99


@pytest.mark.parametrize(
    ("taps", "said"),
    [
        ("116.4, 298.0, 616.0", "mode 2 at 298 Hz lies .*that is a slip"),
        ("58.2, 159.0, 308.0", "left out: tapped at .* rings near 11[0-9], 3"),
        ("318.1, 616.0, 1000.0", "left out: .*is a mode missing"),
    ],
)
def test_taps_that_fit_no_plank_stop_no_set(tmp_path: Path, taps: str, said: str) -> None:
    plan = read_set_file(written(tmp_path, f"{GOOD}tap_hz = [{taps}]\n"))
    (remark,) = plan.remarks
    assert re.search(f"plank P1: .*{said}", remark)
    assert len(plan.planks) == (0 if "left out" in said else 1)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("mass_g = 950", "mass_g = 0.95", "plank P1: weighs 0.8 kg/m³.*in grams"),
        ("mass_g = 950", "tap_hz = [65,5, 180,1]", "plank P1: .*decimals with a point"),
        ("set/1", "set/2", "newer"),
        ("schema =", "scheme =", "lacks the line schema"),
        ('lowest = "F3"', 'lowest = "H9"', "lowest.*did you mean|lowest.*not known"),
        ('highest = "C5"', 'highest = "C2"', "must not lie below"),
        ("F3 = 56", "G3 = 56", "width of F3 is not given; the first entry is for G3"),
        ("F3 = [1, 4, 10]", "F3 = [4, 1]", "ratios"),
        ('"Bb4" = [1, 4]', '"Bb4" = [1, 4]\n"A#4" = [1, 3]', "stands twice"),
        ("thickness_mm = 21", "thickness_mm = 5", "least thickness 6 mm"),
        ("thickness_mm = 21", "thicknes_mm = 21", "did you mean thickness_mm"),
        ("padauk", "paduak", "stock.wood.*did you mean padauk"),
        ("C5 = 250", "C5 = 400", "higher bars are shorter"),
        ("humidity_percent = 50", "humidity_percent = 150", "room.humidity_percent"),
        ("a4_hz = 442", "a4_hz = 4420", "tuning frequency.*did you mean 442"),
        ("F3 = [1, 4, 10]", 'F3 = "1:4:10"', r"ratios.F3: '1:4:10' is no list.*\[1, 4, 10\]"),
        ("F3 = [1, 4, 10]", "F3 = 4.10", r"ratios.F3: 4.1 is no list"),
        ("humidity_percent = 50", "humidity_percent = 0.5", "in percent: 0.5 is written 50"),
        ("temperature_c = 21", "temperature_c = 70", "if that is °F, write 21"),
        ("mass_g = 950", "mass_g = -1", r"planks\[0\].mass_g"),
        ("F3 = -4", "F3 = nan", "stretch_cents"),
        ("[room]", "[room", "not readable TOML"),
    ],
)
def test_a_slip_is_named(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in GOOD
    with pytest.raises(FileError, match=f"try.set.toml: .*({said})"):
        read_set_file(written(tmp_path, GOOD.replace(old, new)))


def test_schema_is_printed() -> None:
    assert "given_mm" in file_schemas()["set"]["$defs"]["LengthsPart"]["properties"]


TEMPLATE = Path(set_document.__file__).parents[1] / "data" / "set_template.toml"


def test_the_set_file_to_begin_with_explains_every_field(tmp_path: Path) -> None:
    """Each field of the schema stands in it; those that are commented out are right as well."""
    text = TEMPLATE.read_text(encoding="utf-8")
    parts = [kind for kind in vars(set_document).values() if isinstance(kind, type)]
    fields = {
        field.alias or name
        for kind in parts
        if issubclass(kind, Record) and kind.__module__ == set_document.__name__
        for name, field in kind.model_fields.items()
    }
    assert len(fields) > 40
    missing = [name for name in fields if not re.search(rf"^(# )?\[*{name}\b", text, re.M)]
    assert not missing
    plain = read_set_file(written(tmp_path, text))
    assert plain.semitones == tuple(range(48, 53))
    every = re.sub(r"^# (?=\[\[planks|\w+ = )", "", text, flags=re.M)
    assert every.count("\n#") < text.count("\n#")
    full = read_set_file(written(tmp_path, every))
    assert [plank.name for plank in full.planks] == ["P1"]
    assert 8e9 < full.planks[0].wood.e_long < 20e9
    assert full.limits.bit_diameter == 0.012
    # what is said to hold where nothing is given does
    short = 'schema = "barmodel/set/1"\nlowest = "C4"\nhighest = "E4"\n[width_mm]\nC4 = 54\n'
    bare = read_set_file(
        written(tmp_path, f'{short}[stock]\nthickness_mm = 22\nwood = {{ species = "padauk" }}\n')
    )
    assert bare.rails == plain.rails
    assert bare.lengths == plain.lengths
    assert (bare.limits.keep, bare.kerf, bare.spare) == (plain.limits.keep, 0.003, 0.010)


@pytest.mark.parametrize(
    ("first", "said"),
    [
        ("", 'is not a cutters file: it lacks the line schema = "barmodel/cutters/1"'),
        ('schema = "barmodel/set/1"\n', "is not a cutters file"),
        ('schema = "barmodel/cutters/2"\n', "newer barmodel than this one"),
    ],
)
def test_a_list_of_cutters_says_what_it_is(tmp_path: Path, first: str, said: str) -> None:
    path = tmp_path / "cutters.toml"
    path.write_text(f'{first}[cutters.mine]\nkind = "drum"\nradius_mm = 20\n', encoding="utf-8")
    with pytest.raises(FileError, match=re.escape(said)):
        read_cutters(path)
