"""The decisions of the advice, with every argument for and against each option."""

from __future__ import annotations

from advisor.inference.conclusions import Conclusions, Ruling
from advisor.knowledge.conditions import FAILS, HOLDS, OPEN
from advisor.knowledge.rulebase import Argument
from advisor.planning.advice import DecisionNote, Lift, OptionNote
from advisor.planning.explaining import argument_note, source_notes


def decision_note(conclusions: Conclusions, ruling: Ruling) -> DecisionNote:
    """One decision with its options, the chosen one first."""
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
    return DecisionNote(
        id=decision.name,
        title=decision.entry.title,
        question=decision.entry.question,
        chosen=ruling.chosen,
        chosen_title=decision.title_of(ruling.chosen),
        settled=ruling.settled,
        options=tuple(_option_note(conclusions, ruling, position) for position in order),
    )


def _option_note(conclusions: Conclusions, ruling: Ruling, position: int) -> OptionNote:
    option = ruling.decision.options[position]
    entry = ruling.decision.entry.options[option]
    out = ruling.standing.ruled_out(position)
    state = "chosen" if option == ruling.chosen else ("possible", "set_aside", "ruled_out")[out]
    notes = [
        argument_note(conclusions, argument) for argument in ruling.decision.arguments if speaks_about(argument, option)
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


def lifts(conclusions: Conclusions) -> tuple[Lift, ...]:
    """What would lift the stop, or what keeps other routes out where the operator can do something."""
    found: dict[str, Lift] = {}
    for ruling in conclusions.rulings.values():
        if not ruling.decision.entry.stops:
            continue
        for argument in ruling.decision.arguments:
            truth = conclusions.truth(argument.condition)
            says = argument.entry.says
            if truth == FAILS or says not in ("require", "rule_out") or argument.entry.lifted_by is None:
                continue
            if not ruling.stops and (says == "require" or not _better_options(ruling) & set(argument.options)):
                continue
            found[argument.id] = Lift(
                because=argument.entry.reason,
                lifted_by=argument.entry.lifted_by,
                truth="holds" if truth == HOLDS else "open",
                sources=source_notes(argument.sources),
            )
    arguments = conclusions.rule_base.arguments
    # What requires the stop comes first, and what surely holds before what is only not excluded.
    order = sorted(found, key=lambda name: (arguments[name].entry.says != "require", found[name].truth == "open"))
    return tuple(found[name] for name in order)


def _better_options(ruling: Ruling) -> set[str]:
    """The options that would have more support than the chosen one if nothing ruled them out."""
    options = ruling.decision.options
    chosen = options.index(ruling.chosen)
    return {o for i, o in enumerate(options) if ruling.support[i][0] > ruling.support[chosen][0]}


def reason_paragraph(conclusions: Conclusions, note: DecisionNote) -> str:
    """Why this option, in one paragraph made of the arguments themselves."""
    chosen = note.options[0]
    parts = [f"{chosen.title}: {_sentence(chosen.summary)}"]
    required = [a for a in chosen.arguments if a.says == "require"]
    speaking = required or [a for a in chosen.arguments if a.says == "for" and a.truth == "holds"]
    weights = conclusions.rule_base.strengths
    speaking.sort(key=lambda a: (a.truth != "holds", -weights.get(a.strength or "", 1000)))
    for argument in speaking[:3]:
        prefix = "It is not known whether it applies, so it is taken to: " if argument.truth == "open" else ""
        parts.append(prefix + _sentence(argument.reason))
    if not speaking:
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
