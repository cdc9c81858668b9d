from __future__ import annotations

import importlib
import inspect
import json
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

from barmodel.errors import InputError, MissingExtraError, NoSolutionError
from barmodel_cli import app
from barmodel_cli.exits import ExitCode, report, say
from tests.cli.conftest import Bench

VERBS = [command.name for command in app.COMMANDS]
SCRIPT = Path(sysconfig.get_path("scripts")) / "barmodel"


def test_help_imports_no_heavy_package() -> None:
    code = (
        "import sys; from barmodel_cli.app import call; call(['--help']); "
        "heavy = {'numpy', 'scipy', 'matplotlib', 'pydantic'} & set(sys.modules); "
        "sys.exit(f'imported: {heavy}' if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "Usage" in done.stdout


def test_installed_script_answers() -> None:
    done = subprocess.run([SCRIPT, "woods", "--json"], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "padauk" in [wood["species"] for wood in json.loads(done.stdout)["woods"]]


def test_reader_of_a_pipe_may_leave() -> None:
    done = subprocess.run(
        f"'{SCRIPT}' schema | head -c 1; exit ${{PIPESTATUS[0]}}",
        shell=True,
        executable="/bin/bash",
        capture_output=True,
        text=True,
    )
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("name", VERBS)
def test_every_command_has_help_with_an_example(bench: Bench, name: str) -> None:
    result = bench(name, "-h")
    assert result.code == 0
    assert "Example:" in result.out
    assert "bool" not in result.out.lower()
    assert f"barmodel {name}" in result.out


@pytest.mark.parametrize("name", VERBS)
def test_every_command_starts_without_the_library(name: str) -> None:
    """Its options can be read, and be wrong, before numpy is loaded."""
    code = (
        f"import sys; from barmodel_cli.app import call; call(['{name}', '--help']); "
        "heavy = {'numpy', 'scipy', 'matplotlib'} & set(sys.modules); "
        "sys.exit(f'imported: {heavy}' if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("name", VERBS)
def test_every_option_says_what_it_does(name: str) -> None:
    module = importlib.import_module(f"barmodel_cli.commands.{app.module_name(name)}")
    for parameter in inspect.signature(module.run, eval_str=True).parameters.values():
        info = parameter.annotation.__metadata__[0]
        assert info.help, f"{name} {parameter.name}"


def test_commands_on_disk_are_in_the_table() -> None:
    folder = Path(app.__file__).parent / "commands"
    files = {path.stem.rstrip("_") for path in folder.glob("[!_]*.py")}
    assert files <= {command.name for command in app.COMMANDS}


@pytest.mark.parametrize(
    ("error", "code", "word"),
    [
        (InputError("a"), ExitCode.BAD_INPUT, "error: a"),
        (MissingExtraError("b"), ExitCode.BAD_INPUT, "error: b"),
        (NoSolutionError("c"), ExitCode.NO_SOLUTION, "no solution: c"),
        (PermissionError(13, "Permission denied", "x"), ExitCode.BAD_INPUT, "x: permission denied"),
        (KeyboardInterrupt(), ExitCode.INTERRUPTED, "stopped"),
        (ZeroDivisionError("d"), ExitCode.BUG, "this is a bug"),
    ],
)
def test_exceptions_become_codes_and_words(
    error: BaseException, code: int, word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert report(error) == code
    captured = capsys.readouterr()
    assert word in captured.err
    assert captured.out == ""


@pytest.mark.parametrize("words", [["nonsense"], ["modes"], ["woods", "--colour"], ["start", "x"]])
def test_wrong_usage_is_code_2(bench: Bench, words: list[str]) -> None:
    result = bench(*words)
    assert result.code == ExitCode.USAGE
    assert result.out == ""


def test_version(bench: Bench) -> None:
    assert bench("--version").out.startswith("barmodel ")


def test_talk_is_folded_at_words_on_a_terminal_only(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "30")
    command = "next: barmodel fit with-a-long-name.bar.json --save"
    say("words that are longer than thirty columns\n" + command)
    assert capsys.readouterr().err.splitlines()[0] == "words that are longer than thirty columns"
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    say("words that are longer than thirty columns\n" + command)
    assert capsys.readouterr().err.splitlines() == [
        "words that are longer than",
        "thirty columns",
        command,
    ]
