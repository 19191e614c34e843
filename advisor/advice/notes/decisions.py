"""The decisions of the advice, with every argument for and against each option."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.advice.documents.common import ArgumentNote, DecisionNote, Lift, OptionNote, OutcomeKind, State
from advisor.advice.notes.arguments import argument_note, seen_words, source_notes
from advisor.engine import Conclusions, Outcome
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.language.conditions import (
    FAILS,
    HOLDS,
    OPEN,
    AllOf,
    Condition,
    Leaf,
    Named,
    Tree,
    tree_truth,
)
from advisor.rulebase.model import Argument
from advisor.words import tr


def decision_note(conclusions: Conclusions, outcome: Outcome, *, silent: bool = True) -> DecisionNote:
    """One decision with its options, the chosen one first.

    Args:
        conclusions: What follows from the answers.
        outcome: The decision.
        silent: Whether arguments that fail are listed too. A correction takes over the constraints of the work it is
            like, so hundreds of them fail; listing them would bury what matters.
    """
    decision = outcome.decision
    order = sorted(
        range(len(decision.options)),
        key=lambda o: (
            decision.options[o] != outcome.chosen,
            outcome.tally.ruled_out(o) == HOLDS,
            outcome.tally.ruled_out(o) == OPEN,
            -outcome.support[o][0],
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
        chosen=outcome.chosen,
        chosen_title=decision.title_of(outcome.chosen),
        settled=outcome.settled,
        options=tuple(_option_note(outcome, position, noted) for position in order),
    )


_STATES: tuple[State, ...] = ("possible", "set_aside", "ruled_out")


def _option_note(outcome: Outcome, position: int, noted: Mapping[str, ArgumentNote]) -> OptionNote:
    option = outcome.decision.options[position]
    entry = outcome.decision.entry.options[option]
    out = outcome.tally.ruled_out(position)
    state: State = "chosen" if option == outcome.chosen else _STATES[out]
    notes = [
        noted[argument.id]
        for argument in outcome.decision.arguments
        if argument.id in noted and speaks_about(argument, option)
    ]
    weight = {"require": 0, "rule_out": 1, "for": 2, "against": 3}
    notes.sort(key=lambda note: (note.truth != "holds", weight[note.says]))
    return OptionNote(
        id=option,
        title=entry.title,
        summary=entry.summary,
        state=state,
        support_low=outcome.support[position][0],
        support_high=outcome.support[position][1],
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


def lifts(conclusions: Conclusions, kind: OutcomeKind) -> tuple[Lift, ...]:
    """What would lift the stop; without a stop, what would open a route that would be better than the chosen one.

    Only what was answered counts here, be the answer that it is not known; while something has to be found out first,
    that comes before.

    Args:
        conclusions: What follows from the answers.
        kind: What it comes to for the work that will be done.
    """
    if kind == "find_out":
        return ()
    notes: list[Lift] = []
    for outcome in conclusions.outcomes.values():
        if not outcome.decision.entry.stops:
            continue
        required = _standing_arguments(conclusions, outcome, "require")
        if outcome.stops and required:
            notes += required
            continue
        for option in _better_options(outcome)[:_MOST_LIFTED]:
            notes += _standing_arguments(conclusions, outcome, "rule_out", option)
    if kind == "stop":
        notes = [note for note in notes if note.truth == "holds"] or notes
    return tuple(dict.fromkeys(notes))


def _standing_arguments(conclusions: Conclusions, outcome: Outcome, says: str, option: str | None = None) -> list[Lift]:
    """The arguments of one kind that hold or are open and that the operator can do something about."""
    found = []
    for argument in outcome.decision.arguments:
        truth = conclusions.truth(argument.condition)
        about = option is None or option in argument.options
        standing = truth != FAILS and asked_about(conclusions, argument.condition)
        if argument.entry.says == says and standing and about and argument.entry.lifted_by is not None:
            found.append(
                Lift(
                    opens=None if option is None else outcome.decision.title_of(option),
                    because=argument.entry.reason,
                    lifted_by=argument.entry.lifted_by,
                    truth="holds" if truth == HOLDS else "open",
                    seen=seen_for(conclusions, argument.condition) if truth == HOLDS else (),
                    sources=source_notes(argument.sources),
                )
            )
    return sorted(found, key=lambda lift: lift.truth == "open")


def asked_about(conclusions: Conclusions, condition: Condition) -> bool:
    """Whether anything that leaves a condition open was asked about, be the answer that it is not known."""
    variables = conclusions.rule_base.variables
    left = {variables[variable].name for variable in condition.open_variables(conclusions.state)}
    return not left or not left.isdisjoint(conclusions.answers)


def seen_for(conclusions: Conclusions, condition: Condition) -> tuple[str, ...]:
    """The answers by which a condition holds, and no others: of several that would do, the fewest."""
    rule_base = conclusions.rule_base
    seen: dict[str, None] = {}
    for leaf in _by_which(condition.tree, conclusions.state):
        variable = rule_base.variables[leaf.variable]
        if variable.name in rule_base.facts:
            seen[f"{rule_base.facts[variable.name].label}: {seen_words(conclusions, leaf)}"] = None
    return tuple(seen)


def _by_which(tree: Tree, state: tuple[int, ...]) -> list[Leaf]:
    """The tests by which a condition that holds does so."""
    if isinstance(tree, Leaf):
        return [tree]
    if isinstance(tree, Named):
        return _by_which(tree.inner, state)
    if isinstance(tree, AllOf):
        return [leaf for part in tree.parts for leaf in _by_which(part, state)]
    ways = [_by_which(part, state) for part in tree.parts if tree_truth(part, state) == HOLDS]
    # Several parts may be open alone and leave nothing else together; then all of them count.
    return min(ways, key=len) if ways else [leaf for part in tree.parts for leaf in _by_which(part, state)]


def _better_options(outcome: Outcome) -> list[str]:
    """The options that would have more support than the chosen one if nothing ruled them out, the best first."""
    options = outcome.decision.options
    chosen = options.index(outcome.chosen)
    better = [i for i in range(len(options)) if outcome.support[i][0] > outcome.support[chosen][0]]
    return [options[i] for i in sorted(better, key=lambda i: -outcome.support[i][0])]


def _missed_option(conclusions: Conclusions, note: DecisionNote) -> str | None:
    """The best option that is out, with what rules it out, as a sentence; None when no option would be better."""
    for option in _better_options(conclusions.outcomes[note.id]):
        found = next(o for o in note.options if o.id == option)
        striking = [a for a in found.arguments if a.says == "rule_out"]
        if striking:
            out = tr("'{option}' would come next, but it is out.", option=found.title)
            return f"{out} {_counted(striking[0], certain=striking[0].truth == 'holds')}"
    return None


def reason_paragraph(conclusions: Conclusions, note: DecisionNote, kind: OutcomeKind) -> str:
    """Why this option, in one paragraph made of the arguments themselves.

    Args:
        conclusions: What follows from the answers.
        note: The decision.
        kind: What it comes to for the work that will be done.
    """
    if kind == "find_out":
        return Tables(conclusions.rule_base).notes["find_out_first"].said()
    chosen = note.options[0]
    if kind == "stop":
        standing = lifts(conclusions, kind)
        if standing:
            opens = standing[0].opens
            because = _sentence(standing[0].because)
            out = tr("'{option}' would come next, but it is out.", option=opens) if opens else ""
            return f"{out} {because}" if out else because
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
        parts.append(_counted(argument, certain=argument.truth != "open"))
    missed = None if required else _missed_option(conclusions, note)
    if missed is not None and chosen.id in conclusions.outcomes[note.id].decision.entry.stops:
        parts = [parts[0], missed]
    elif not speaking:
        parts.append(
            tr("No argument speaks for it strongly; it is what remains when the others are ruled out or weaker.")
        )
    against = [a for a in chosen.arguments if a.says == "against" and a.truth == "holds"]
    if against:
        parts.append(tr("Against it: {reason}", reason=_sentence(against[0].reason)))
    if not required:
        aside = [o.title for o in note.options if o.state == "set_aside"]
        if aside:
            parts.append(tr("Set aside because of what is not known: {options}.", options=", ".join(aside)))
    return " ".join(parts)


def _counted(argument: ArgumentNote, *, certain: bool) -> str:
    """The reason of an argument, told as such where it counts although it is not known to hold."""
    reason = _sentence(argument.reason)
    return reason if certain else tr("Not known, so it counts: {reason}", reason=reason)


def _sentence(text: str) -> str:
    stripped = text.strip()
    return stripped if stripped.endswith((".", "!", "?")) else stripped + "."
