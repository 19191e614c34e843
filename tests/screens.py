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
    r"<!-- screen: (?P<command>[^|]+?) \| lines (?P<first>\d+)-(?P<last>\d+) -->\n```text\n(?P<body>.*?)```\n<!-- end -->",
    re.DOTALL,
)


def output_of(command: str, first: int, last: int) -> str:
    """Some lines of what the program shows at 80 columns, without colour."""
    with tempfile.TemporaryDirectory() as home:
        environment = {
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "COLUMNS": "80",
            "NO_COLOR": "1",
            "ADVISOR_HOME": home,
            "ADVISOR_CACHE": home,
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
    return "\n".join(lines[first - 1 : last]) + "\n"


def renewed(text: str) -> str:
    """A document with every screen made anew."""

    def replace(match: re.Match[str]) -> str:
        body = output_of(match["command"].strip(), int(match["first"]), int(match["last"]))
        return match[0].replace(f"```text\n{match['body']}```", f"```text\n{body}```")

    return SCREEN.sub(replace, text)


def main() -> None:
    """Write the screens of all documents anew."""
    for name in DOCUMENTS:
        path = ROOT / name
        path.write_text(renewed(path.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main()
