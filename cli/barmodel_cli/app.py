"""`barmodel`: which commands there are, and how a call gets to its command.

Only the command that is called is imported, so that `barmodel --help` is quick: the others are
known by the line that this table holds about them.
"""

from __future__ import annotations

import importlib
import keyword
import os
import sys
from collections.abc import Callable
from typing import Annotated, Any, NamedTuple

import typer
from typer.core import TyperCommand, TyperGroup

from barmodel_cli.exits import ExitCode, ready_streams, report


class Command(NamedTuple):
    """One line of `barmodel --help`."""

    name: str
    panel: str
    help: str


BEFORE, BENCH, AROUND = "Before cutting", "At the bench", "Around the bar"

COMMANDS = (
    Command("woods", BEFORE, "Woods and alloys, their constants and where each number is from."),
    Command("start", BEFORE, "Make a bar file from blank, wood and target."),
    Command("fit", BEFORE, "Stiffness of this plank from the pitches of its taps."),
    Command("design", BEFORE, "Find the undercut that meets the target."),
    Command("modes", BENCH, "Modes of the bar: as it is, as a blank, as designed."),
    Command("map", BENCH, "What wood removed here does to each mode, along the bar."),
    Command("try", BENCH, "What a cut would do; nothing is recorded."),
    Command("cut", BENCH, "Record a cut that was made."),
    Command("hear", BENCH, "Modes of a struck bar from recordings."),
    Command("next", BENCH, "The next cut, and whether the bar can still be finished."),
    Command("log", BENCH, "History of the bar."),
    Command("sheet", AROUND, "Full-scale paper and drawings for the bench."),
    Command("instrument", AROUND, "A whole set of bars from its description."),
    Command("tube", AROUND, "Lengths of resonators."),
    Command("schema", AROUND, "JSON schemas of the files."),
)
"""Every command, in the order of the help. Its code is `commands/NAME.py`, function `run`."""

HELP = """Design, predict and tune the undercut of marimba, xylophone and vibraphone bars.

A bar lives in a file NAME.bar.json. Lengths are in mm, or in inches where written so (16 3/4in).
"""
CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
"""Matrices here are small: more threads only wait for each other (measured: 4 times slower)."""


def main() -> None:
    """Run the command line; `__main__` calls it."""
    for name in THREADS:  # read once, when numpy is first imported
        os.environ.setdefault(name, "1")
    os.environ["MPLBACKEND"] = "agg"  # pictures go to files, whatever screen there is
    ready_streams()
    sys.exit(call(sys.argv[1:]))


def call(arguments: list[str]) -> int:
    """Run one command and return its exit code."""
    verb = next((word for word in arguments if not word.startswith("-")), None)
    try:
        build_app(verb)(arguments, prog_name="barmodel")
        sys.stdout.flush()
    except SystemExit as stop:
        return _code_of(stop)
    except (Exception, KeyboardInterrupt) as error:
        return report(error)
    return ExitCode.OK


def _code_of(stop: SystemExit) -> int:
    try:
        sys.stdout.flush()
    except BrokenPipeError as error:
        return report(error)
    if stop.code == ExitCode.INTERRUPTED:
        return report(KeyboardInterrupt())  # typer leaves without a word
    if stop.code == ExitCode.BUG:
        # bugs come back from `report`; typer itself leaves with 1 when a pipe was closed
        return report(BrokenPipeError())
    return stop.code if isinstance(stop.code, int) else ExitCode.OK


def _without_bool(params: list[Any]) -> list[Any]:
    """Let help show no `<bool>` behind flags, which take no value."""
    for param in params:
        if getattr(param, "is_flag", False) and param.metavar is None:
            param.metavar = ""
    return params


class Verb(TyperCommand):
    """One verb."""

    def get_params(self, ctx: Any) -> list[Any]:
        """Return its options and arguments as help shows them."""
        return _without_bool(super().get_params(ctx))


class Verbs(TyperGroup):
    """The verbs together."""

    def get_params(self, ctx: Any) -> list[Any]:
        """Return their common options as help shows them."""
        return _without_bool(super().get_params(ctx))


def build_app(verb: str | None) -> typer.Typer:
    """Build the application with the code of one command behind its name.

    Parameters
    ----------
    verb : str or None
        The command to be called; the others only show their line of help.
    """
    app = typer.Typer(
        cls=Verbs,
        help=HELP,
        no_args_is_help=True,
        add_completion=False,
        pretty_exceptions_enable=False,
        context_settings=CONTEXT,
        rich_markup_mode="rich",
    )
    app.callback()(_options)
    for command in COMMANDS:
        code: Callable[..., Any] = _line_of_help
        text: str | None = command.help
        if command.name == verb:
            module = importlib.import_module(f"barmodel_cli.commands.{module_name(command.name)}")
            code, text = module.run, None
        app.command(command.name, cls=Verb, help=text, rich_help_panel=command.panel)(code)
    return app


def module_name(command: str) -> str:
    """Name of a command's module; `try` and `next` are words of Python and get a tail."""
    return f"{command}_" if keyword.iskeyword(command) or command == "next" else command


def _line_of_help() -> None:
    """Stand in for a command that is not the one called."""


def _print_version(wanted: bool) -> None:
    if wanted:
        from barmodel import __version__

        print(f"barmodel {__version__}")
        raise typer.Exit


def _options(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_print_version, is_eager=True, help="Show the version."),
    ] = False,
) -> None:
    pass
