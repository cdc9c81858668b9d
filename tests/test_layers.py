"""The rooms keep their direction, and the units and errors stay where they belong."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import barmodel

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
