"""The rooms keep their direction, and the units and errors stay where they belong."""

from __future__ import annotations

import ast
from collections.abc import Collection
from graphlib import TopologicalSorter
from pathlib import Path
from types import ModuleType

import pytest

import barmodel
import barmodel_cli

LIBRARY = Path(barmodel.__file__).parent
SOURCES = sorted(LIBRARY.rglob("*.py"))
ONLY_IN = {
    "pydantic": ("barmodel/files/",),
    "typer": (),
    "rich": (),
    "matplotlib": ("barmodel/plots/", "barmodel/sheets/"),
}


def imports(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module.split(".")[0])
    return found


@pytest.mark.parametrize("package", ONLY_IN)
def test_package_is_used_only_in_its_rooms(package: str) -> None:
    users = [path.relative_to(LIBRARY.parent) for path in SOURCES if package in imports(path)]
    strays = [path for path in users if not path.as_posix().startswith(ONLY_IN[package])]
    assert strays == []
    assert users or not ONLY_IN[package]


def test_library_neither_prints_nor_exits() -> None:
    strays = [
        f"{path}:{node.lineno}"
        for path in SOURCES
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
        and (
            (isinstance(node.func, ast.Name) and node.func.id in ("print", "exit"))
            or (isinstance(node.func, ast.Attribute) and ast.unparse(node.func) == "sys.exit")
        )
    ]
    assert strays == []


def modules(package: ModuleType) -> dict[str, Path]:
    """Every module under a package, by its full name."""
    folder = Path(package.__path__[0])
    found = {}
    for path in sorted(folder.rglob("*.py")):
        parts = path.relative_to(folder.parent).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported_modules(path: Path, known: Collection[str]) -> set[str]:
    """Which of the known modules a file names in an import, wherever in the file it stands."""
    named = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            named |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            package = str(node.module)
            for alias in node.names:  # a file of a room, or what the room offers
                file = f"{package}.{alias.name}"
                named.add(file if file in known else package)
    return named & set(known)


@pytest.mark.parametrize("package", [barmodel, barmodel_cli], ids=lambda p: p.__name__)
def test_no_modules_import_each_other_not_even_inside_functions(package: ModuleType) -> None:
    known = modules(package)
    graph = {name: imported_modules(path, known) for name, path in known.items()}
    assert sum(map(len, graph.values())) > len(graph) > 50
    TopologicalSorter(graph).prepare()  # raises CycleError with the modules of a cycle
