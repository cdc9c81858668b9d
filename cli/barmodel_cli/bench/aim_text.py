"""What is to be said of the aim of a bar that got another one than it was begun for."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from barmodel_cli.shown.show import cents_text

if TYPE_CHECKING:
    from barmodel.files import BarDocument, TargetPart
    from barmodel_cli.bench.today import Today


def aim_words(target: TargetPart, before: TargetPart) -> str:
    """A new aim, and how far it is from the one before."""
    from barmodel.files import aim_in_words, target_of
    from barmodel.pitch import cents

    step = cents(target_of(target).fundamental_hz, target_of(before).fundamental_hz)
    moved = f", {abs(step):.1f} cents {'above' if step > 0.0 else 'below'} the aim before"
    return aim_in_words(target) + (moved if abs(step) >= 0.05 else "")


def since_heard(document: BarDocument, then: dict[int, Today]) -> str:
    """Where the last reading stands from an aim that came after it; empty if none did."""
    import math

    from barmodel.files import target_of

    if not document.readings or not document.aims:
        return ""
    last = document.readings[-1]
    if document.aims[-1].id < last.id:
        return ""
    away = then[last.id].away(last.hz, target_of(document.target)).tolist()
    cents = "  ".join("–" if math.isnan(c) else cents_text(c) for c in away)
    return f"entry {last.id} from the aim since then: {cents} cents"


def what_follows(document: BarDocument, before: TargetPart, path: Path) -> Iterator[str]:
    """What a maker should know once the aim of a bar has changed."""
    now, then = len(document.target.ratios), len(before.ratios)
    if now != then:
        modes = "one mode" if now == 1 else f"{now} modes"
        told = f"{modes} will be tuned where it was {then}"
        yield told + (
            "; those above are left as they come"
            if now < then
            else "; whether the further ones can come home with the others, `next` tells"
        )
    if told := old_design(document, path):
        yield told


def old_design(document: BarDocument, path: Path) -> str:
    """That the design is not for the aim that counts; empty if it is, or if there is none."""
    from barmodel.files import aim_in_words

    if not document.design_is_old:
        return ""
    # what is cut already has been heard; the design knows neither
    bench = f" by what is there, barmodel next {path}; or" if document.begun else ""
    return (
        f"the design in the file is for {aim_in_words(document.designed_for)}, and the bar is to "
        f"become {aim_in_words(document.target)} now: go on{bench} by a design for that, "
        f"barmodel design {path} --save"
    )
