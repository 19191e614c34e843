"""The work, one phase a screen: its dangers and stop signs at the head, then its steps in short words."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import HazardNote, PhaseNote, PreparationNote, StepNote
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.frozen import frozen
from advisor.present.screens.common import weight_of
from advisor.present.screens.dangers import phase_danger_lines
from advisor.present.screens.layout import Line, folded
from advisor.present.text.notes import step_figures
from advisor.present.text.outcomes import first_sentence, minutes_words
from advisor.words import tr

_MOST_OF_A_SCREEN = 2 / 3


@frozen
class PhaseScreen:
    """One screen of the work.

    Attributes:
        phase: The phase it shows, or a part of.
        lines: Its lines.
        steps: The numbers of the steps it shows.
        preparations: The preparations it shows.
        controls: The hazards whose control it tells in one line.
    """

    phase: PhaseNote
    lines: tuple[Line, ...]
    steps: tuple[int, ...]
    preparations: tuple[str, ...]
    controls: tuple[str, ...]


@frozen
class _Item:
    """A part of a phase that stays in one piece.

    Attributes:
        lines: Its lines.
        hazards: The dangers that are met in it.
        step: The step it is, or else
        preparation: the preparation, or else
        control: the hazard whose control it tells.
    """

    lines: Sequence[Line]
    hazards: Sequence[str]
    step: int | None = None
    preparation: str | None = None
    control: str | None = None


def phase_screens(document: Advice | Diagnosis, width: int, height: int) -> list[PhaseScreen]:
    """The whole work by screens of so many letters and lines; nothing of it is left out to make it fit.

    The control of a hazard is told in one line where it is met for the first time. The head of each screen names the
    deadly dangers of its phase, and those others that are met on it; what no part of the phase meets alone, the first.
    """
    told: set[str] = set()
    screens: list[PhaseScreen] = []
    for number, phase in enumerate(document.phases, 1):
        items = _items(document, phase, told, width)
        told |= set(phase.hazards)
        hazards = [hazard for hazard in document.hazards if hazard.id in phase.hazards]
        screens += _Phase(
            phase, hazards, tr("{number} of {count}", number=number, count=len(document.phases)), width, height
        ).screens(items)
    return screens


@frozen
class _Phase:
    """A phase to be parted into screens.

    Attributes:
        phase: The phase.
        hazards: Its dangers.
        place: Which it is of how many.
        width: Letters of a line.
        height: Lines of a screen.
    """

    phase: PhaseNote
    hazards: Sequence[HazardNote]
    place: str
    width: int
    height: int

    def screens(self, items: Sequence[_Item]) -> list[PhaseScreen]:
        """Its screens, each as full as it can be."""
        met = {name for item in items for name in item.hazards}
        named = {hazard.id for hazard in self.hazards} - met
        found: list[PhaseScreen] = []
        if len(head := self._head(named)) > self.height * _MOST_OF_A_SCREEN:
            # On a small terminal they would leave no room for the work: they stand alone, then those that kill.
            found.append(self._screen(head, []))
            named = set()
        here: list[_Item] = []
        for item in items:
            if here and self._lines(named, [*here, item]) > self.height:
                found.append(self._screen(self._head(named, here), here))
                here, named = [], set()
            here.append(item)
        return [*found, self._screen(self._head(named, here), here)] if here or not found else found

    def _lines(self, named: Collection[str], group: Sequence[_Item]) -> int:
        return len(self._head(named, group)) + sum(len(item.lines) for item in group)

    def _head(self, named: Collection[str], group: Sequence[_Item] = ()) -> list[Line]:
        """The dangers of a screen: those that kill, those named here, and those that its parts meet."""
        wanted = {*named, *(name for item in group for name in item.hazards)}
        shown = [one for one in self.hazards if one.severity == "deadly" or one.id in wanted]
        title = self.phase.title.upper()
        return [
            Line(f"{title}{self.place:>{max(len(self.place) + 1, self.width - len(title))}}", "bold"),
            *phase_danger_lines(shown, self.width),
            Line("-" * self.width),
        ]

    def _screen(self, head: Sequence[Line], group: Sequence[_Item]) -> PhaseScreen:
        return PhaseScreen(
            self.phase,
            (*head, *(line for item in group for line in item.lines)),
            tuple(item.step for item in group if item.step is not None),
            tuple(item.preparation for item in group if item.preparation is not None),
            tuple(item.control for item in group if item.control is not None),
        )


def _items(document: Advice | Diagnosis, phase: PhaseNote, told: set[str], width: int) -> list[_Item]:
    """The controls that are told here, then what is to be done."""
    hazards = [one for one in document.hazards if one.id in phase.hazards and one.id not in told]
    prepared = [one for one in document.first if one.id in phase.preparations]
    steps = [step for step in document.steps if step.number in phase.steps]
    return [
        *(_Item(_control(one, width), (one.id,), control=one.id) for one in hazards),
        *(_Item(_preparation(one, width), one.hazards, preparation=one.id) for one in prepared),
        *(
            _Item([*_step(document, step, width), *_break(document, step)], step.hazards, step=step.number)
            for step in steps
        ),
    ]


def _control(hazard: HazardNote, width: int) -> list[Line]:
    does = hazard.brief or first_sentence(hazard.controls[0].do)
    return folded(f"{hazard.called}: {does}", width, "  ! ", "    ")


def _preparation(one: PreparationNote, width: int) -> list[Line]:
    time = minutes_words(one.time_min)
    doubt = "" if one.certain else tr(" (not known whether it is lacking)")
    words = tr(
        "{title}{doubt}{value}. Done when: {done_when}",
        title=one.title,
        doubt=doubt,
        value=f", {time}" if time else "",
        done_when=one.done_when,
    )
    return folded(words, width, "[ ] ", "    ", "bold")


def _break(document: Advice | Diagnosis, step: StepNote) -> list[Line]:
    """That the work stops for the day after a step, where a sitting ends."""
    ends = isinstance(document, Advice) and any(one.last_step == step.number for one in document.sittings[:-1])
    return [Line(tr("    BREAK OFF HERE. All cold, shut, labelled, locked away."), "bold")] if ends else []


def _weighed(document: Advice | Diagnosis, step: StepNote) -> str:
    """What a step weighs, where it is that alone: its short words say only how."""
    if step.stage != "weigh_out" or len(step.uses) != 1 or isinstance(document, Diagnosis):
        return ""
    amount = document.amounts.get(step.uses[0])
    return "" if amount is None else f"{amount.title}, {weight_of(amount)}: "


def _step(document: Advice | Diagnosis, step: StepNote, width: int) -> list[Line]:
    """A step in short words with heat and time; at a fire also what to look for."""
    does = f"{_weighed(document, step)}{step.brief or first_sentence(step.do)}"
    condition = tr("If {only_if}: ", only_if=step.only_if) if step.only_if else ""
    lines = folded(condition + does, width, f"{step.number:>3} ", "    ", "bold")
    figures = step_figures(step) if step.temperature_c is not None else ""
    if figures and len(lines[-1].text) + len(figures) + 3 <= width:
        lines[-1] = Line(f"{lines[-1].text:<{width - len(figures)}}{figures}", "bold")
    elif figures:
        lines.append(Line(f"{figures:>{width}}", "bold"))
    if step.look_for and step.temperature_c is not None:
        lines += folded(
            tr("Look: {first_sentence}", first_sentence=first_sentence(step.look_for)), width, "    ", "    "
        )
    return lines
