"""Pictures: saved whole or not at all, letters embedded, words inside, marks told apart."""

from __future__ import annotations

import re
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.text import Text

from barmodel.bar import Bar, Blank
from barmodel.cutmap import TriedCut
from barmodel.cutmap.onecut import one_cut
from barmodel.errors import FileError, InputError
from barmodel.modes import ModeSet
from barmodel.pitch import Target
from barmodel.plots import save_figure
from barmodel.plots.cutmap import draw_cut_map
from barmodel.plots.history import draw_history
from barmodel.plots.modes import draw_modes
from barmodel.plots.spectrum import Line, draw_spectrum
from barmodel.plots.style import MODE_MARKS, canvas
from barmodel.undercut import Groove, Pocket
from barmodel.undercut.outline import cut_span, thinnest, underside
from barmodel.wood import species
from tests.plots.words import check_words
from tests.sheets.bars import job_of

LIMITS = ((-1.0, 3.0), (-3.0, 6.0), (-10.0, 15.0))
FIRST = 9  # C7, the shortest: least room for dimensions


def modes_of(bar: Bar, count: int = 3) -> ModeSet:
    """Sines for mode shapes: pictures need no solver."""
    x = np.linspace(0.0, bar.blank.length, 201)
    numbers = range(1, count + 1)
    shapes = np.array([np.cos((n + 1) * np.pi * x / x[-1]) for n in numbers])
    nodes = tuple((np.arange(n + 1) + 0.5) * x[-1] / (n + 1) for n in numbers)
    none = np.empty(0)
    return ModeSet(
        model="beam", bending_hz=np.array([196.9, 790.0, 1990.0, 3700.0])[:count],
        torsional_hz=none, lateral_hz=none, axial_hz=none, x=x, deflection=shapes, nodes=nodes,
        residual=0.0, mesh="", error_cents=none,
    )  # fmt: skip


def cut_map_of(bar: Bar, doubt: str = "") -> Figure:
    modes = modes_of(bar)
    x = np.linspace(0.01, bar.blank.length - 0.01, 41)
    effect = np.array([-30 * np.sin((n + 1) * np.pi * x / bar.blank.length) ** 2 for n in range(3)])
    return draw_cut_map(
        bar, x, effect, shape_x=modes.x, shapes=modes.deflection, nodes=modes.nodes,
        zero_points=[np.array([x[3]])] * 3, strongest=x[[20, 10, 5]],
        distance_cents=[40.0, 0.2, None], title="C7",
        single=one_cut(effect, np.array([40.0, 0.2, np.nan]), LIMITS),
        tried=TriedCut(0.05, 0.63e-3, np.array([-12.2, -10.4, -13.4, -20.4]), 0.84), doubt=doubt,
        cutter="scraper, both halves", ends_cents_per_mm=[20.0, 15.0, 12.0], pair_width=0.02,
    )  # fmt: skip


def spectrum() -> Figure:
    hz = np.linspace(0.0, 6000.0, 4001)
    lines = [Line(198.0, -3.0, "mode 1", 1, 9.6, 0.6), Line(1490.0, -30.0)]
    return draw_spectrum(hz, -60.0 - hz / 300.0, lines, target_hz=(196.9, 787.6), title="G3")


def history() -> Figure:
    cents = np.array([[180.0, 90.0], [60.0, np.nan], [2.0, -1.0]])
    return draw_history(cents, ["1", "2", "3"], title="G3")


@pytest.mark.parametrize("index", [0, 1, FIRST])
def test_words_of_the_modes_picture_stay_inside_and_apart(index: int) -> None:
    bar = job_of(index).aim
    check_words(draw_modes(bar, modes_of(bar), Target("G3", a4_hz=442.0), title="a name"))


@pytest.mark.parametrize(
    ("ratios", "known", "drawn"),
    [((1.0,), 4, 3), ((1.0, 4.0, 10.0), 4, 3), ((1.0, 4.0, 10.0, 18.0), 4, 4), ((1.0, 4.0), 2, 2)],
)
def test_every_tuned_mode_is_drawn(ratios: tuple[float, ...], known: int, drawn: int) -> None:
    bar = job_of(0).aim
    figure = draw_modes(bar, modes_of(bar, known), Target("G3", ratios=ratios), title="G3")
    check_words(figure)
    words = {text.get_text() for text in figure.findobj(Text)}
    assert {f"mode {n}" for n in range(1, 6)} & words == {f"mode {n}" for n in range(1, drawn + 1)}


