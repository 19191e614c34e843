"""The work at the furnace, one phase a screen; what is done and noted is kept at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.journal import Batch, Draft, Journal
from advisor.journal.vocabulary import RESULTS, WEIGHED, WORKS, done_to, read_value, step_done
from advisor.present.screens.layout import WIDTH, folded
from advisor.present.screens.phases import PhaseScreen, phase_screens
from advisor.present.text.notes import print_hazards, print_steps, step_figures
from advisor.present.text.page import Page
from advisor.terminal.exit_codes import ADVICE, LEFT
from advisor.terminal.output import screen, show_paged, typed_line
from advisor.words import tr

KEYS = tr("Enter done  1 note  2 back  3 looks wrong  4 clock  5 long words  0 leave")


@frozen
class Logbook:
    """The batch of the journal in which the work is kept.

    Attributes:
        journal: The journal.
        batch: The batch.
        who: Who writes.
    """

    journal: Journal
    batch: Batch
    who: str

    def write(self, draft: Draft) -> None:
        """Keep something at once.

        Raises:
            InputError: If it cannot be kept.
        """
        self.journal.note_at_once(self.batch, self.who, draft)

    def done(self, work: str) -> tuple[int, datetime] | None:
        """The step up to which a work was done, and when; None where nothing is done yet."""
        marks = [entry for entry in self.journal.entries_of(self.batch) if entry.name == work]
        step = step_done(marks[-1].text) if marks else None
        return None if step is None else (step, datetime.fromisoformat(marks[-1].at))


class Work:
    """The work of one plan, screen by screen.

    Attributes:
        advice: The plan, or the correction.
        logbook: Where it is kept; None where nothing can be.
        diagnose: Finds out what looks wrong; None where that is just being put right.
    """

    def __init__(
        self, advice: Advice | Diagnosis, logbook: Logbook | None, diagnose: Callable[[], object] | None = None
    ) -> None:
        self.advice = advice
        self.diagnose = diagnose
        self.materials = advice.amounts if isinstance(advice, Advice) else {}
        self.logbook = logbook
        self.console = screen()
        self.page = Page(self.console)
        height = self.console.height if self.console.is_terminal else 24
        width = min(self.page.columns, WIDTH)
        self.keys = folded(KEYS, width, style="bold")
        self.screens = phase_screens(advice, width, height - len(self.keys) - 1)
        self.begun = datetime.now().astimezone()

    @property
    def _name(self) -> str:
        """The name of its entries: the work of the plan and that of a correction are told apart."""
        of_plan, of_correction = WORKS
        return of_plan if isinstance(self.advice, Advice) else of_correction

    def run(self) -> int:
        """Lead from where the work was left to its end.

        Returns:
            The exit status.
        """
        place = self._place()
        self._show(place)
        while place < len(self.screens):
            typed = typed_line(self.console)
            if typed is None or typed == "0":
                return self._leave(place)
            if typed == "" or (typed == "2" and place > 0):
                if typed == "":
                    self._done(place)
                place += 1 if typed == "" else -1
                self._show(place)
            else:
                self._key(typed, self.screens[place])
        self.page.say(tr("The work is done. What is still to be weighed: advisor journal add"))
        return ADVICE

    def _key(self, typed: str, here: PhaseScreen) -> None:
        """What stays on the same screen."""
        if typed == "1":
            self._note()
        elif typed == "3":
            self._looks_wrong()
        elif typed == "4":
            self._clock(here)
        elif typed == "5":
            self._long_words(here)
        self._keys()

    def _place(self) -> int:
        """The screen to begin with: the one of the first step that is not done."""
        done = None if self.logbook is None else self.logbook.done(self._name)
        if done is None:
            return 0
        self.begun = done[1]
        last = max((at for at, one in enumerate(self.screens) if one.steps and max(one.steps) <= done[0]), default=-1)
        return last + 1 if done[0] or last >= 0 else self._after_preparations()

    def _after_preparations(self) -> int:
        return max((at for at, one in enumerate(self.screens) if one.preparations), default=-1) + 1

    def _show(self, place: int) -> None:
        if place >= len(self.screens):
            return
        if self.console.is_terminal:
            self.console.clear()
        self.page.lines(self.screens[place].lines)
        self._keys()

    def _keys(self) -> None:
        self.page.lines(self.keys)

    def _done(self, place: int) -> None:
        """Keep that a screen is done."""
        step = max((number for one in self.screens[: place + 1] for number in one.steps), default=0)
        self.begun = datetime.now().astimezone()
        self._keep(Draft("note", self._name, done_to(step)))

    def _keep(self, draft: Draft) -> bool:
        """Keep something in the journal; whether it could be."""
        if self.logbook is None:
            return False
        try:
            self.logbook.write(draft)
        except InputError as problem:
            self.page.say(tr("NOT KEPT: {problem}", problem=problem), style="bold")
            return False
        return True

    def _note(self) -> None:
        """Ask for a weight or a remark, and keep it."""
        self.page.say(tr("What? Such as  soda_ash 200 g,  bead 12.31 g,  or words. Just Enter: nothing."))
        if self.materials:
            self.page.say(tr("To weigh: {materials}.", materials=", ".join(self.materials)))
        typed = typed_line(self.console)
        if not typed:
            return
        try:
            kept = self._keep(noted(typed, self.materials))
        except InputError as problem:
            self.page.say(tr("NOT KEPT: {problem}", problem=problem), style="bold")
            return
        self.page.say(tr("It is kept.") if kept else tr("It is not kept: write it on paper."))

    def _looks_wrong(self) -> None:
        """Into the diagnosis, with all that is known of this batch."""
        if self.diagnose is None:
            self.page.say(tr("Leave with 0 and begin  advisor diagnose  anew with what you see now."))
        else:
            self.diagnose()

    def _clock(self, here: PhaseScreen) -> None:
        """How long this screen has taken, beside what its steps want."""
        now = datetime.now().astimezone()
        minutes = (now - self.begun).total_seconds() / 60
        since = f"{self.begun.astimezone():%H:%M}"
        self.page.say(
            tr("It is {now:%H:%M}. Here since {since}: {minutes:.0f} min.", now=now, since=since, minutes=minutes),
            style="bold",
        )
        for step in self.advice.steps:
            if step.number in here.steps and step.time_min is not None:
                self.page.say(f"{step.number}: {step_figures(step)}", indent=2)

    def _long_words(self, here: PhaseScreen) -> None:
        """The steps and dangers of this screen in full."""
        hazards = [one for one in self.advice.hazards if one.id in here.phase.hazards]
        steps = [one for one in self.advice.steps if one.number in here.steps]

        def in_full(page: Page) -> None:
            print_hazards(page, hazards)
            print_steps(page, steps, self.advice.hazards)

        show_paged(in_full)

    def _leave(self, place: int) -> int:
        self.page.gap()
        steps = self.screens[place].steps
        where = tr(" at step {steps}", steps=steps[0]) if steps else ""
        kept = tr("; it goes on here with  advisor work") if self.logbook is not None else ""
        self.page.say(
            tr(
                "The work is left{where}{kept}. Leave no fire and nothing hot without somebody beside it.",
                where=where,
                kept=kept,
            )
        )
        return LEFT


def noted(typed: str, materials: Mapping[str, object]) -> Draft:
    """What was typed at the furnace as an entry: a weight of a material, a result, or else words.

    Raises:
        InputError: If it names a weight and the value is none.
    """
    name, _, value = typed.replace("=", " ", 1).strip().partition(" ")
    known = name.lower()
    if known in materials:
        return read_value(WEIGHED + known, value)
    if known in RESULTS:
        return read_value(known, value)
    return read_value("note", typed)
