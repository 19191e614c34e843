"""How what is typed becomes a value."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping

from advisor.frozen import frozen
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.model import Fact, Several, Value
from advisor.rulebase.values import NO_WORDS, ValueFault, options_saying_no, read_value
from advisor.terminal.output import number_typed
from advisor.units.measures import TO_WORDS, any_of
from advisor.words import one_of, tr, typed_words

_YES_WORDS = frozenset({"y", "yes.", *typed_words("yes")})
_NOT_WORDS = NO_WORDS | typed_words("not without neither nor")
_LITTLE_WORDS = typed_words("and any for the with")
_BUT = re.compile(rf"[,;:.]|\s-\s|\b(?:{any_of(typed_words('but'))})\b")
_AND = re.compile(rf"[,;]|\b(?:{any_of(typed_words('and'))})\b")
_UP_TO = re.compile(rf"(?<=\d)\s*(?:-|–|\b(?:{any_of(TO_WORDS)})\b)\s*(?=\d)")
_WORDS = re.compile(r"[^\W_][\w'-]*")
_PLAIN_WORDS = re.compile(r"[\w\s',.-]+")
_NUMBERS = re.compile(r"\??\d+(?:-\d+)?\??")
_SHORTEST_PREFIX = 3
_LONGEST = 60


@frozen
class Typed:
    """What was understood of a line.

    Attributes:
        value: The value.
        guessed: Whether only words of what an option means led to it, so that the person should say yes to it.
    """

    value: Value
    guessed: bool = False


def read_typed(fact: Fact, typed: str) -> Typed:
    """The value a person typed: numbers of the list shown, its words, or an amount as in a file.

    Raises:
        ValueFault: If it does not fit; the message speaks in the words on the screen.
    """
    if not typed:
        raise ValueFault(tr("nothing was typed"))
    kind = fact.entry.kind
    if kind == "quantity":
        return Typed(read_value(fact, typed))
    if kind == "yes_no":
        return Typed(read_value(fact, _numbered(["yes", "no"], typed) or typed))
    if kind == "several":
        return _read_several(fact, typed)
    named, guessed = _numbered(list(fact.entry.options), typed), False
    if named is None:
        named, guessed = _named(fact, typed)
    return Typed(named, guessed)


def _numbered(options: list[str], typed: str) -> str | None:
    """The option with the number typed, or None when it is not a number of the list."""
    number = number_typed(typed, len(options))
    if number is not None:
        return options[number - 1]
    if typed.isascii() and typed.isdigit() and len(typed) < 6:
        raise ValueFault(tr("'{typed}' is not a number from 1 to {count}", typed=typed, count=len(options)))
    return None


def _read_several(fact: Fact, typed: str) -> Typed:
    options = list(fact.entry.options)
    word = " ".join(typed.lower().split()).rstrip(".")
    if word in ("0", *NO_WORDS, "none of them", tr("none of them")):
        return Typed(Several())
    if word in ("all", "all of them", "everything", tr("all of them")):
        return Typed(Several(frozenset(options)))
    numbers = _UP_TO.sub("-", _AND.sub(" ", word)).split()
    guessed = False
    present: set[str] = set()
    unsure: set[str] = set()
    if numbers and all(_NUMBERS.fullmatch(number) for number in numbers):
        items = [(one, "?" in number) for number in numbers for one in _from_to(options, number.strip("?"))]
    else:
        items = []
        for part in _parts(fact, word):
            named, unclear = _named(fact, part.strip("? "))
            guessed = guessed or unclear
            items.append((named, "?" in part))
    for name, perhaps in items:
        (unsure if perhaps else present).add(name)
    return Typed(Several(frozenset(present), frozenset(unsure - present)), guessed)


def _from_to(options: list[str], typed: str) -> list[str]:
    """The options of one number, or from one number to another."""
    first, _, last = typed.partition("-")
    low, high = number_typed(first, len(options)), number_typed(last or first, len(options))
    if low is None or high is None or low > high:
        raise ValueFault(
            tr(
                "'{typed}' is not a number from 1 to {count}; type 0 alone for none of them",
                typed=typed,
                count=len(options),
            )
        )
    return options[low - 1 : high]


def _parts(fact: Fact, word: str) -> list[str]:
    """The items of a list as typed: parted by commas, or else by spaces where only that gives items."""
    parts = [part.strip() for part in _AND.split(word) if part.strip(" ?")]
    if not parts:
        raise ValueFault(tr("nothing is named here; type 0 alone for none of them"))
    if len(parts) == 1 and len(parts[0].split()) > 1 and not _matches(fact, parts[0].strip("? ")):
        return parts[0].split()
    return parts


def _named(fact: Fact, typed: str) -> tuple[str, bool]:
    """The option that some words name, and whether only its meaning led there.

    Raises:
        ValueFault: If no option fits, or more than one.
    """
    word = typed.lower().strip()
    exact = [name for name, option in fact.entry.options.items() if word in (name, option.label.lower())]
    denied = not exact and (word == "n" or word in NO_WORDS)
    if denied and (saying_no := options_saying_no(fact)):
        return saying_no[0], False
    if denied or word in _YES_WORDS:
        raise ValueFault(tr("'{word}' does not say which; {how_to_name}", word=word, how_to_name=_how_to_name(fact)))
    found = _matches(fact, word)
    if not found:
        raise ValueFault(
            tr(
                "'{short}' is none of these answers; {how_to_name}",
                short=_short(typed),
                how_to_name=_how_to_name(fact, word),
            )
        )
    (name, guessed), *others = found.items()
    if others:
        labels = one_of(f"'{fact.entry.options[one].label}'" for one in found)
        raise ValueFault(tr("'{short}' can be {labels}; type the number", short=_short(typed), labels=labels))
    return name, guessed


def _matches(fact: Fact, word: str) -> dict[str, bool]:
    """The options that some words can mean, each with whether only its meaning says so; the plainest way wins."""
    options = fact.entry.options
    plain = word.replace("-", "_").replace(" ", "_")
    exact = [name for name, option in options.items() if plain == name or word == option.label.lower()]
    if exact:
        return {exact[0]: False}
    typed = _words(word)
    if len(word) > _LONGEST or not _PLAIN_WORDS.fullmatch(word):
        return {}
    telling = [one for one in typed if len(one) >= _SHORTEST_PREFIX and one not in _LITTLE_WORDS]
    if not telling or not all(any(letter.isalpha() for letter in one) for one in typed):
        return {}
    labels = {name: option.label for name, option in options.items()}
    meanings = {name: f"{option.label}, {option.means}" for name, option in options.items()}
    for guessed, texts in ((False, labels), (True, meanings)):
        found = [name for name, text in texts.items() if _all_in(typed, _words(text))]
        # A word that an option denies never leads to it: "used" is not "never used".
        if len(found) > 1 or (found and _all_in(typed, _affirmed(texts[found[0]]))):
            return dict.fromkeys(found, guessed)
        if found and _NOT_WORDS & set(typed) and not guessed:
            return {found[0]: True}
    return {}


def _all_in(typed: Iterable[str], words: Collection[str]) -> bool:
    """Whether every word typed is one of these, or begins one."""
    return all(
        one in words or (len(one) >= _SHORTEST_PREFIX and any(word.startswith(one) for word in words)) for one in typed
    )


def _affirmed(text: str) -> list[str]:
    """The words of a text without what it denies: whatever stands behind a "not" up to the next comma or dash."""
    affirmed: list[str] = []
    for clause in _BUT.split(text.lower()):
        for word in _words(clause):
            if word in _NOT_WORDS:
                break
            affirmed.append(word)
    return affirmed


def _words(text: str) -> list[str]:
    return _WORDS.findall(text.lower())


def _how_to_name(fact: Fact, word: str = "") -> str:
    """What would be right: a number of the list, or words that stand in it."""
    labels: Mapping[str, str] = {option.label.lower(): option.label for option in fact.entry.options.values()}
    # What is near in letters to a short word, or to one that denies, may say its opposite: no and now.
    tells = len(word) > _SHORTEST_PREFIX and not _NOT_WORDS & set(_words(word))
    near = closest(word, list(labels)) if tells else ""
    examples = one_of(f"'{label}'" for label in list(labels.values())[:2])
    return tr(
        "type a number from 1 to {count}, or words of the list such as {examples}{near}",
        count=len(labels),
        examples=examples,
        near=near,
    )


def _short(typed: str) -> str:
    return typed if len(typed) <= _LONGEST else typed[: _LONGEST - 3] + "..."
