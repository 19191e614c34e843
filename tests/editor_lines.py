"""The schemas in the checkout and the line that names them in each file: ``python -m tests.editor_lines`` renews both.

An editor that knows the line completes and checks the file by that schema.
"""

from __future__ import annotations

import os
from pathlib import Path

from advisor.terminal.schemas import schema_text

ROOT = Path(__file__).resolve().parent.parent
SCHEMAS = {
    "rules": ROOT / "rules" / "rules.schema.json",
    "case": ROOT / "cases" / "case.schema.json",
    "room": ROOT / "cases" / "rooms" / "room.schema.json",
}


def files_of(document: str) -> list[Path]:
    """The shipped files that a schema is for."""
    if document == "rules":
        return sorted((ROOT / "rules").rglob("*.yaml"))
    if document == "room":
        return sorted((ROOT / "cases" / "rooms").glob("*.yaml"))
    return sorted([*(ROOT / "cases").glob("*.yaml"), *(ROOT / "cases" / "diagnosis").glob("*.yaml")])


def line_for(path: Path, document: str) -> str:
    """The first line of a file, with the way from its folder to the schema."""
    way = Path(os.path.relpath(SCHEMAS[document], path.parent)).as_posix()
    return f"# yaml-language-server: $schema={way}\n"


def with_line(path: Path, document: str) -> str:
    """The content of a file with its line."""
    text = path.read_text(encoding="utf-8")
    first, _, rest = text.partition("\n")
    return line_for(path, document) + (rest if first.startswith("# yaml-language-server:") else text)


def main() -> None:
    """Write the schemas anew, and the line into each file."""
    for document, schema in SCHEMAS.items():
        schema.write_text(schema_text(document), encoding="utf-8")
        for path in files_of(document):
            path.write_text(with_line(path, document), encoding="utf-8")


if __name__ == "__main__":
    main()
