"""A question of a consultation as text: how to find out, the choices, and what hangs on the answer."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from advisor.engine import Conclusions, Stakes, look_in_one_go
from advisor.frozen import frozen
from advisor.present.text.letters import fold
from advisor.present.text.page import Page
from advisor.present.text.room import choices_in_line
from advisor.rulebase.model import Fact, RuleBase
from advisor.units import Range, format_measure
from advisor.words import tr

_KEYS = tr("?=explain  s=stakes  u=unknown  b=back  c=change  q=leave")

_KEYS_WITH_END = tr("?=explain  s=stakes  u=unknown  b=back  c=change  e=enough  q=leave")

_FEW_KEYS = tr("u=unknown  b=back  ?=more")

IN_ONE_GO = tr("One line, or all.")
"""What may be typed where several lines are asked together."""


_LEAST_BESIDE = 40
"""Letters that what an option means needs beside its name; with fewer it follows the name."""


@frozen
class Row:
    """A line of a question, and how rich shows it."""

    text: str
    style: str


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
    return tr("{few_keys}  e=enough", few_keys=_FEW_KEYS) if conclusions.several else _FEW_KEYS


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
    kept = tr("Your answer is: {present}   (Enter keeps it)", present=present) if present is not None else ""
    _print_asked(console, conclusions.rule_base, fact, _heading(conclusions, fact, place), (kept, place.keys))


def print_fact(console: Console, rule_base: RuleBase, fact: Fact, keys: str) -> None:
    """Show what a fact asks outside of a consultation: how to find out, its choices or range, and the keys."""
    _print_asked(console, rule_base, fact, "", ("", keys))


def print_together(console: Console, conclusions: Conclusions, facts: Sequence[Fact], place: Place) -> None:
    """Show what one look tells: how it is done, and a line for each fact with what can be typed.

    Args:
        console: Where it is shown.
        conclusions: What follows from the answers so far.
        facts: The facts, all told by one look that is asked in one go.
        place: Where it is asked.
    """
    look = look_in_one_go(conclusions.rule_base, facts[0].name)
    assert look is not None
    page = Page(console)
    page.gap()
    page.say(_heading(conclusions, facts[0], place))
    page.say(look.entry.title, style="bold")
    page.say(look.entry.do, indent=2)
    width = max(len(fact.label) for fact in facts)
    for line, fact in enumerate(facts, 1):
        page.say(choices_in_line(fact), indent=2, mark=f"{line}  {fact.label:<{width}}  ")
    page.say(f"{IN_ONE_GO}  {place.keys}")


def _heading(conclusions: Conclusions, fact: Fact, place: Place) -> str:
    group = conclusions.rule_base.groups[fact.entry.group]
    return f"{place.number}. {group}" if place.number > 0 else group


def _print_asked(console: Console, rule_base: RuleBase, fact: Fact, heading: str, below: tuple[str, str]) -> None:
    """A question between its heading and what stands below it: the present answer, if there is one, and the keys."""
    page = Page(console)
    page.gap()
    _print_pictures(console, rule_base, fact)
    kept, keys = below

    def rows(*, meanings: bool) -> list[Row]:
        return [
            *_rows(page, heading),
            *_rows(page, fact.entry.ask, style="bold"),
            *_rows(page, fact.entry.find_out, "  "),
            *_choices(page, fact, meanings=meanings),
            *_rows(page, kept, "  ", "bold"),
            *_rows(page, keys),
        ]

    whole = rows(meanings=True)
    # Above them stands an empty line, below them what is typed.
    fits = not console.is_terminal or len(whole) + 2 <= console.height
    page.lines(whole if fits else rows(meanings=False))


def _rows(page: Page, text: str, mark: str = "", style: str = "") -> list[Row]:
    """A text folded beside its mark; nothing where there is no text."""
    return [Row(line, style) for line in fold(text, page.width, mark, " " * len(mark))]


def _choices(page: Page, fact: Fact, *, meanings: bool) -> list[Row]:
    """What can be typed: the options, with what they mean where there is room, or an example of an amount."""
    entry = fact.entry
    if entry.kind == "quantity":
        return _rows(page, _amount_wanted(fact), "  ")
    if entry.kind == "yes_no":
        return _rows(page, tr("1  yes   2  no"), "  ")
    hint = _rows(page, tr("Like 1 3 or 2-4; 0 = none; 2? = perhaps."), "  ") if entry.kind == "several" else []
    if not meanings:
        return [*_rows(page, choices_in_line(fact), "  "), *hint]
    width = max(len(option.label) for option in entry.options.values())
    narrow = page.width - width < _LEAST_BESIDE
    found: list[Row] = []
    for number, option in enumerate(entry.options.values(), 1):
        mark = f" {number:>2}  "
        if narrow:
            found += _rows(page, f"{option.label}: {option.means}", mark)
        else:
            found += _rows(page, option.means, f"{mark}{option.label:<{width}}  ")
    return [*found, *hint]


def _amount_wanted(fact: Fact) -> str:
    """What amount is wanted, with an example."""
    assert fact.unit is not None
    limits = format_measure(Range(fact.least, fact.least, fact.most), fact.unit, 6)
    if fact.unit.symbol == "pieces":
        return tr("Give a number, {limits}. For example: 2", limits=limits)
    example = fact.when_unknown.likely if fact.when_unknown else fact.least
    one = format_measure(Range.exact(example), fact.unit).replace("°", "").replace("‰", "permille")
    return tr(
        "Give an amount, {limits}. For example: {one}   or a range: 5 to 10 {symbol}",
        limits=limits,
        one=one,
        symbol=fact.unit.symbol,
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


def print_explanation(console: Console, fact: Fact) -> None:
    """The longer explanation of a question, and what each of its options means."""
    page = Page(console)
    page.gap()
    page.say(fact.entry.explain, indent=2)
    for number, option in enumerate(fact.entry.options.values(), 1):
        page.say(f"{option.label}: {option.means}", indent=2, mark=f"{number:>2}  ")
    page.gap()


def print_stakes(console: Console, stakes: Stakes) -> None:
    """What still hangs on the answer."""
    console.print()
    for title, options in stakes.undecided:
        console.print(
            Padding(
                Text(tr("{title}, still possible: {options}", title=title, options="; ".join(options))), (0, 0, 0, 2)
            )
        )
    for verb, reason in (*stakes.may_rule_out, *stakes.may_speak):
        console.print(Padding(Text(tr("It may {verb}: {reason}", verb=verb, reason=reason)), (0, 0, 0, 4)))
    if stakes.causes:
        console.print(
            Padding(Text(tr("It may speak for or against: {causes}", causes="; ".join(stakes.causes))), (0, 0, 0, 2))
        )
    if stakes.hazards:
        console.print(
            Padding(Text(tr("Hazards that hang on it: {hazards}", hazards="; ".join(stakes.hazards))), (0, 0, 0, 2))
        )
    if stakes.weights:
        console.print(
            Padding(Text(tr("Weights that hang on it: {weights}", weights="; ".join(stakes.weights))), (0, 0, 0, 2))
        )
    if stakes.steps:
        console.print(Padding(Text(tr("Steps that hang on it: {steps}", steps=stakes.steps)), (0, 0, 0, 2)))
    if not (
        stakes.causes
        or stakes.undecided
        or stakes.may_rule_out
        or stakes.may_speak
        or stakes.hazards
        or stakes.weights
        or stakes.steps
    ):
        console.print(Padding(Text(tr("Only the size of the weights and masses hangs on it.")), (0, 0, 0, 2)))
    console.print()
