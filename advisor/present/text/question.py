"""A question of a consultation as text: how to find out, the choices, and what hangs on the answer."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from advisor.engine import Conclusions, Stakes, look_in_one_go
from advisor.frozen import frozen
from advisor.present.text.room import choices_in_line
from advisor.rulebase.model import Fact, RuleBase
from advisor.units import Range, format_measure

_KEYS = "?=explain  s=stakes  u=unknown  b=back  c=change  q=leave"

_KEYS_WITH_END = "?=explain  s=stakes  u=unknown  b=back  c=change  e=enough  q=leave"

_FEW_KEYS = "u=unknown  b=back  ?=more"

IN_ONE_GO = "One line, or all."
"""What may be typed where several lines are asked together."""


@frozen
class Place:
    """Where in a consultation a question is asked.

    Attributes:
        number: How many questions there were, with this one; below 1 it is not shown.
        keys: What can be typed besides an answer.
    """

    number: int
    keys: str


def keys_of(conclusions: Conclusions, *, all_of_them: bool) -> str:
    """The keys of a question: all where they are new, then those that matter at every question."""
    if all_of_them:
        return _KEYS_WITH_END if conclusions.several else _KEYS
    return f"{_FEW_KEYS}  e=enough" if conclusions.several else _FEW_KEYS


def print_question(
    console: Console, conclusions: Conclusions, fact: Fact, place: Place, present: str | None = None
) -> None:
    """Show one question with how to find out, its choices or range, and the keys.

    Pictures come first, since on a small screen what stands above scrolls away, and the choices must not.

    Args:
        console: Where it is shown.
        conclusions: What follows from the answers so far.
        fact: What is asked.
        place: Where it is asked.
        present: The answer it has already, in words.
    """
    rule_base = conclusions.rule_base
    number = place.number
    group = rule_base.groups[fact.entry.group]
    console.print()
    _print_pictures(console, rule_base, fact)
    console.print(Text(f"{number}. {group}" if number > 0 else group))
    console.print(Text(fact.entry.ask, style="bold"))
    console.print(Padding(Text(fact.entry.find_out), (0, 0, 0, 2)))
    _print_choices(console, fact)
    if present is not None:
        console.print(Padding(Text(f"Your answer is: {present}   (Enter keeps it)", style="bold"), (0, 0, 0, 2)))
    console.print(Text(place.keys))


def print_together(console: Console, conclusions: Conclusions, facts: Sequence[Fact], place: Place) -> None:
    """Show what one look tells: how it is done, and a line for each fact with what can be typed.

    Args:
        console: Where it is shown.
        conclusions: What follows from the answers so far.
        facts: The facts, all told by one look that is asked in one go.
        place: Where it is asked.
    """
    rule_base = conclusions.rule_base
    number = place.number
    look = look_in_one_go(rule_base, facts[0].name)
    assert look is not None
    group = rule_base.groups[facts[0].entry.group]
    console.print()
    console.print(Text(f"{number}. {group}" if number > 0 else group))
    console.print(Text(look.entry.title, style="bold"))
    console.print(Padding(Text(look.entry.do), (0, 0, 0, 2)))
    width = max(len(fact.label) for fact in facts)
    for line, fact in enumerate(facts, 1):
        console.print(Text(f"  {line}  {fact.label:<{width}}  {choices_in_line(fact)}"))
    console.print(Text(f"{IN_ONE_GO}  {place.keys}"))


def print_fact(console: Console, rule_base: RuleBase, fact: Fact, keys: str) -> None:
    """Show what a fact asks outside of a consultation: how to find out, its choices or range, and the keys."""
    console.print()
    _print_pictures(console, rule_base, fact)
    console.print(Text(fact.entry.ask, style="bold"))
    console.print(Padding(Text(fact.entry.find_out), (0, 0, 0, 2)))
    _print_choices(console, fact)
    console.print(Text(keys))


def _print_choices(console: Console, fact: Fact) -> None:
    entry = fact.entry
    if entry.kind == "quantity":
        assert fact.unit is not None
        limits = format_measure(Range(fact.least, fact.least, fact.most), fact.unit, 6)
        unit = "" if fact.unit.symbol == "pieces" else f" {fact.unit.symbol}"
        example = fact.when_unknown.likely if fact.when_unknown else fact.least
        one = format_measure(Range.exact(example), fact.unit).replace("°", "").replace("‰", "permille")
        console.print(
            Padding(
                Text(
                    f"Give an amount, {limits}. For example: {one}   or a range: 5 to 10{unit}"
                    if unit
                    else f"Give a number, {limits}. For example: 2"
                ),
                (0, 0, 0, 2),
            )
        )
        return
    if entry.kind == "yes_no":
        console.print(Padding(Text("1  yes   2  no"), (0, 0, 0, 2)))
        return
    width = max(len(option.label) for option in entry.options.values())
    for number, option in enumerate(entry.options.values(), 1):
        row = Text(f"{number:>2}  {option.label:<{width}}  ", style="")
        console.print(Padding(_hanging(row, option.means, console.width), (0, 0, 0, 1)))
    if entry.kind == "several":
        console.print(
            Padding(
                Text("Like 1 3 or 2-4; 0 = none; 2? = perhaps."),
                (0, 0, 0, 2),
            )
        )


def _print_pictures(console: Console, rule_base: RuleBase, fact: Fact) -> None:
    """The pictures of the options, each under its number."""
    drawn = [
        (f"{number} {option.label}", rule_base.drawings[option.picture])
        for number, option in enumerate(fact.entry.options.values(), 1)
        if option.picture is not None
    ]
    if not drawn:
        return
    # Most questions have no picture.
    from advisor.present.drawing import side_by_side

    ascii_only = not (console.encoding or "").lower().startswith("utf")
    for line in side_by_side(drawn, console.width - 2, ascii_only):
        console.print(Text(line), soft_wrap=True)
    console.print()


def _hanging(head: Text, body: str, width: int) -> Text:
    """A row whose long text is folded under itself."""
    import textwrap

    indent = len(head.plain)
    folded = textwrap.wrap(body, max(20, width - indent - 3)) or [""]
    result = head.copy()
    result.append(folded[0])
    for line in folded[1:]:
        result.append("\n" + " " * indent + line)
    return result


def print_explanation(console: Console, fact: Fact) -> None:
    """The longer explanation of a question."""
    console.print()
    console.print(Padding(Text(fact.entry.explain), (0, 0, 0, 2)))
    console.print()


def print_stakes(console: Console, stakes: Stakes) -> None:
    """What still hangs on the answer."""
    console.print()
    for title, options in stakes.undecided:
        console.print(Padding(Text(f"{title}, still possible: {'; '.join(options)}"), (0, 0, 0, 2)))
    for verb, reason in stakes.may_rule_out:
        console.print(Padding(Text(f"It may {verb}: {reason}"), (0, 0, 0, 4)))
    for says, option, reason in stakes.may_speak:
        console.print(Padding(Text(f"It may speak {says} {option}: {reason}"), (0, 0, 0, 4)))
    if stakes.causes:
        console.print(Padding(Text(f"It may speak for or against: {'; '.join(stakes.causes)}"), (0, 0, 0, 2)))
    if stakes.hazards:
        console.print(Padding(Text(f"Hazards that hang on it: {'; '.join(stakes.hazards)}"), (0, 0, 0, 2)))
    if stakes.weights:
        console.print(Padding(Text(f"Weights that hang on it: {'; '.join(stakes.weights)}"), (0, 0, 0, 2)))
    if stakes.steps:
        console.print(Padding(Text(f"Steps that hang on it: {stakes.steps}"), (0, 0, 0, 2)))
    if not (
        stakes.causes
        or stakes.undecided
        or stakes.may_rule_out
        or stakes.may_speak
        or stakes.hazards
        or stakes.weights
        or stakes.steps
    ):
        console.print(Padding(Text("Only the size of the weights and masses hangs on it."), (0, 0, 0, 2)))
    console.print()
