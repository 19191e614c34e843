"""Why an answer is right or wrong: the engine's own arguments with their sources."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from advisor.advice.build_advice import build_advice
from advisor.advice.documents.common import SourceNote
from advisor.advice.notes.arguments import source_notes
from advisor.advice.notes.decisions import speaks_about
from advisor.advice.plan.weighing import Weigher, rule_words
from advisor.engine import Conclusions, Outcome, looks
from advisor.frozen import frozen
from advisor.rulebase.compiling.sources import resolve_sources
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN
from advisor.rulebase.model import Argument, Preparation, Source
from advisor.rulebase.reading.expand_causes import CAUSE
from advisor.training.drills.drill import Drill, Key
from advisor.training.drills.hazards import control_of, kept_for_doubt
from advisor.training.examining import Given, conclusions_of, key_of, mark_of, titles
from advisor.training.training_rules import TrainingRules
from advisor.units.measures import format_number
from advisor.words import each_of, one_of, tr

_MOST = 2


@frozen
class Reason:
    """One sentence of why, and where it comes from."""

    text: str
    sources: tuple[SourceNote, ...] = ()


@frozen
class Marked:
    """A marked answer.

    Attributes:
        mark: What it is worth.
        picks: Of several picked, which were right, missing and too many; empty where that says nothing.
        right: What is right, in words.
        why: Why that is right.
        why_not: Why the answer given is not.
        case_says: What the worked case says, if the drill is one and came out like it.
        title: What the drill was about, for the record.
    """

    mark: str
    picks: str
    right: str
    why: tuple[Reason, ...]
    why_not: tuple[Reason, ...]
    case_says: str
    title: str


def marked(training: TrainingRules, drill: Drill, given: Given) -> Marked:
    """An answer marked by the engine, with its reasons."""
    mark = mark_of(training, drill, given)
    conclusions = None if drill.kind == "picture" else conclusions_of(training, drill)
    key = key_of(training, drill, conclusions)
    wrong = sorted(given.picked - key.right) if given.known else []
    missed = sorted(key.right - given.picked) if drill.several else []
    why, why_not = _reasons(training, drill, conclusions, key, wrong, missed)
    return Marked(
        mark=mark,
        picks=_picks_words(drill, key, given),
        right=_right_words(drill, key),
        why=tuple(why),
        why_not=tuple(why_not),
        case_says=_case_says(training, drill, key),
        title=title_of(training, drill, key),
    )


def _picks_words(drill: Drill, key: Key, given: Given) -> str:
    """Which picks were right, which are missing and which too many, by their numbers."""
    if not drill.several or not given.known or given.picked == key.right:
        return ""
    parts = {
        tr("Right"): given.picked & key.right,
        tr("Missing"): key.right - given.picked,
        tr("Too many"): given.picked - key.right,
    }
    return " ".join(f"{word}: {_numbers(drill, names)}." for word, names in parts.items() if names)


def _numbers(drill: Drill, names: frozenset[str]) -> str:
    return each_of(str(number) for number, choice in enumerate(drill.choices, 1) if choice.id in names)


def _right_words(drill: Drill, key: Key) -> str:
    if key.amount is not None:
        low, likely, high = (format_number(x, 4) for x in (key.amount.low, key.amount.likely, key.amount.high))
        return tr("{low} to {high} g, best {likely} g", low=low, high=high, likely=likely)
    names = titles(drill, key.right)
    if not drill.several:
        return one_of(names, ",")
    titled = f": {'; '.join(names)}" if drill.kind in ("danger", "phase") else ""
    return _numbers(drill, key.right) + titled if key.right else tr("none of them")


def title_of(training: TrainingRules, drill: Drill, key: Key) -> str:
    """What a drill is about, in words, for the record of the learner."""
    if drill.kind in ("danger", "control"):
        return training.route.hazards[drill.topic].entry.title
    if drill.kind in ("weigh", "screen", "fault"):
        return training.route.materials[drill.topic].entry.title
    if drill.kind == "phase":
        phase = training.route.phases.get(drill.topic)
        return phase.title if phase is not None else tr("First")
    if drill.topic in training.route.preparations:
        return training.route.preparations[drill.topic].entry.title
    if drill.topic in training.route.arguments:
        return f"{titles(drill, key.right)[0]}: {training.route.arguments[drill.topic].entry.reason}"
    return one_of(titles(drill, key.right), ",")


def _reasons(
    training: TrainingRules,
    drill: Drill,
    conclusions: Conclusions | None,
    key: Key,
    wrong: Sequence[str],
    missed: Sequence[str],
) -> tuple[Iterator[Reason] | list[Reason], Iterator[Reason] | list[Reason]]:
    if conclusions is None:
        return _of_picture(training, drill, key), []
    if drill.kind == "cause":
        return _for_causes(conclusions, sorted(key.right)[:1]), _against_causes(conclusions, wrong)
    if drill.kind == "danger":
        shown = missed or sorted(key.right)
        return _of_hazards(conclusions, shown[:_MOST]), _not_there(conclusions, wrong)
    if drill.kind == "control":
        return _of_controls(training, missed or sorted(key.right)), _of_other_controls(training, wrong)
    if drill.kind == "phase":
        shown = missed or sorted(key.right)
        return _of_hazards(conclusions, shown[:_MOST]), _not_in_phase(conclusions, wrong)
    if drill.kind in ("weigh", "screen", "fault"):
        return _of_weight(conclusions, drill.subject or drill.topic), []
    if drill.kind == "first":
        return _of_first(conclusions, missed or sorted(key.right)), _not_first(conclusions, wrong)
    outcome = conclusions.outcomes[drill.subject]
    return _for_option(conclusions, outcome), [r for name in wrong for r in _against_option(conclusions, outcome, name)]


def _reason(text: str, sources: Iterable[Source]) -> Reason:
    return Reason(text, source_notes(sources))


def _speaking(conclusions: Conclusions, outcome: Outcome, option: str, says: str) -> list[Argument]:
    """Arguments of one kind about an option, those that hold first, the strongest first."""
    found = [
        (conclusions.truth(argument.condition), argument)
        for argument in outcome.decision.arguments
        if argument.entry.says == says and speaks_about(argument, option)
    ]
    standing = [(truth, argument) for truth, argument in found if truth != FAILS]
    return [a for _, a in sorted(standing, key=lambda pair: (pair[0] != HOLDS, -abs(pair[1].weight)))]


def _holding(conclusions: Conclusions, arguments: list[Argument]) -> list[Argument]:
    return [argument for argument in arguments if conclusions.truth(argument.condition) == HOLDS]


def _for_option(conclusions: Conclusions, outcome: Outcome) -> Iterator[Reason]:
    chosen = outcome.chosen
    required = [a for a in _speaking(conclusions, outcome, chosen, "require") if chosen in a.options]
    speaking = required or _holding(conclusions, _speaking(conclusions, outcome, chosen, "for"))
    for argument in speaking[:_MOST]:
        doubt = tr("Not known, so it counts: ") if conclusions.truth(argument.condition) == OPEN else ""
        yield _reason(doubt + argument.entry.reason, argument.sources)
    if not speaking:
        yield Reason(outcome.decision.entry.options[chosen].summary)
        # Nothing speaks for it but what keeps the others out.
        for option in [other for other in outcome.decision.options if other != chosen][:_MOST]:
            yield from _against_option(conclusions, outcome, option)


def _against_option(conclusions: Conclusions, outcome: Outcome, option: str) -> Iterator[Reason]:
    title = outcome.decision.title_of(option)
    struck = _speaking(conclusions, outcome, option, "rule_out")
    struck += [a for a in _speaking(conclusions, outcome, option, "require") if option not in a.options]
    struck = struck or _speaking(conclusions, outcome, option, "against")
    for argument in struck[:1]:
        reason = argument.entry.reason
        if conclusions.truth(argument.condition) == OPEN:
            reason = tr("not known, so it counts: {reason}", reason=reason)
        yield _reason(f"{title}: {reason}", argument.sources)
    if not struck:
        yield Reason(tr("{title}: it could be done, but less speaks for it.", title=title))


def _for_causes(conclusions: Conclusions, names: Iterable[str]) -> Iterator[Reason]:
    for name in names:
        yield from _signs(conclusions, name, positive=True)


def _signs(conclusions: Conclusions, name: str, *, positive: bool) -> list[Reason]:
    prepared = conclusions.several[CAUSE].prepared[name]
    holding = [a for a in prepared.speaking if conclusions.truth(a.condition) == HOLDS and (a.weight > 0) == positive]
    return [_reason(a.entry.reason, a.sources) for a in sorted(holding, key=lambda a: -abs(a.weight))[:_MOST]]


def _against_causes(conclusions: Conclusions, names: Iterable[str]) -> Iterator[Reason]:
    cause_outcome = conclusions.several[CAUSE]
    for name in names:
        title = cause_outcome.decision.title_of(name)
        out = [a for a in cause_outcome.prepared[name].constraints if conclusions.truth(a.condition) == HOLDS]
        found = [_reason(a.entry.reason, a.sources) for a in out[:1]] or _signs(conclusions, name, positive=False)[:1]
        for reason in found:
            yield Reason(f"{title}: {reason.text}", reason.sources)
        if not found:
            yield Reason(tr("{title}: too little of what was seen speaks for it.", title=title))


def _of_hazards(conclusions: Conclusions, names: Iterable[str]) -> Iterator[Reason]:
    for name in names:
        hazard = conclusions.rule_base.hazards[name]
        doubt = tr(" It counts, because something is not known.") if kept_for_doubt(conclusions, name) else ""
        yield _reason(
            tr(
                "{title}: {harm} It is there because: {words}.{doubt}",
                title=hazard.entry.title,
                harm=hazard.entry.harm,
                words=hazard.condition.words,
                doubt=doubt,
            ),
            hazard.sources,
        )


def _not_there(conclusions: Conclusions, names: Iterable[str]) -> Iterator[Reason]:
    for name in names:
        hazard = conclusions.rule_base.hazards[name]
        yield Reason(
            tr(
                "{title}: not here. It would be there if: {words}.",
                title=hazard.entry.title,
                words=hazard.condition.words,
            )
        )


def _not_in_phase(conclusions: Conclusions, names: Iterable[str]) -> Iterator[Reason]:
    phases = build_advice(conclusions, look_for_changes=False).phases
    for name in names:
        title = conclusions.rule_base.hazards[name].entry.title
        where = [one.title for one in phases if name in one.hazards]
        said = tr("{title}: not in this phase.", title=title)
        comes_in = tr("It comes in: {phases}.", phases="; ".join(where[:_MOST])) if where else ""
        yield Reason(f"{said} {comes_in}")


def _of_controls(training: TrainingRules, names: Iterable[str]) -> Iterator[Reason]:
    for name in names:
        hazard, place = control_of(training, name)
        yield _reason(hazard.controls[place].do, hazard.controls[place].sources)


def _of_other_controls(training: TrainingRules, names: Iterable[str]) -> Iterator[Reason]:
    for name in names:
        hazard, place = control_of(training, name)
        yield Reason(
            tr(
                "{do} That is done against another danger: {title}.",
                do=hazard.controls[place].do,
                title=hazard.entry.title,
            )
        )


def _of_weight(conclusions: Conclusions, material: str) -> Iterator[Reason]:
    amount = build_advice(conclusions, look_for_changes=False).amounts[material]
    for rule in Weigher(conclusions).rules_for(material):
        yield Reason(tr("Rule of thumb: {rule_words}", rule_words=rule_words(rule)), source_notes(rule.sources))
    if amount.computed is not None:
        source = SourceNote(kind="calculation", text=amount.computed.source)
        yield Reason(
            tr("The plan takes the computed weight for these minerals: {how}.", how=amount.computed.how), (source,)
        )


def _of_first(conclusions: Conclusions, names: Iterable[str]) -> Iterator[Reason]:
    for name in names:
        if name in conclusions.rule_base.preparations:
            one = conclusions.rule_base.preparations[name]
            yield _reason(
                tr(
                    "{title}. {why_first} Until then waits: {waits}. Done when: {done_when}",
                    title=one.entry.title,
                    why_first=_why_first(conclusions, one),
                    waits=one.entry.waits,
                    done_when=one.entry.done_when,
                ),
                one.sources,
            )
            continue
        if name == "find_out":
            labels = [conclusions.rule_base.facts[look.fact].label for look in looks(conclusions)]
            yield Reason(
                tr("The route hangs on what is not known yet: {labels}.", labels=", ".join(labels[: _MOST + 1]))
            )
        stopping = [outcome for outcome in conclusions.outcomes.values() if outcome.stops]
        yield from _for_option(conclusions, (stopping or [conclusions.outcomes["route"]])[0])


def _why_first(conclusions: Conclusions, one: Preparation) -> str:
    truth = conclusions.truth(one.lacking)
    if truth == FAILS:  # The plan asks for it: its steps take longer than the hours there are.
        return tr("The steps of the plan take longer than the hours at hand.")
    if truth == OPEN:
        return tr("Not known, so it counts: {words}.", words=one.lacking.words)
    return tr("Wanted because: {words}.", words=one.lacking.words)


def _not_first(conclusions: Conclusions, names: Iterable[str]) -> Iterator[Reason]:
    said = {
        "work": tr("Begin: not before what comes first is done."),
        "find_out": tr("Find out: nothing that is not known can change it here."),
        "stop": tr("Stop: nothing here says that it has to stop."),
    }
    for name in names:
        if name in said:
            yield Reason(said[name])
        else:
            one = conclusions.rule_base.preparations[name]
            yield Reason(
                tr("{title}: not wanted here. It would be if: {words}.", title=one.entry.title, words=one.lacking.words)
            )


def _of_picture(training: TrainingRules, drill: Drill, key: Key) -> Iterator[Reason]:
    entry = training.pieces.facts[drill.subject].entry
    drawing = training.pieces.drawings[drill.pictures[0]]
    sources = () if entry.source is None else resolve_sources(entry.source, training.pieces.sources)[0]
    for name in (choice.id for choice in drill.choices if choice.id in key.right):
        option = entry.options[name]
        yield _reason(
            tr(
                "{caption} That is '{label}': {means}. {explain}",
                caption=drawing.caption,
                label=option.label,
                means=option.means,
                explain=entry.explain,
            ),
            sources,
        )


def _case_says(training: TrainingRules, drill: Drill, key: Key) -> str:
    """What the worked case says, if the drill is one and came out as it does."""
    if not drill.case:
        return ""
    paths = training.batch_cases if drill.base == "route" else training.piece_cases
    case = training.case(next(path for path in paths if path.name == drill.case))
    expected = {
        "route": case.expected and case.expected.route,
        "collector": case.expected and case.expected.collector,
        "remedy": case.diagnosis and case.diagnosis.remedy,
        "cause": case.diagnosis and next(iter(case.diagnosis.causes), None),
    }.get(drill.kind)
    if expected not in key.right or not case.why:
        return ""
    return tr("This is like the worked case '{title}' ({name}). {why}", title=case.title, name=case.name, why=case.why)
