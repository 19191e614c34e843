"""What a person sees: the program at a terminal of any size, its output shown by an emulator."""

from __future__ import annotations

from types import TracebackType

import pexpect
import pyte

from tests.terminal.program import COMMAND, WAIT, Program


class Emulated:
    """The program at a terminal; ``rows`` are what stands on its screen while it waits.

    Attributes:
        program: The program.
        width: Columns of the terminal.
        height: Lines of it.
        said: What the program wrote since the last line was typed, as it came.
    """

    def __init__(self, program: Program, width: int, height: int, *words: str, **changed: str | None) -> None:
        self.program, self.width, self.height = program, width, height
        self._screen = pyte.HistoryScreen(width, height, history=5000)
        self._stream = pyte.Stream(self._screen)
        self.process = pexpect.spawn(
            COMMAND[0], [*COMMAND[1:], *words], env=program.environment(**changed),
            cwd=str(program.folder), dimensions=(height, width), encoding="utf-8", codec_errors="replace",
            timeout=WAIT, echo=False,
        )  # fmt: skip
        self.process.delaybeforesend = None
        self._wait()

    def _wait(self) -> None:
        self.ended = bool(self.process.expect([r"(?:^|\n|\x1b\[H|\x1b\[2J)> $", pexpect.EOF]))
        prompt = self.process.after if isinstance(self.process.after, str) else ""
        self.said: str = (self.process.before or "") + prompt
        self._stream.feed(self.said)

    def say(self, typed: str) -> str:
        """Type a line and give what stands on the screen when the program waits again."""
        self.process.sendline(typed)
        self._wait()
        return self.shown

    @property
    def rows(self) -> list[str]:
        """The lines of the screen down to the one where the cursor stands."""
        return [row.rstrip() for row in self._screen.display][: self._screen.cursor.y + 1]

    @property
    def shown(self) -> str:
        """The screen as text."""
        return "\n".join(self.rows)

    @property
    def scrolled_away(self) -> int:
        """Lines that have left the screen at its top."""
        return len(self._screen.history.top)

    def __enter__(self) -> Emulated:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.process.close(force=True)
