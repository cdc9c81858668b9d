"""Exit codes, and the one place where an exception becomes a message and a code."""

from __future__ import annotations

import contextlib
import errno
import io
import os
import re
import shutil
import sys
import textwrap
import traceback
from enum import IntEnum
from typing import TextIO


class ExitCode(IntEnum):
    """What the exit code of a command means."""

    OK = 0
    BUG = 1
    USAGE = 2
    BAD_INPUT = 3
    NO_SOLUTION = 4
    INTERRUPTED = 130


def report(error: BaseException) -> ExitCode:
    """Say on stderr what went wrong and return the exit code that belongs to it."""
    from barmodel.errors import BarModelError, NoSolutionError

    if isinstance(error, BrokenPipeError):
        return _reader_went_away()
    if isinstance(error, KeyboardInterrupt):
        say("stopped; files are as they were after the last finished step")
        return ExitCode.INTERRUPTED
    if isinstance(error, NoSolutionError):
        say(f"no solution: {shortened(str(error))}")
        return ExitCode.NO_SOLUTION
    if isinstance(error, BarModelError):
        say(f"error: {shortened(str(error))}")
        return ExitCode.BAD_INPUT
    if isinstance(error, OSError) and error.errno != errno.EPIPE:
        about = f"{error.filename}: " if error.filename else ""
        told = shortened(f"{about}{(error.strerror or str(error)).lower()}")
        say(f"error: {told}; nothing more was written")
        return ExitCode.BAD_INPUT
    if isinstance(error, MemoryError):
        say("error: this needs more memory than there is; ask for fewer modes or a coarser mesh")
        return ExitCode.BAD_INPUT
    traceback.print_exception(error, file=sys.stderr)
    say("this is a bug in barmodel, not in your input; please report the lines above")
    return ExitCode.BUG


def shortened(text: str) -> str:
    """Cut words that nobody reads to the end, such as a value of thousands of digits."""
    return re.sub(r"\S{301,}", lambda word: f"{word[0][:200]}…{word[0][-60:]}", text)


def ready_streams() -> None:
    """Make sure of places to write to, and that no letter is too much for their encoding."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # closed by the caller
            nowhere = os.open(os.devnull, os.O_WRONLY)
            setattr(sys, name, os.fdopen(nowhere, "w", encoding="utf-8"))
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")  # a question mark, and not a failure


def say(text: str) -> None:
    """Talk to the person, never to the pipe."""
    with contextlib.suppress(OSError, ValueError):  # nobody reads; that comes up again later
        sys.stdout.flush()  # or on one terminal the words would come before what they are about
    with contextlib.suppress(OSError, ValueError):  # nobody listens
        print(_folded(text, sys.stderr), file=sys.stderr, flush=True)


def tell(text: str) -> None:
    """Print a sentence of the answer; on a terminal it is folded between words."""
    print(_folded(text, sys.stdout))


def _folded(text: str, stream: TextIO) -> str:
    """Fold at words on a terminal; a line with a command stays whole, to be copied."""
    if not stream.isatty():
        return text
    width = shutil.get_terminal_size().columns
    return "\n".join(
        line
        if "barmodel " in line
        else textwrap.fill(line, width, break_long_words=False, break_on_hyphens=False)
        for line in text.splitlines()
    )


def _reader_went_away() -> ExitCode:
    """`barmodel woods | head`: the reader had enough, which is no error."""
    # the interpreter flushes stdout once more at exit; let it flush into nothing
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, sys.stdout.fileno())
    return ExitCode.OK
