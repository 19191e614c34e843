"""What stands on a sheet: plain words only, so that every way of drawing it shows the same."""

from __future__ import annotations

from advisor.frozen import frozen
from advisor.words import tr


@frozen
class HazardLine:
    """One hazard.

    Attributes:
        title: Its name.
        severity: ``deadly``, ``grave`` or ``moderate``.
        certain: False when it is kept because something is not known.
        controls: What to do against it.
        signs: Signs at which to stop.
    """

    title: str
    severity: str
    certain: bool
    controls: tuple[str, ...]
    signs: tuple[str, ...]


@frozen
class WeightLine:
    """One row of the table of weights: the likely weight, its range, and how to weigh it."""

    title: str
    likely: str
    range: str
    step: str
    note: str


@frozen
class StepLine:
    """One step with its heat and time, and what to look for."""

    number: int
    do: str
    figures: str
    look_for: str


@frozen
class PhaseBlock:
    """The steps of one phase."""

    title: str
    steps: tuple[StepLine, ...]


@frozen
class ExpectedLine:
    """One figure to expect, with a blank for the actual one."""

    title: str
    range: str
    looks: str


@frozen
class StopLine:
    """Why work stops, and what would lift it."""

    why: str
    lifted_by: str


@frozen
class FirstLine:
    """Something to do before anything is lit."""

    do: str
    time: str
    done_when: str
    tonight: bool


@frozen
class LookLine:
    """Something to find out, with a blank for what came out."""

    title: str
    do: str
    tells: str


@frozen
class Sheet:
    """Everything on one sheet.

    Attributes:
        title: What the batch is called.
        route: The route in words.
        collector: The collector in words; empty if there is none.
        banner: What is written large over it: that work stops, or that something has to be found out; else empty.
        stop: Whether work stops.
        first: What to do before anything is lit.
        without: What can be done tonight without what takes longer; empty where nothing does.
        hours: The hours in all and where to break off; empty where nothing is begun.
        looks: What to find out, what tells most first.
        remaining: What may come out once it is found out.
        provisional: That weights are provisional; empty where they are not.
        cautious: Whether answers are missing, so that the advice has to hold for all their values.
        kills: What can kill, by name; empty where nothing can.
        signs: The signs of it at which to stop.
        stops: Why, and what lifts it.
        hazards: All of them, the worst first.
        weights: What to weigh out; empty when work stops.
        phases: All steps that are not in the table of weights.
        expected: What to expect; empty when work stops.
        licences: Who decides by law or licence.
        sources: The sources in one line.
        left_out: What is not on the sheet, counted.
        again: The command that shows the full advice.
        made_by: The program and rules behind it.
    """

    title: str
    route: str
    collector: str
    banner: str
    stop: bool
    first: tuple[FirstLine, ...]
    without: str
    hours: tuple[str, ...]
    looks: tuple[LookLine, ...]
    remaining: tuple[str, ...]
    provisional: str
    cautious: bool
    kills: str
    signs: str
    stops: tuple[StopLine, ...]
    hazards: tuple[HazardLine, ...]
    weights: tuple[WeightLine, ...]
    phases: tuple[PhaseBlock, ...]
    expected: tuple[ExpectedLine, ...]
    licences: tuple[str, ...]
    sources: str
    left_out: tuple[str, ...]
    again: str
    made_by: str

    def hazards_of(self, severity: str) -> tuple[HazardLine, ...]:
        """The hazards of one severity."""
        return tuple(hazard for hazard in self.hazards if hazard.severity == severity)


SEVERITY_WORDS = {"deadly": tr("Can kill"), "grave": tr("Can maim or poison"), "moderate": tr("Can hurt")}
"""The headings over the hazards, in their order."""

CALLS = (tr("Foreman"), tr("Hospital or poison centre"), tr("Fire brigade"))
"""Who is called; the numbers are written in by hand."""
