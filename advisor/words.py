"""Words apart from logic: every sentence that is shown passes here, and may stand in another language.

The English sentence, with its places named (``the folder {folder} is missing``), is its own id, as gettext has it. A
catalogue compiled by any gettext tool (``.mo``) gives it in another language; the environment variable
``ADVISOR_WORDS`` names the file. It is chosen once, when the program starts, so that words at the level of a module
pass here too. Without one a sentence costs no more than to fill its places.

A catalogue that cannot be relied on is not used at all: half a translation that lost a weight, or has one in the wrong
place, would be worse than English.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from functools import reduce
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.owners import put_by_another

if TYPE_CHECKING:
    from gettext import GNUTranslations

VARIABLE = "ADVISOR_WORDS"
"""The environment variable that names the catalogue."""
IDS = "ids"
"""The context of ids that are said as words."""
_MOST_NAMED = 5
"""More texts at fault than this are not named."""
_LETTERS_NAMED = 60


def tr(text: str, /, **values: object) -> str:
    """A sentence in the language of this run, with values put into its places by name."""
    if _CATALOGUE is not None:
        text = _CATALOGUE.gettext(text)
    return text.format(**values) if values else text


def translated(text: str) -> str:
    """A text in the language of this run, its places still empty; for pages, which fill them in their own way."""
    return text if _CATALOGUE is None else _CATALOGUE.gettext(text)


def tr_many(one: str, many: str, count: int, /, **values: object) -> str:
    """The sentence for one or for several, as the language has it; both name the place ``{count}``."""
    return translated_many(one, many, count).format(count=count, **values)


def translated_many(one: str, many: str, count: int) -> str:
    """The text for one or for several, its places still empty."""
    if _CATALOGUE is None:
        return one if count == 1 else many
    return _CATALOGUE.ngettext(one, many, count)


def tr_in(context: str, text: str) -> str:
    """A text of the rule files in the language of this run; the context is where it stands there."""
    return text if _CATALOGUE is None else _CATALOGUE.pgettext(context, text)


def typed_words(text: str) -> frozenset[str]:
    """Words that may be typed, parted by blanks, in English and in the language of this run."""
    return frozenset({*text.split(), *translated(text).lower().split()})


def said_as(name: str) -> str:
    """An id of the rules that is said as a word, such as a strength or a material: ``soda_ash`` is soda ash."""
    return tr_in(IDS, name.replace("_", " "))


def each_of(parts: Iterable[str], apart: str = "") -> str:
    """Several things in words, all of which hold: ``gold and silver``; ``apart`` stands before the joining word."""
    return _joined(parts, lambda some, last: tr("{some}{apart} and {last}", some=some, apart=apart, last=last))


def one_of(parts: Iterable[str], apart: str = "") -> str:
    """Several things in words, any of which will do: ``lead or bismuth``; ``apart`` stands before that word."""
    return _joined(parts, lambda some, last: tr("{some}{apart} or {last}", some=some, apart=apart, last=last))


def _joined(parts: Iterable[str], two: Callable[[str, str], str]) -> str:
    found = list(parts)
    return reduce(two, found) if found else ""


def language() -> str:
    """The language of this run as the web names it, from the head of the catalogue; English without one."""
    return "en" if _CATALOGUE is None else _CATALOGUE.info().get("language", "").replace("_", "-") or "und"


def fault() -> str:
    """Why the catalogue that was named is not used, as a sentence; empty where none was named or it is used."""
    return _FAULT


def _read(path: Path) -> tuple[GNUTranslations | None, str]:
    """The catalogue in a file, or why it cannot be used."""
    from gettext import GNUTranslations

    theirs = put_by_another(path)
    if theirs is not None:
        return None, f"{theirs} belongs to another account and stands where everybody may write"
    try:
        with path.open("rb") as file:
            found = GNUTranslations(file)
    except OSError as problem:
        return None, problem.strerror or "it is no compiled catalogue (.mo)"
    # What was cut off or changed fails wherever the standard library happens to notice.
    except Exception:
        return None, "it is damaged"
    faults = list(_faults(found))
    if faults:
        more = f" and {len(faults) - _MOST_NAMED} more" if len(faults) > _MOST_NAMED else ""
        named = ", ".join(f"'{text[:_LETTERS_NAMED]}'" for text in faults[:_MOST_NAMED])
        return None, f"places in braces, or letters that a screen obeys, are not as in the original of {named}{more}"
    return found, ""


def _faults(catalogue: GNUTranslations) -> Iterator[str]:
    """The texts whose translation has other places than they have, or letters that a terminal would obey."""
    # There is no public way to go through a catalogue; the tests would notice if this one closed.
    entries: dict[str | tuple[str, int], str] = vars(catalogue)["_catalog"]
    for key, translated in entries.items():
        text = (key if isinstance(key, str) else key[0]).rpartition("\x04")[2]
        if text and (_places(text) != _places(translated) or not _showable(translated, text)):
            yield text


def _places(text: str) -> frozenset[tuple[str, str | None, str | None]] | None:
    # Only a run with a catalogue needs it.
    from string import Formatter

    """The places of a sentence: each with its name, how it is converted and formatted; None if it has no such form."""
    try:
        return frozenset((name, how, form) for _, name, form, how in Formatter().parse(text) if name is not None)
    except ValueError:
        return None


def _showable(translated: str, text: str) -> bool:
    return all(letter.isprintable() or letter in text or letter in "\n\u00a0\u00ad" for letter in translated)


def _chosen() -> tuple[GNUTranslations | None, str]:
    named = os.environ.get(VARIABLE)
    if not named:
        return None, ""
    found, why = _read(Path(named))
    return found, why and f"the words in {named} are not used: {why}; name another catalogue in {VARIABLE}, or none"


_CATALOGUE, _FAULT = _chosen()
