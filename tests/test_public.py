"""What every room offers is documented: parameters by name, quantities with their units."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from types import ModuleType
from typing import Any

import pytest

import barmodel

ROOMS = sorted(module.name for module in pkgutil.iter_modules(barmodel.__path__))
FILES = "files"
"""Models of files say their units in the names of their fields, and are described in the schema."""
QUANTITY = re.compile(r"^(float|Array|ArrayLike|NDArray.*|Values)( \| None)?$")


def offered(room: ModuleType) -> Iterator[tuple[str, Any]]:
    """Classes and functions of a room that others may use."""
    own = [name for name, what in vars(room).items() if _is_own(room, name, what)]
    for name in getattr(room, "__all__", own):
        what = getattr(room, name)
        if inspect.isfunction(what) or inspect.isclass(what):
            yield name, what


def _is_own(room: ModuleType, name: str, what: Any) -> bool:
    return not name.startswith("_") and getattr(what, "__module__", None) == room.__name__


def arguments(what: Any) -> dict[str, str]:
    """Parameters of a function, or fields of a class, with their annotations."""
    if inspect.isclass(what):
        own = vars(what).get("__annotations__", {})
        return {k: str(v) for k, v in own.items() if k[0] != "_" and "ClassVar" not in str(v)}
    found = inspect.signature(what).parameters.values()
    return {p.name: str(p.annotation) for p in found if p.name != "self"}


def faults(room: str, name: str, what: Any) -> list[str]:
    """What the documentation of one name leaves out."""
    text = inspect.getdoc(what) or ""
    if not text:
        return [f"{room}.{name} has no docstring"]
    if room == FILES and inspect.isclass(what):
        return []
    named = arguments(what)
    out = []
    if len(named) > 1:
        lost = [n for n in named if not re.search(rf"\b{n}\b", text)]
        out += [f"{room}.{name} does not speak of {n}" for n in lost]
    quantities = [n for n, kind in named.items() if QUANTITY.match(kind)]
    if quantities and not re.search(r"\[[^\]]+\]", text):
        out.append(f"{room}.{name} gives no unit for {', '.join(quantities)}")
    return out


@pytest.mark.parametrize("room", ROOMS)
def test_every_public_name_is_documented(room: str) -> None:
    module = importlib.import_module(f"barmodel.{room}")
    names = list(offered(module))
    assert names or room == "units"
    assert not [fault for name, what in names for fault in faults(room, name, what)]


def test_the_walk_would_notice() -> None:
    def bare(length: float, width: float) -> float:
        """Make something of a length."""
        return length * width

    assert len(faults("here", "bare", bare)) == 2
