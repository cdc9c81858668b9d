"""One writer at a time: a lock file beside the file, held only while it is changed.

Where the system has `flock` the lock dies with its process, so a crash never leaves one behind.
Elsewhere the existence of the lock file is the lock, and one older than any honest writing is
taken over.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from barmodel.atomic import PART, hidden_prefix
from barmodel.errors import FileError

PATIENCE_S = 10.0
"""How long to wait for another command to finish writing. [s]"""
STALE_S = 60.0
"""Age at which a lock file whose owner cannot be asked is taken for left behind. [s]"""
_PAUSE_S = 0.005

fcntl: Any
try:
    import fcntl
except ImportError:  # Windows
    fcntl = None


@contextlib.contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold the lock of a file for the time of a change.

    Parameters
    ----------
    path : Path
        The file, existing or not; symbolic links already followed.

    Raises
    ------
    FileError
        If the folder is missing or read-only, or another command holds the lock for too long.
    """
    lock = path.with_name(f"{hidden_prefix(path)}lock")
    take = _take_by_kernel if fcntl is not None else _take_by_existence
    give_back = _wait_for(lock, take, path)
    try:
        _remove_debris(path)
        yield
    finally:
        give_back()


def _wait_for(lock: Path, take: Any, path: Path) -> Any:
    limit = time.monotonic() + PATIENCE_S
    while True:
        try:
            give_back = take(lock)
        except OSError as error:
            if take is _take_by_kernel and error.errno in (errno.ENOLCK, errno.ENOTSUP):
                take = _take_by_existence  # some network folders know no locks
                continue
            raise _cannot_lock(path, error) from None
        if give_back is not None:
            return give_back
        if time.monotonic() > limit:
            raise FileError(
                f"{path.name}: another command has been writing it for {PATIENCE_S:g} s; "
                f"wait for it, or delete {lock.name} if no command is running"
            )
        time.sleep(_PAUSE_S)


def _cannot_lock(path: Path, error: OSError) -> FileError:
    if not path.parent.is_dir():
        return FileError(f"{path}: there is no folder {path.parent}; make it first")
    text = (error.strerror or str(error)).lower()
    return FileError(f"{path}: cannot be written: {text}; nothing was changed")


def _take_by_kernel(lock: Path) -> Any:
    """Lock by flock; None when someone else holds it."""
    handle = os.open(lock, os.O_RDWR | os.O_CREAT, 0o666)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        # the holder removes the lock file before letting go: what was opened may be a
        # nameless leftover, on which two processes would not meet
        if os.fstat(handle).st_ino != os.stat(lock).st_ino:
            raise BlockingIOError
    except (BlockingIOError, FileNotFoundError):
        os.close(handle)
        return None
    except OSError:
        os.close(handle)
        raise

    def give_back() -> None:
        with contextlib.suppress(OSError):
            lock.unlink()
        os.close(handle)

    return give_back


def _take_by_existence(lock: Path) -> Any:
    """Lock by making the lock file; None when it is there already."""
    try:
        handle = os.open(lock, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    except (FileExistsError, PermissionError) as error:
        if isinstance(error, PermissionError) and not lock.exists():
            raise
        _take_over_if_stale(lock)
        return None
    os.close(handle)

    def give_back() -> None:
        with contextlib.suppress(OSError):
            lock.unlink()

    return give_back


def _take_over_if_stale(lock: Path) -> None:
    with contextlib.suppress(OSError):
        if time.time() - lock.stat().st_mtime > STALE_S:
            # renaming first: of two that find it stale, only one succeeds
            aside = lock.with_name(f"{lock.name}.{os.getpid()}.stale")
            lock.rename(aside)
            aside.unlink()


def _remove_debris(path: Path) -> None:
    """Delete unfinished files of writers that were killed; the lock says none is alive."""
    unfinished = re.compile(re.escape(hidden_prefix(path)) + "[0-9a-f]{8}" + re.escape(PART))
    with contextlib.suppress(OSError):
        for part in path.parent.iterdir():
            if unfinished.fullmatch(part.name):
                part.unlink()
