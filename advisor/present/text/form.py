"""An answer form: every fact of a rule base in a YAML file, each in a comment until it is answered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.advice.batches.own_room import USUAL_TITLE, facts_of_room
from advisor.document import comment, json_of
from advisor.present.text.letters import fold
from advisor.rulebase.model import Fact, RuleBase
from advisor.units import Range, format_measure
from advisor.words import tr

_WIDTH = 100


def form_text(rule_base: RuleBase, command: str) -> str:
    """The form: prose behind ``# ``, and each fact on a line ``#name:`` of its own.

    Args:
        rule_base: The rules that declare the facts.
        command: The command that reads the filled form.
    """
    head = [f"#title: {tr('a name for it')}", *_folded("#", _ROOM), "#room:"]
    return _form(rule_base, f"{command} FILE", head, rule_base.facts.values())


def room_form_text(rule_base: RuleBase, command: str) -> str:
    """The form of a gold room; how it is tonight, and the lot, stand in no room."""
    return _form(
        rule_base,
        f"{command} FILE",
        [f"title: {json_of(USUAL_TITLE)}"],
        facts_of_room(rule_base).values(),
    )


def _form(rule_base: RuleBase, command: str, head: list[str], facts: Iterable[Fact]) -> str:
    asked = [fact for fact in facts if not fact.computed]
    lines = [
        comment(f"{tr('Answer form of the advisor')}. {tr('When it is filled in, run: {command}', command=command)}"),
        *_folded("#", _HOW),
        "",
        *head,
        "answers:",
    ]
    for group, title in rule_base.groups.items():
        of_group = [fact for fact in asked if fact.entry.group == group]
        if of_group:
            lines += ["", *_folded("  #", title.upper())]
        for fact in of_group:
            lines += ["", *_fact_lines(fact)]
    return "\n".join([*lines, ""])


_ROOM = tr("The gold room: its name in rooms/ beside this file, or its file. What stands there is left out below.")
_HOW = tr(
    "Take the # away before each fact that you answer, and write the answer behind its colon. What keeps its "
    "# counts as not asked. Write  not known  where you looked or asked and cannot tell: what is not known "
    "counts as dangerous."
)


def _fact_lines(fact: Fact) -> Iterator[str]:
    yield from _folded("  #", f"{fact.label[:1].upper()}{fact.label[1:]}: {fact.entry.ask} ({_kind(fact)})")
    if fact.ask_if is not None:
        yield from _folded("  #", tr("Only where {words}.", words=fact.ask_if.words))
    width = max(map(len, fact.entry.options), default=0)
    for name, option in fact.entry.options.items():
        yield from _folded("  #", f"{option.label}: {option.means}", f"  {name.ljust(width)}  ")
    yield f"  #{fact.name}:"


def _kind(fact: Fact) -> str:
    if fact.entry.kind == "quantity":
        assert fact.unit is not None
        limits = format_measure(Range.between(fact.least, fact.most), fact.unit, 6)
        return tr(
            "an amount in {symbol}, {limits}; where it varies, two: 5 to 10 {symbol}",
            symbol=fact.unit.symbol,
            limits=limits,
        )
    words = {
        "yes_no": tr("yes or no"),
        "choice": tr("one of these"),
        "several": tr(
            "a list of these such as [one, other?] with a ? for perhaps; none if you looked and there is none"
        ),
    }
    return words[fact.entry.kind]


def _folded(head: str, text: str, mark: str = " ") -> list[str]:
    return fold(text, _WIDTH, f"{head}{mark}", f"{head}{' ' * len(mark)}")
