"""A made-up workshop: virtual bars, hands that err, ears that err."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barmodel.bar import Bar, Blank
from barmodel.bench import CutMade, Reading
from barmodel.bench.belief import depth_error
from barmodel.bench.model import WOOD, bar_with, deeper
from barmodel.cuts import Cut, EndTrim, apply_cuts
from barmodel.pitch import Target, note_of
from barmodel.units import MM
from barmodel.wood import species
from validation.simulated_bench.truth import Array, Plank, frequencies

WOODS = ("honduran rosewood", "padauk", "sugar maple")
E_SPREAD, G_SPREAD = 0.12, 0.25
UNEVEN_STIFFNESS, UNEVEN_DENSITY = 0.02, 0.007
"""Root mean square of the variation along the bar (own choice)."""
STRIKE_CENTS, STRIKES = 1.0, 3
WRONG, WRONG_CENTS = 0.02, (12.0, 80.0)
"""Chance of a reading with one wrong mode, and how wrong."""
SHORTEST = 6.0
"""Shortest blank over its thickness."""
SEMITONES = (36, 48, 60, 72)
LENGTHS_MM = (570.0, 462.0, 370.0, 288.0)
WIDTHS_MM = (75.0, 62.0, 53.0, 46.0)


@dataclass
class Bench:
    """One virtual bar on the bench: only what is heard and what is written down gets out.

    Attributes
    ----------
    target : Target
    written : Bar
        The blank as the maker knows it: sizes, density, constants of the species.
    true_bar : Bar
    plank : Plank
    random : numpy Generator
    wrong : int
        Wrong readings so far.
    shaky : float
        Errors of the hands, over those the tool reckons with.
    deaf : bool
        Whether 0 Hz are heard, whatever sounds.
    """

    target: Target
    written: Bar
    true_bar: Bar
    plank: Plank
    random: np.random.Generator
    wrong: int = 0
    shaky: float = 1.0
    deaf: bool = False

    def copy(self, seed: int) -> Bench:
        """The same bar as it is now, for another maker."""
        return replace(self, random=np.random.default_rng(seed), wrong=0)

    @property
    def true_hz(self) -> Array:
        return frequencies(self.true_bar, self.plank)

    def hear(self) -> Reading:
        """Median of three strikes, sometimes with a line taken for another mode."""
        strikes = self.random.normal(0.0, STRIKE_CENTS, (STRIKES, 3))
        cents = np.median(strikes, axis=0)
        if self.random.random() < WRONG:
            self.wrong += 1
            sign = self.random.choice([-1.0, 1.0])
            cents[self.random.integers(0, 3)] += sign * self.random.uniform(*WRONG_CENTS)
        hz = self.true_hz * 2 ** (cents / 1200) * (not self.deaf)
        error = STRIKE_CENTS / STRIKES**0.5 * 1.16  # of a median of three
        return Reading(hz=tuple(hz.tolist()), error_cents=(error,) * 3)

    def saw(self, share: float) -> None:
        """Saw the blank to this share of its length."""
        if share * self.written.blank.length < SHORTEST * self.written.blank.thickness:
            raise ValueError("no bar of this plank meets the ratios")
        for name in ("written", "true_bar"):
            blank = getattr(self, name).blank
            setattr(self, name, Bar(blank=replace(blank, length=share * blank.length)))

    def cut(self, cuts: tuple[Cut, ...]) -> CutMade:
        """Make cuts as well as hands can, write down what was aimed at."""
        made = tuple(
            EndTrim(left=self._off(cut.left), right=self._off(cut.right))
            if isinstance(cut, EndTrim)
            else deeper(cut, float(self.shaky * self.random.normal(0.0, depth_error(cut))))
            for cut in cuts
        )
        self.true_bar = apply_cuts(self.true_bar, made, check=False)
        return CutMade(cuts=cuts)

    def _off(self, length: float) -> float:
        return max(length + float(self.random.normal(0.0, 0.1 * MM)), 0.0)


def make_bench(number: int, *, shaky: float = 1.0) -> Bench:
    """Make up a bar between C2 and C5: note, size, wood and how this plank differs."""
    random = np.random.default_rng([2718, number])
    semitone = int(random.integers(SEMITONES[0], SEMITONES[-1] + 1))
    length = np.interp(semitone, SEMITONES, LENGTHS_MM) * random.uniform(0.98, 1.02)
    width = np.interp(semitone, SEMITONES, WIDTHS_MM)
    wood = species(WOODS[number % len(WOODS)]).wood()
    density = wood.density * random.normal(1.0, 0.05)
    blank = Blank(
        length=round(length) * MM,
        width=round(width) * MM,
        thickness=round(random.uniform(21.0, 24.0), 1) * MM,
        wood=replace(wood, density=density),
    )
    spreads = [E_SPREAD] + [G_SPREAD] * (len(WOOD) - 1)
    factors = [max(random.normal(1.0, spread), 0.4) for spread in spreads]
    written = Bar(blank=blank)
    note = note_of(semitone - 12)
    return Bench(
        target=Target(note, ratios=(1.0, 4.0, 10.0)),
        written=written,
        true_bar=bar_with(written, np.log(factors), ()),
        plank=Plank(
            tuple(random.normal(0.0, UNEVEN_STIFFNESS * (2 / 3) ** 0.5, 3).tolist()),
            tuple(random.normal(0.0, UNEVEN_DENSITY * (2 / 3) ** 0.5, 3).tolist()),
        ),
        random=np.random.default_rng([3141, number]),
        shaky=shaky,
    )
