"""The screens in the documents, made by the program: ``python -m tests.screens`` writes them anew."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DOCUMENTS = ("README.md", "DEVELOPERS.md")
SCREEN = re.compile(
    r"<!-- screen: (?P<command>[^|]+?) \| (?P<part>[^|>]+?) -->\n```text\n(?P<body>.*?)```\n<!-- end -->",
    re.DOTALL,
)


def part_of(lines: list[str], part: str) -> list[str]:
    """``lines 1-20``, or ``from SOME HEADING, 20 lines``."""
    if match := re.fullmatch(r"lines (\d+)-(\d+)", part):
        return lines[int(match[1]) - 1 : int(match[2])]
    match = re.fullmatch(r"from (.+), (\d+) lines", part)
    assert match is not None, part
    start = lines.index(match[1])
    return lines[start : start + int(match[2])]


def output_of(command: str, part: str, cache: str) -> str:
    """Some lines of what the program shows at 80 columns, without colour, with compiled rules kept in ``cache``."""
    with tempfile.TemporaryDirectory() as home:
        environment = {
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "COLUMNS": "80",
            "NO_COLOR": "1",
            "ADVISOR_HOME": home,
            "ADVISOR_CACHE": cache,
        }
        words = command.replace("< /dev/null", "").split()
        assert words[0] == "advisor"
        done = subprocess.run(
            [sys.executable, "-m", "advisor", *words[1:]],
            cwd=ROOT,
            env=environment,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
        )
    lines = [line.rstrip() for line in done.stdout.splitlines()]
    return "\n".join(part_of(lines, part)) + "\n"


def renewed(text: str) -> str:
    """A document with every screen made anew."""

    def replace(match: re.Match[str]) -> str:
        body = output_of(match["command"].strip(), match["part"].strip(), cache)
        return match[0].replace(f"```text\n{match['body']}```", f"```text\n{body}```")

    with tempfile.TemporaryDirectory() as cache:
        return SCREEN.sub(replace, text)


def main() -> None:
    """Write the screens of all documents anew."""
    for name in DOCUMENTS:
        path = ROOT / name
        path.write_text(renewed(path.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main()
