"""Each package says in its ``__init__`` what other rooms may use. The order of the rooms is a contract in pyproject."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
MOST_MODULES = 15
"""No package holds more side by side."""


def modules() -> dict[str, Path]:
    """The files of the program by the names of their modules."""
    found = {}
    for path in sorted((ROOT / "advisor").rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported(path: Path, known: dict[str, Path]) -> Iterator[str]:
    """The modules that a module imports, wherever in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module is not None:
            within = [f"{node.module}.{name.name}" for name in node.names]
            yield from (name if name in known else node.module for name in within)


def room(module: str) -> str:
    """The room of a module; empty for those that belong to none."""
    return module.split(".")[1] if "." in module else ""


def open_to_others(path: Path) -> list[str]:
    """What a package opens to other rooms: its ``__all__``."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            return list(ast.literal_eval(node.value))
    return []


def test_other_rooms_import_of_a_package_only_what_it_opens_to_them() -> None:
    known = modules()
    opened = {name: open_to_others(path) for name, path in known.items() if path.name == "__init__.py"}
    seen, closed = 0, []
    for name, path in known.items():
        for other in imported(path, known):
            parts = other.split(".")
            if parts[0] != "advisor" or room(other) in ("", room(name)):
                continue
            for depth in range(2, len(parts)):
                package = ".".join(parts[:depth])
                seen += 1
                if parts[depth] not in opened[package]:
                    closed.append(f"{name} imports {other}, which {package} does not open")
    assert closed == []
    assert seen > 300


def test_nothing_is_opened_that_is_not_there() -> None:
    known = modules()
    missing = [
        f"{name}.{one}"
        for name, path in known.items()
        if path.name == "__init__.py"
        for one in open_to_others(path)
        if f"{name}.{one}" not in known and one not in path.read_text(encoding="utf-8").split("__all__")[0]
    ]
    assert missing == []


def test_no_package_holds_more_modules_than_the_eye_takes_in() -> None:
    crowded = {
        folder.name: count
        for folder in (ROOT / "advisor").rglob("*")
        if folder.is_dir() and (count := len([p for p in folder.glob("*.py") if p.stem != "__init__"])) > MOST_MODULES
    }
    assert crowded == {}
