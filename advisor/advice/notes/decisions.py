"""The decisions of the advice, with every argument for and against each option."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.advice.documents.common import ArgumentNote, DecisionNote, Lift, OptionNote, State
from advisor.advice.notes.arguments import argument_note, source_notes
from advisor.engine.conclude import Conclusions, Ruling
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN, Condition
from advisor.rulebase.model import Argument


def decision_note(conclusions: Conclusions, ruling: Ruling, *, silent: bool = True) -> DecisionNote:
    """One decision with its options, the chosen one first.

    Args:
        conclusions: What follows from the answers.
        ruling: The decision.
        silent: Whether arguments that fail are listed too. A correction takes over the rulings of the work it is
            like, so hundreds of them fail; listing them would bury what matters.
    """
    decision = ruling.decision
    order = sorted(
        range(len(decision.options)),
        key=lambda o: (
            decision.options[o] != ruling.chosen,
            ruling.standing.ruled_out(o) == HOLDS,
            ruling.standing.ruled_out(o) == OPEN,
            -ruling.support[o][0],
            o,
        ),
    )
    # A requirement speaks about every option; its note is made once.
    noted = {
        argument.id: argument_note(conclusions, argument)
        for argument in decision.arguments
        if silent or conclusions.truth(argument.condition) != FAILS
    }
    return DecisionNote(
        id=decision.name,
        title=decision.entry.title,
        question=decision.entry.question,
        chosen=ruling.chosen,
        chosen_title=decision.title_of(ruling.chosen),
        settled=ruling.settled,
        options=tuple(_option_note(ruling, position, noted) for position in order),
    )


_STATES: tuple[State, ...] = ("possible", "set_aside", "ruled_out")


def _option_note(ruling: Ruling, position: int, noted: Mapping[str, ArgumentNote]) -> OptionNote:
    option = ruling.decision.options[position]
    entry = ruling.decision.entry.options[option]
    out = ruling.standing.ruled_out(position)
    state: State = "chosen" if option == ruling.chosen else _STATES[out]
    notes = [
        noted[argument.id]
        for argument in ruling.decision.arguments
        if argument.id in noted and speaks_about(argument, option)
    ]
    weight = {"require": 0, "rule_out": 1, "for": 2, "against": 3}
    notes.sort(key=lambda note: (note.truth != "holds", weight[note.says]))
    return OptionNote(
        id=option,
        title=entry.title,
        summary=entry.summary,
        state=state,
        support_low=ruling.support[position][0],
        support_high=ruling.support[position][1],
        arguments=tuple(note for note in notes if note.truth != "fails"),
        silent=tuple(note for note in notes if note.truth == "fails"),
    )


def speaks_about(argument: Argument, option: str) -> bool:
    """Whether an argument names an option, or strikes it by requiring others."""
    if argument.entry.says == "require":
        return True
    return option in argument.options


_MOST_LIFTED = 1
"""Only for the nearest of the better routes the advice says what would open it; more would bury it."""


def lifts(conclusions: Conclusions) -> tuple[Lift, ...]:
    """What would lift the stop; without a stop, what would open a route that would be better than the chosen one."""
    notes: list[Lift] = []
    for ruling in conclusions.rulings.values():
        if not ruling.decision.entry.stops:
            continue
        required = _standing_arguments(conclusions, ruling, "require")
        if ruling.stops and required:
            notes += required
            continue
        for option in _better_options(ruling)[:_MOST_LIFTED]:
            notes += _standing_arguments(conclusions, ruling, "rule_out", option)
    return tuple(dict.fromkeys(notes))


def _standing_arguments(conclusions: Conclusions, ruling: Ruling, says: str, option: str | None = None) -> list[Lift]:
    """The arguments of one kind that hold or are open and that the operator can do something about."""
    found = []
    for argument in ruling.decision.arguments:
        truth = conclusions.truth(argument.condition)
        about = option is None or option in argument.options
        if argument.entry.says == says and truth != FAILS and about and argument.entry.lifted_by is not None:
            found.append(
                Lift(
                    opens=None if option is None else ruling.decision.title_of(option),
                    because=argument.entry.reason,
                    lifted_by=argument.entry.lifted_by,
                    truth="holds" if truth == HOLDS else "open",
                    asked=asked_about(conclusions, argument.condition),
                    sources=source_notes(argument.sources),
                )
            )
    return sorted(found, key=lambda lift: (lift.truth == "open", not lift.asked))


def asked_about(conclusions: Conclusions, condition: Condition) -> bool:
    """Whether anything that leaves a condition open was asked about, be the answer that it is not known."""
    variables = conclusions.rule_base.variables
    left = {variables[variable].name for variable in condition.open_variables(conclusions.state)}
    return not left or not left.isdisjoint(conclusions.answers)


def _better_options(ruling: Ruling) -> list[str]:
    """The options that would have more support than the chosen one if nothing ruled them out, the best first."""
    options = ruling.decision.options
    chosen = options.index(ruling.chosen)
    better = [i for i in range(len(options)) if ruling.support[i][0] > ruling.support[chosen][0]]
    return [options[i] for i in sorted(better, key=lambda i: -ruling.support[i][0])]


def _missed_option(conclusions: Conclusions, note: DecisionNote) -> str | None:
    """The best option that is out, with what rules it out, as a sentence; None when no option would be better."""
    for option in _better_options(conclusions.rulings[note.id]):
        found = next(o for o in note.options if o.id == option)
        ruling = [a for a in found.arguments if a.says == "rule_out"]
        if ruling:
            prefix = "" if ruling[0].truth == "holds" else "Not known, so it counts: "
            return f"'{found.title}' would come next, but it is out. {prefix}{_sentence(ruling[0].reason)}"
    return None


def reason_paragraph(conclusions: Conclusions, note: DecisionNote) -> str:
    """Why this option, in one paragraph made of the arguments themselves."""
    chosen = note.options[0]
    parts = [f"{chosen.title}: {_sentence(chosen.summary)}"]
    required = [a for a in chosen.arguments if a.says == "require"]
    required = [a for a in required if a.truth == "holds"] or required
    # A stop that an answer brought about is not explained by what nobody was asked any more.
    arguments = conclusions.rule_base.arguments
    required = [a for a in required if asked_about(conclusions, arguments[a.id].condition)] or required
    speaking = required or [a for a in chosen.arguments if a.says == "for" and a.truth == "holds"]
    weights = conclusions.rule_base.strengths
    speaking.sort(key=lambda a: (a.truth != "holds", -weights.get(a.strength or "", 1000)))
    for argument in speaking[:3]:
        prefix = "Not known, so it counts: " if argument.truth == "open" else ""
        parts.append(prefix + _sentence(argument.reason))
    missed = None if required else _missed_option(conclusions, note)
    if missed is not None and chosen.id in conclusions.rulings[note.id].decision.entry.stops:
        parts = [parts[0], missed]
    elif not speaking:
        parts.append("No argument speaks for it strongly; it is what remains when the others are ruled out or weaker.")
    against = [a for a in chosen.arguments if a.says == "against" and a.truth == "holds"]
    if against:
        parts.append("Against it: " + _sentence(against[0].reason))
    if not required:
        aside = [o.title for o in note.options if o.state == "set_aside"]
        if aside:
            parts.append("Set aside because of what is not known: " + ", ".join(aside) + ".")
    return " ".join(parts)


def _sentence(text: str) -> str:
    stripped = text.strip()
    return stripped if stripped.endswith((".", "!", "?")) else stripped + "."
