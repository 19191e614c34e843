"""The words of a rule base, apart from its logic: a table by the places where they stand, and what is said of tests.

The logic knows the place of a text (``facts.gas_hose_tested.ask``) and never the text. What a test says is kept as
places and amounts too, and put into words when it is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from advisor.units import Range, format_measure, unit_named
from advisor.words import each_of, one_of, tr, tr_in

Said = str | tuple[Any, ...]
"""What is said: the place of a text, or a form (``is``, ``above``, ``or``) with places, amounts and what is said."""

Texts = tuple[Mapping[str, str], Mapping[str, str]]
"""Texts by place, and for places that repeat the text of another one the other place."""


class Words:
    """The texts of a rule base by their places, in the language of this run; read when the first one is shown."""

    __slots__ = ("_read", "_texts")

    def __init__(self, read: Callable[[], Texts]) -> None:
        self._read = read
        self._texts: Texts | None = None

    @property
    def texts(self) -> Texts:
        """All texts as they are written, before any translation."""
        if self._texts is None:
            self._texts = self._read()
        return self._texts

    def __getitem__(self, place: str) -> str:
        texts, same = self.texts
        place = same.get(place, place)
        return tr_in(place, texts[place])

    def get(self, place: str) -> str | None:
        """The text at a place; None where there is none."""
        texts, same = self.texts
        place = same.get(place, place)
        return tr_in(place, texts[place]) if place in texts else None

    def several(self, place: str) -> list[str]:
        """The texts of a list."""
        found: list[str] = []
        while (text := self.get(f"{place}.{len(found)}")) is not None:
            found.append(text)
        return found


class Places(Words):
    """Every text is the place where it stands: what is left when a rule base has no words."""

    __slots__ = ()

    def __init__(self) -> None:
        super().__init__(lambda: ({}, {}))

    def __getitem__(self, place: str) -> str:
        return place


NO_WORDS: Words = Places()


def spoken(said: Said, words: Words) -> str:
    """What is said, as a phrase for reading."""
    if isinstance(said, str):
        return words[said] if said else ""
    form, *parts = said
    return _FORMS[form](words, *parts)


def negated(said: Said) -> Said:
    """The opposite of a phrase that has no opposite of its own."""
    return said[1] if is_negated(said) else ("not", said)


def is_negated(said: Said) -> bool:
    """Whether a phrase is the opposite of another one."""
    return isinstance(said, tuple) and said[0] == "not"


def together(form: str, one: Said, other: Said) -> Said:
    """Two phrases joined by ``and`` or ``or``; one where both say the same."""
    return one if one == other else (form, one, other)


def _spoken_once(words: Words, parts: tuple[Said, ...]) -> dict[str, None]:
    """Phrases in order, each once."""
    return dict.fromkeys(spoken(part, words) for part in parts)


def _options(words: Words, options: tuple[Said, ...]) -> str:
    return one_of(f"'{spoken(option, words)}'" for option in options)


def _amount(amount: tuple[float, str]) -> str:
    value, unit = amount
    return format_measure(Range.exact(value), unit_named(unit), 6)


def _one(text: Callable[[str], str]) -> Callable[..., str]:
    return lambda words, what: text(spoken(what, words))


def _limit(text: Callable[[str, str], str]) -> Callable[..., str]:
    return lambda words, what, amount: text(spoken(what, words), _amount(amount))


def _stretch(text: Callable[[str, str, str], str]) -> Callable[..., str]:
    return lambda words, what, low, high: text(spoken(what, words), _amount(low), _amount(high))


def _done(words: Words, *things: tuple[Said, ...]) -> str:
    return "; ".join(
        tr(
            "{thing} is {done}",
            thing=spoken(thing, words) if thing else tr("something"),
            done=one_of(spoken(act, words) for act in acts),
        )
        for thing, *acts in things
    )


_FORMS: dict[str, Callable[..., str]] = {
    "never": lambda _: tr("never"),
    "always": lambda _: tr("always"),
    "not": _one(lambda what: tr("not: {what}", what=what)),
    "and": lambda words, *parts: each_of(_spoken_once(words, parts)),
    "or": lambda words, *parts: one_of(_spoken_once(words, parts)),
    "yes": _one(lambda what: tr("{what}: yes", what=what)),
    "no": _one(lambda what: tr("{what}: no", what=what)),
    "is": lambda words, what, *options: tr(
        "{what} is {options}", what=spoken(what, words), options=_options(words, options)
    ),
    "is not": lambda words, what, *options: tr(
        "{what} is not {options}", what=spoken(what, words), options=_options(words, options)
    ),
    "has": lambda words, what, item: tr("{what}: {item}", what=spoken(what, words), item=spoken(item, words)),
    "lacks": lambda words, what, item: tr("{what}: no {item}", what=spoken(what, words), item=spoken(item, words)),
    "some": _one(lambda what: tr("{what}: some", what=what)),
    "none": _one(lambda what: tr("{what}: none", what=what)),
    "some first": lambda _: tr("under FIRST: some"),
    "none first": lambda _: tr("under FIRST: none"),
    "first": _one(lambda what: tr("under FIRST: {what}", what=what)),
    "done": _done,
    "<": _limit(lambda what, amount: tr("{what} below {amount}", what=what, amount=amount)),
    ">": _limit(lambda what, amount: tr("{what} above {amount}", what=what, amount=amount)),
    "<=": _limit(lambda what, amount: tr("{what} at most {amount}", what=what, amount=amount)),
    ">=": _limit(lambda what, amount: tr("{what} at least {amount}", what=what, amount=amount)),
    "=": _limit(lambda what, amount: tr("{what} {amount}", what=what, amount=amount)),
    "!=": _limit(lambda what, amount: tr("{what} not {amount}", what=what, amount=amount)),
    "between": _stretch(lambda what, low, high: tr("{what} between {low} and {high}", what=what, low=low, high=high)),
    "not between": _stretch(
        lambda what, low, high: tr("{what} not between {low} and {high}", what=what, low=low, high=high)
    ),
}
"""How each form is put into words."""
