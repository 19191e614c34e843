"""The rooms of the program stand one above the other, and no module needs itself by way of others."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ROOMS = (
    *("units", "rulebase", "engine", "metallurgy", "advice", "present"),
    *("journal", "training", "proof", "terminal"),
)
"""Each may import those that stand before it."""


def modules() -> dict[str, Path]:
    """The files of the program by the names of their modules."""
    found = {}
    for path in sorted((ROOT / "advisor").rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def imported(tree: ast.AST, known: dict[str, Path]) -> Iterator[str]:
    """The modules that a module imports, wherever in it; what only types need is left out."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            continue
        if isinstance(node, ast.ImportFrom) and node.module is not None:
            within = [f"{node.module}.{name.name}" for name in node.names]
            yield from (name if name in known else node.module for name in within)
        elif isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        yield from imported(node, known)


def graph() -> dict[str, set[str]]:
    """What each module imports of the program."""
    known = modules()
    return {
        name: {one for one in imported(ast.parse(path.read_text(encoding="utf-8")), known) if one in known} - {name}
        for name, path in known.items()
    }


def room(module: str) -> str:
    """The room of a module; empty for those that belong to none."""
    return module.split(".")[1] if "." in module else ""


def test_no_room_imports_one_that_stands_above_it() -> None:
    upward = [
        f"{name} imports {other}"
        for name, others in graph().items()
        for other in sorted(others)
        if room(name) in ROOMS and room(other) in ROOMS and ROOMS.index(room(other)) > ROOMS.index(room(name))
    ]
    assert upward == []


def test_no_module_imports_itself_by_way_of_others() -> None:
    arrows = graph()
    circles = []
    while True:
        try:
            TopologicalSorter(arrows).prepare()
            break
        except CycleError as problem:
            circle = problem.args[1]
            circles.append(" <- ".join(circle))
            arrows[circle[1]].discard(circle[0])
    assert circles == []


def open_to_others() -> dict[str, list[str]]:
    """For each package that says so, the modules in it that other rooms may import."""
    known, found = modules(), {}
    for name, path in known.items():
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if (
                path.name == "__init__.py"
                and isinstance(node, ast.Assign)
                and ast.unparse(node.targets[0]) == "__all__"
            ):
                named = ast.literal_eval(node.value)
                if all(f"{name}.{one}" in known for one in named):
                    found[name] = named
    return found


def test_other_rooms_import_of_a_package_only_what_it_opens_to_them() -> None:
    packages = open_to_others()
    assert {"advisor.advice", "advisor.present"} <= packages.keys()
    closed = [
        f"{name} imports {other}"
        for name, others in graph().items()
        for other in sorted(others)
        for package, named in packages.items()
        if other.startswith(f"{package}.") and room(name) != room(package)
        if other.removeprefix(f"{package}.").partition(".")[0] not in named
    ]
    assert closed == []