@pytest.mark.parametrize(
    "draw",
    [
        lambda: cut_map_of(job_of(FIRST).aim),
        lambda: cut_map_of(job_of(FIRST).aim, "not heard since the last cut; listen again first"),
        spectrum,
        history,
    ],
)
def test_words_of_the_other_pictures_stay_inside_and_apart(draw) -> None:
    check_words(draw())


@pytest.mark.parametrize("kind", ["png", "svg", "pdf"])
def test_save_by_suffix(tmp_path: Path, kind: str) -> None:
    path = save_figure(history(), tmp_path / f"picture.{kind}")
    start = path.read_bytes()[:8]
    assert start.startswith({"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}[kind])
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


def test_pdf_embeds_real_letters(tmp_path: Path) -> None:
    data = save_figure(history(), tmp_path / "a.pdf").read_bytes()
    assert b"/FontFile2" in data
    assert b"/Type3" not in data


def test_other_suffix_and_missing_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"\.png, \.svg or \.pdf"):
        save_figure(canvas(1, 1), tmp_path / "a.jpeg")
    with pytest.raises(FileError, match="does not exist"):
        save_figure(canvas(1, 1), tmp_path / "none" / "a.png")
    assert list(tmp_path.iterdir()) == []


def test_a_failed_save_keeps_the_old_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.png"
    path.write_bytes(b"old")
    monkeypatch.setattr(Figure, "savefig", _disk_full)
    with pytest.raises(FileError, match="no space"):
        save_figure(canvas(1, 1), path)
    assert path.read_bytes() == b"old"
    assert len(list(tmp_path.iterdir())) == 1


def _disk_full(*args: object, **kind: object) -> None:
    raise OSError(28, "No space left on device")


def test_settings_stay_inside() -> None:
    before = dict(mpl.rcParams)
    history()
    assert dict(mpl.rcParams) == before


def test_marks_differ_without_colour() -> None:
    lines = {str(m.line) for m in MODE_MARKS}
    markers = {m.marker for m in MODE_MARKS}
    assert len(lines) == len(markers) == len(MODE_MARKS)
    # WCAG contrast against white of at least 3, so that lines show on poor paper
    for m in MODE_MARKS:
        linear = [
            c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(m.color)
        ]
        luminance = float(np.dot(linear, (0.2126, 0.7152, 0.0722)))
        assert 1.05 / (luminance + 0.05) > 3.0


def test_underside_keeps_walls_and_limits() -> None:
    profile = job_of(1).aim.profile  # steps
    x, h = underside(profile)
    for wall in profile.walls:
        assert np.sum(np.abs(x - wall) < 1e-9) == 2
    assert np.trapezoid(h, x) == pytest.approx(profile.integral(), rel=1e-6)
    assert cut_span(profile) == pytest.approx((profile.walls[0], profile.walls[-1]))
    place, least = thinnest(profile)
    assert place == pytest.approx(profile.length / 2)
    assert least == pytest.approx(profile.least_thickness()[0])


def test_one_cut_is_never_harmful_and_leaves_nothing_flat() -> None:
    rng = np.random.default_rng(5)
    effect, distance = rng.normal(-5.0, 5.0, (3, 40)), np.array([30.0, 20.0, -2.0])
    found = one_cut(effect, distance, LIMITS)
    assert found.nearer.min() >= 0.0
    assert found.nearer.max() <= 1.0
    after = distance[:, None] + effect * found.depth_mm
    assert (after >= np.array(LIMITS)[:, :1] - 1e-9).all()
    assert found.nearer == pytest.approx(
        1.0 - np.linalg.norm(after, axis=0) / np.linalg.norm(distance)
    )
    # where a cut only sharpens what is sharp already, the best cut is none
    worse = one_cut(np.full((3, 1), 4.0), np.array([30.0, 20.0, 10.0]), LIMITS)
    assert worse.nearer == 0.0
    assert worse.best is None
    assert not worse.in_tune


def test_the_picture_says_what_it_means() -> None:
    """Sharp, in tune and flat by the limits shown; the best place beside the strongest ones."""
    bar = job_of(0).aim
    modes = modes_of(bar)
    x = np.linspace(0.01, bar.blank.length - 0.01, 40)
    effect = -np.array(
        [np.hypot(1.0, k) * np.exp(-(((x - 0.1 * k) / 0.03) ** 2)) for k in (1, 2, 3)]
    )
    single = one_cut(10 * effect, np.array([5.0, 0.8, -12.0]), LIMITS)
    figure = draw_cut_map(
        bar, x, 10 * effect, shape_x=modes.x, shapes=modes.deflection, nodes=modes.nodes,
        zero_points=[np.array([])] * 3, distance_cents=[5.0, 0.8, -12.0],
        strongest=[0.1, 0.2, 0.3], single=single,
        tried=TriedCut(0.123, 0.45e-3, np.array([2.6, -0.4, -12.0]), 0.61),
        ends_cents_per_mm=[11.0, 9.0, 8.0], pair_width=0.02, limits=LIMITS,
    )  # fmt: skip
    check_words(figure)
    said = [text.get_text() for text in figure.texts]
    assert "cents sharp: to come down" in said
    assert "in tune from −1 to +3" in said
    assert "cents, in tune: leave it alone" in said
    assert "cents flat: only the ends raise it" in said
    assert "1 mm off both ends: +8.0" in said
    at = int(np.abs(x - 0.3).argmin())  # the picture names the place it is given
    assert f"strongest at 300 mm: −{-10 * effect[2, at]:.0f} per mm" in said
    other = 1e3 * bar.blank.length - 123
    told = " ".join(said)
    assert (
        f"▼ best single cut: at 123 and {other:.0f} mm, 0.45 mm deep; then about +3, 0, −12 cents,"
        in told
    )
    assert "together 61 % nearer" in told


def test_lines_beyond_the_scale_are_counted_and_not_drawn_in_the_margin() -> None:
    hz = np.linspace(0.0, 6000.0, 4001)
    lines = [Line(198.0, -3.0, "mode 1", 1), Line(300.0, -30.0), Line(5200.0, -40.0)]
    figure = draw_spectrum(hz, -60.0 - hz / 300.0, lines)
    axes = figure.axes[0]
    low, high = axes.get_xlim()
    marked = [at for line in axes.lines[1:] for at in np.atleast_1d(line.get_xdata())]
    assert marked == [198.0, 300.0]
    assert low < 198.0 < 300.0 < high < 5200.0
    assert "1 of them off the scale" in [t.get_text() for t in figure.texts]


def test_shapes_that_do_not_fit_are_named() -> None:
    with pytest.raises(InputError, match="one row for each"):
        draw_history(np.zeros((2, 3)), ["only one"])
    assert re.search("equal length", str(_error_of_spectrum()))


def _error_of_spectrum() -> InputError:
    with pytest.raises(InputError) as caught:
        draw_spectrum(np.zeros(3), np.zeros(4), [])
    return caught.value


def test_no_place_is_offered_on_a_bar_that_is_in_tune() -> None:
    effect = np.array([[-10.0, 0.0], [0.0, -10.0]])
    at_home = one_cut(effect, np.array([2.9, -2.9]), LIMITS[:2])
    assert at_home.in_tune
    assert not at_home.nearer.any()
    assert one_cut(effect, np.array([5.0, 0.1]), LIMITS[:2]).nearer.max() > 0.9


def test_steps_are_drawn_with_every_wall_and_floor() -> None:
    bar = job_of(1).aim
    figure = draw_modes(bar, modes_of(bar), Target("C3"), title="C3")
    check_words(figure)
    words = {text.get_text() for text in figure.findobj(Text)}
    assert {f"{x * 1e3:.1f}" for x in bar.profile.walls} <= words
    stock, least = bar.blank.thickness, thinnest(bar.profile)[1]
    assert f"{(stock - least) * 1e3:.1f} deep, {least * 1e3:.1f} left" in words
    assert "8.5 deep" in words


def test_a_floor_beside_the_thinnest_place_is_not_written_under_its_words() -> None:
    blank = Blank(length=0.342, width=0.053, thickness=0.022, wood=species("padauk").wood())
    steps = (
        Pocket(start=0.064, end=0.278, depth=1.4e-3),
        Pocket(start=0.131, end=0.211, depth=10.8e-3),
        Groove(at=0.171, width=0.03, depth=0.3e-3, section="dished"),
    )
    bar = Bar(blank=blank, undercut=steps)
    check_words(draw_modes(bar, modes_of(bar), Target("C4"), title="w"))
