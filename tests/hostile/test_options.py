"""Every option of every command, as a walk over the commands finds them, is given nonsense."""

from __future__ import annotations

import importlib
import inspect
import itertools
import math
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import typer

from barmodel_cli import app
from tests.cli.conftest import Bench
from tests.hostile.outcome import call

VERBS = [command.name for command in app.COMMANDS]
NO_NUMBERS = (
    "nan", "inf", "-inf", "1e309", "-1e309", "", " ", "12,5", "1.234,5", "0x10", "9" * 400,
    "9" * 5000, "½", "²", "12 furlong", "1/0", "5e", "e5", "--", "=", "\n", "💥", "NaN%",
    "1:nan", "nan,1", "start=nan", "start=1e309", "a" * 5000, "-" * 300, "１２㎜", "−∞",
)  # fmt: skip
"""What is no number, or none that can be used."""
ODD_NUMBERS = (
    "-5", "-0", "0", "1e-300", "-1e300", "1e300", "99999999999999999999", "0." + "0" * 400 + "1",
    "16 3/4in", "1_000", "١٢", "+5", "5.", ".5", "50%", "start=-1", "1,2,3", "-,-", "1:2:3",
)  # fmt: skip
"""What may be read as a number, though hardly a meant one."""
BASE = {
    "woods": ("woods",),
    "start": (
        *("start", "new", "--length", "400", "--width", "60", "--thickness", "22"),
        *("--wood", "padauk", "--note", "G3"),
    ),
    "design": ("design", "G3", "--model", "beam"),
    "modes": ("modes", "G3", "--model", "beam"),
    "try": ("try", "G3", "--at", "200", "--width", "12", "--depth", "0.3", "--model", "beam"),
    "cut": ("cut", "G3", "--at", "200", "--width", "12", "--depth", "0.3"),
    "hear": ("hear", "--hz", "300,900,1800", "--bar", "G3"),
    "sheet": ("sheet", "G3", "--out", "G3.csv"),
    "instrument": ("instrument", "set.toml", "--lengths-only", "--cores", "1"),
    "tube": ("tube", "C3", "--bore", "60"),
    "schema": ("schema", "bar"),
}
"""A call of each command that works, or fails early; by default the command with a bar file."""
LONG_WORK = ("design", "map", "instrument", "fit", "sheet", "next")
"""Commands that are only given what they refuse: the rest would compute for seconds."""
ANSWERS_FIRST = {("next", "--save")}
"""What gives its answer and then says why there is no cut to be saved."""


def command_of(verb: str) -> Any:
    return importlib.import_module(f"barmodel_cli.commands.{app.module_name(verb)}").run


def options(verb: str) -> Iterator[tuple[str, Any]]:
    """Options of a command that take a value, by their names on the command line."""
    for name, parameter in inspect.signature(command_of(verb), eval_str=True).parameters.items():
        info = parameter.annotation.__metadata__[0]
        flag = parameter.annotation.__origin__ is bool
        if isinstance(info, typer.models.OptionInfo) and not flag:
            declared = [word for word in info.param_decls or () if word.startswith("--")]
            yield (declared or [f"--{name.replace('_', '-')}"])[0], info


EVERY = [(verb, option) for verb in VERBS for option, _ in options(verb)]


@pytest.mark.parametrize("verb", VERBS)
def test_values_are_read_as_something_finite_or_refused_in_words(verb: str) -> None:
    for option, info in options(verb):
        if info.parser is None:
            continue
        for text in ("\0", *NO_NUMBERS, *ODD_NUMBERS):
            value = _read_or_refused(info.parser, text)
            if isinstance(value, float):
                assert text in ODD_NUMBERS, (option, text)
            values = value if isinstance(value, tuple) else (value,)
            numbers = [number for number in values if isinstance(number, float)]
            assert all(map(math.isfinite, numbers)), (option, text)


def _read_or_refused(parser: Callable[[str], Any], text: str) -> Any:
    try:
        return parser(text)
    except typer.BadParameter as refusal:
        told = refusal.message
    assert 3 < len(told) < 700
    return told


@pytest.mark.parametrize("verb", VERBS)
def test_no_value_of_any_option_brings_a_command_down(bench: Bench, verb: str) -> None:
    bench.start()
    (bench.folder / "set.toml").write_text("schema = 'barmodel/set/1'\n")
    base = BASE.get(verb, (verb, "G3"))
    values = NO_NUMBERS if verb in LONG_WORK else (*NO_NUMBERS, *ODD_NUMBERS)
    # each option gets the next few, so that the walk as a whole meets every value many times
    turn = itertools.cycle(values)
    for option, _ in options(verb):
        kept = _without(base, option)
        for text in itertools.islice(turn, 2 if verb in LONG_WORK else 3):
            _, wrong = call(bench, *kept, f"{option}={text}")
            if (verb, option) in ANSWERS_FIRST:
                wrong = [word for word in wrong if not word.startswith("an answer")]
            assert not wrong, (option, text[:40], len(text))


def _without(words: tuple[str, ...], option: str) -> tuple[str, ...]:
    """Words of a call without an option and its value."""
    if option not in words:
        return words
    place = words.index(option)
    return words[:place] + words[place + 2 :]


@pytest.mark.parametrize("verb", VERBS)
def test_no_argument_brings_a_command_down(bench: Bench, verb: str) -> None:
    bench.start()
    rest = BASE["start"][2:] if verb == "start" else ()
    for text in (*NO_NUMBERS, *ODD_NUMBERS)[:: 9 if verb == "schema" else 3]:
        _, wrong = call(bench, verb, *rest, "--", text)
        assert not wrong, (text[:40], len(text))


@pytest.mark.parametrize(
    "words",
    [
        *(("start", "new", option, "41,2") for option in ("--length", "--mass", "--e-long")),
        ("tube", "C3", "--bore", "6,5"),
        ("try", "G3", "--at", "200,5"),
        ("next", "G3", "--tolerance", "3:1,5:2,,"),
        ("design", "G3", "--fix", "start=95,5"),
        ("fit", "G3", "--hz", "662,5,1671,1,2935,9"),
    ],
    ids=lambda words: words[0] + words[2],
)
def test_a_decimal_comma_gets_a_clear_word(bench: Bench, words: tuple[str, ...]) -> None:
    bench.start()
    told, wrong = call(bench, *words)
    assert not wrong
    assert told.code == 3
    assert any(word in told.err for word in ("point", "decimals", "3:1,6:3")), told.err


def test_the_walk_finds_the_options() -> None:
    assert len(EVERY) > 100
    assert {("start", "--length"), ("hear", "--hz"), ("cut", "--part")} <= set(EVERY)


def test_the_checks_would_notice(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    from barmodel.pitch import Target

    bench.start()
    monkeypatch.setattr(Target, "cents", lambda self, hz: 1 / 0)
    assert "exit code 1" in call(bench, "modes", "G3", "--model", "beam")[1]
