"""Real recordings of struck bars: the modes found, named, and as far off as two other methods."""

from __future__ import annotations

import json
import shutil
import subprocess
import tempfile
from functools import cache, partial
from pathlib import Path

from barmodel.pitch import cents
from barmodel.strike import Hearing, Recording, hear
from validation.check import Check, Controls
from validation.kit.compare import compared
from validation.recordings.sf2 import Sample, read_samples

TITLE = "Recorded bars"
ABOUT = """\
Seven recorded bars (vibraphone, xylophone, marimba, glockenspiel) of the Debian package
fluid-soundfont-gm (MIT licence), heard without any prediction, so that names rest on ratios alone.
The reference frequencies were measured by two methods of other make (zero-padded transform with
parabolic peak; heterodyned band with matrix pencil); their disagreement is part of the tolerance.
The recordings are fetched, never kept: the case is skipped where neither the file nor the package
manager is at hand."""

PACKAGE, FILE = "fluid-soundfont-gm", "usr/share/sounds/sf2/FluidR3_GM.sf2"
_check = partial(
    compared,
    source=f"Debian package {PACKAGE}, measured by two other methods (reference.json)",
    tag="recomputed independently",
)
WITHIN_CENTS = 3.0
SURE = 0.9
WHY_DECAY = """\
not asked of real recordings; these lines do not fall as one exponential, and a fit over the whole
ring gives the vibraphone's upper modes 17 to 36 % longer than the reference's early ring"""
REFERENCE = json.loads((Path(__file__).parent / "reference.json").read_text(encoding="utf-8"))


def skipped() -> str:
    """Return the reason when the recordings cannot be had, else nothing."""
    try:
        _samples()
    except (OSError, subprocess.SubprocessError, KeyError) as error:
        return f"the package {PACKAGE} is not installed and could not be fetched ({error})"
    return ""


def checks() -> list[Check]:
    return _checks(_heard(faster=1.0))


def negative_controls() -> Controls:
    return {
        "recordings played half a per cent too fast": _checks(_heard(faster=1.005)),
        "recordings played a third too fast": _checks(_heard(faster=4 / 3)),
    }


@cache
def _samples() -> dict[str, Sample]:
    names = {entry["sample"] for entry in REFERENCE["samples"]}
    installed = Path("/") / FILE
    if installed.is_file():
        return read_samples(installed, names)
    if shutil.which("apt-get") is None or shutil.which("dpkg-deb") is None:
        raise OSError("no apt-get here")
    with tempfile.TemporaryDirectory() as folder:
        _quietly(["apt-get", "download", PACKAGE], folder)
        archive = next(Path(folder).glob(f"{PACKAGE}*.deb"))
        _quietly(["dpkg-deb", "-x", str(archive), "out"], folder)
        return read_samples(Path(folder) / "out" / FILE, names)


def _quietly(command: list[str], folder: str) -> None:
    subprocess.run(command, cwd=folder, check=True, capture_output=True, timeout=300)


@cache
def _heard(*, faster: float) -> dict[str, Hearing]:
    return {
        name: hear(Recording(sample.samples, faster * sample.rate, name))
        for name, sample in _samples().items()
    }


def _checks(hearings: dict[str, Hearing]) -> list[Check]:
    found: list[Check] = []
    decays: list[Check] = []
    good = false = graded = 0
    for entry in REFERENCE["samples"]:
        heard = hearings[entry["sample"]]
        for mode in entry["modes"]:
            if mode["grade"] == "unsure":
                continue
            graded += 1
            label = f"{entry['sample']}, mode {mode['mode']}"
            tolerance = max(WITHIN_CENTS, mode["tolerance_cents"])
            named = heard.mode(mode["mode"])
            off = float("nan") if named is None else cents(named.hz, mode["hz"])
            check = _check(label, 0.0, off, tolerance, "cent", _why(mode))
            good += check.passed
            false += named is not None and not check.passed and named.confidence >= SURE
            found.append(check)
            decays += _decay(label, mode, None if named is None else named.decay_s)
    share = good / graded
    found.append(_check("modes found, named and in tolerance", 1.0, share, 0.05, "", "asked: 95 %"))
    found.append(_check("wrong names at confidence ≥ 0.9", 0.0, false, 0.0, "", "never"))
    kept = sum(check.passed for check in decays) / len(decays)
    found.append(
        _check("decay times within the reference's own tolerance", 1.0, kept, 0.25, "", WHY_DECAY)
    )
    return found


def _why(mode: dict[str, object]) -> str:
    if float(str(mode["tolerance_cents"])) > WITHIN_CENTS:
        return "the two methods of the reference differ by this much"
    return str(mode["why"] or "asked of this room: 3 cents")


def _decay(label: str, mode: dict[str, object], decay_s: float | None) -> list[Check]:
    if mode["tau_s"] is None:
        return []
    expected = float(str(mode["tau_s"]))
    share = float(str(mode["tau_relative_tolerance"]))
    computed = float("nan") if decay_s is None else decay_s
    reason = "tolerance of the reference: real lines do not decay as one exponential"
    return [_check(f"{label}, decay", expected, computed, share * expected, "s", reason)]
