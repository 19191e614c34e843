"""The names under which results are recorded, and how a written ``name=value`` becomes an entry."""

from __future__ import annotations

import re
from collections.abc import Mapping

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.journal.rows import Draft
from advisor.rulebase.language.formulas import closest
from advisor.units import MeasureError, Range, format_measure, parse_measure, unit_named
from advisor.words import tr

LONGEST_TEXT = 4000
NOT_KNOWN_WORDS = ("u", "not known", tr("not known"), "not_known", "unknown", "?", "don't know", "dont know")
_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}(?:\.[a-z0-9_]{1,20})?")
UNDONE = "undone"
"""Why an entry supersedes another that was just taken back."""
WORKS = ("work", "correction_work")
"""Names of entries that say how far a work is done: that of the plan, and that of a correction."""
_DONE_TO = "done to step "
_DONE = re.compile(rf"{_DONE_TO}(\d+)")
WEIGHED = "weighed."
"""What stands before the name of a material that was weighed out."""

_MOST_G = 1e6
_MOST_MIN = 7 * 24 * 60.0


@frozen
class ResultKind:
    """One thing that is weighed, assayed or judged.

    Attributes:
        title: What it is, in words.
        unit: Unit in which it is usually given; empty for a choice.
        example: One value as it may be written.
        find_out: How to find out.
        options: The words that may stand here, with what each means.
    """

    title: str
    unit: str
    example: str
    find_out: str
    options: Mapping[str, str] | None = None


OUTCOMES = {
    "clean": tr("the bead or bar came out clean"),
    "again": tr("it had to be worked again"),
    "spoilt": tr("something went wrong; the figures say nothing about good work"),
    "stopped": tr("the work was stopped"),
    "sent_out": tr("the batch went to somebody else"),
}

RESULTS: dict[str, ResultKind] = {
    "feed": ResultKind(tr("dry mass of what went in"), "g", "feed=250g", tr("Weigh it dry, before anything is added.")),
    "feed_gold": ResultKind(
        tr("gold in it by assay"), "%", "feed_gold=4.8 to 5.2 %", tr("From an assay; leave it out if none.")
    ),
    "button": ResultKind(tr("metal button"), "g", "button=31.2g", tr("Knock off the slag, brush, weigh.")),
    "rod_left": ResultKind(
        tr("what is left of the iron rod"),
        "g",
        "rod_left=41g",
        tr("Knock off slag and metal, weigh it. 0 if it is eaten up."),
    ),
    "slag": ResultKind(tr("slag"), "g", "slag=320g", tr("Weigh all of it when cold.")),
    "matte": ResultKind(
        tr("matte"), "g", "matte=12g", tr("The brittle, dark layer between slag and button. 0 if there is none.")
    ),
    "speiss": ResultKind(
        tr("speiss"), "g", "speiss=0g", tr("The hard, white, brittle layer on the button. 0 if there is none.")
    ),
    "cupel_gain": ResultKind(tr("what the cupels gained"), "g", "cupel_gain=19.5g", tr("Weigh them before and after.")),
    "bead": ResultKind(tr("bead or bar"), "g", "bead=12.31g", tr("Brush it clean, weigh it twice.")),
    "fineness": ResultKind(
        tr("fineness of the bead"), "permille", "fineness=880 to 900 permille", tr("From an assay or by water.")
    ),
    "outcome": ResultKind(tr("how it ended"), "", "outcome=clean", tr("What a person sees in the end."), OUTCOMES),
    "slag_gold": ResultKind(tr("gold in the slag by assay"), "g/t", "slag_gold=40 g/t", tr("From an assay.")),
    "matte_gold": ResultKind(tr("gold in the matte by assay"), "g/t", "matte_gold=300 g/t", tr("From an assay.")),
    "speiss_gold": ResultKind(tr("gold in the speiss by assay"), "g/t", "speiss_gold=300 g/t", tr("From an assay.")),
    "cupel": ResultKind(tr("cupels after use"), "g", "cupel=160g", tr("Weigh them when cold.")),
    "cupel_gold": ResultKind(tr("gold in the cupels by assay"), "g/t", "cupel_gold=100 g/t", tr("From an assay.")),
    "sweepings": ResultKind(
        tr("sweepings and skulls kept"), "g", "sweepings=8g", tr("Weigh what was swept up and kept.")
    ),
    "sweepings_gold": ResultKind(
        tr("gold in the sweepings by assay"), "g/t", "sweepings_gold=500 g/t", tr("From an assay.")
    ),
}
"""In the order in which they are asked."""

ASKED = ("feed", "button", "rod_left", "slag", "matte", "cupel_gain", "bead", "fineness", "outcome")
"""The results asked of everybody whose work gives them; the others are for those who have an assay."""

TEXTS = ("note", "diagnosis", "correction")
TIME = "time."
"""What stands before the name of a step whose time was noted."""


def read_pair(word: str) -> Draft:
    """An entry written as ``name=value``.

    Raises:
        InputError: If the name is not known or the value does not fit.
    """
    name, sign, written = word.partition("=")
    name = name.strip().lower()
    if not sign or not name:
        raise InputError(tr("'{word}' is not an entry; write  name=value,  for example  bead=12.31g", word=word[:60]))
    return read_value(name, written)


def read_value(name: str, written: str) -> Draft:
    """An entry under a name, with its value as written.

    Raises:
        InputError: If the name is not known or the value does not fit.
    """
    text = plain_text(written)
    if not text:
        raise InputError(tr("nothing is written for {name}; give a value, or u if it is not known", name=name[:60]))
    if name.startswith(WEIGHED):
        return _weighed(name.removeprefix(WEIGHED), text)
    if name.startswith(TIME):
        return _time(name.removeprefix(TIME), text)
    if name in TEXTS:
        return Draft(kind=name, name=name, text=text)  # type: ignore[arg-type]
    result = RESULTS.get(name.partition(".")[0])
    if result is None or not _NAME.fullmatch(name):
        known = [*RESULTS, "weighed.MATERIAL", "time.STEP", *TEXTS]
        raise InputError(
            tr(
                "'{name}' is not known here; known are {known}{closest}",
                name=name[:60],
                known=", ".join(known),
                closest=_closest(name),
            )
        )
    if text.lower() in NOT_KNOWN_WORDS:
        return Draft("result", name, text, state="not known")
    if result.options is not None:
        return Draft("result", name, _option(name, result.options, text))
    amount, unit = _amount(name, text, result.unit)
    return Draft("result", name, text, amount, unit)


def _closest(name: str) -> str:
    """The closest name: a slip seldom changes the first letter."""
    names = [*RESULTS, *TEXTS]
    return closest(name, [one for one in names if one[:1] == name[:1]]) or closest(name, names)


def _time(step: str, text: str) -> Draft:
    if not re.fullmatch(r"[a-z][a-z0-9_-]{0,59}(?:\.[0-9]{1,3})?", step):
        raise InputError(tr("'{step}' is not the name of a step; write it like  time.cupel=40min", step=step[:40]))
    if text.lower() in NOT_KNOWN_WORDS:
        return Draft("time", step, text, state="not known")
    try:
        amount = parse_measure(text, unit_named("min"))
    except MeasureError as problem:
        raise InputError(f"{TIME}{step}: {problem}") from None
    if amount.low < 0 or amount.high > _MOST_MIN:
        raise InputError(
            tr(
                "{time}{step}: {amount} cannot be; give up to a week",
                time=TIME,
                step=step,
                amount=format_measure(amount, unit_named("min"), 6),
            )
        )
    return Draft("time", step, text, amount, "min")


def plain_text(written: str) -> str:
    """Text as it can be kept: no NUL, no halves of letters, not endless.

    Raises:
        InputError: If it is too long.
    """
    if len(written) > LONGEST_TEXT:
        raise InputError(
            tr(
                "this text has {count} letters; the most is {longest_text}, write a second one",
                count=len(written),
                longest_text=LONGEST_TEXT,
            )
        )
    return written.encode("utf-8", "replace").decode("utf-8").replace("\0", "?").strip()


def _weighed(material: str, text: str) -> Draft:
    if not _NAME.fullmatch(material):
        raise InputError(
            tr(
                "'{material}' is not the name of a material; write it like  weighed.litharge=20g",
                material=material[:40],
            )
        )
    if text.lower() in NOT_KNOWN_WORDS:
        return Draft("weighed", material, text, state="not known")
    amount, unit = _amount(f"{WEIGHED}{material}", text, "g")
    return Draft("weighed", material, text, amount, unit)


def _amount(name: str, text: str, unit: str) -> tuple[Range, str]:
    try:
        amount = parse_measure(text, unit_named(unit))
    except MeasureError as problem:
        raise InputError(f"{name}: {problem}") from None
    inside = "g" if unit == "g" else "share"
    most = _MOST_G if inside == "g" else 1.0
    if amount.low < 0 or amount.high > most:
        shown = format_measure(amount, unit_named(unit), 6)
        limits = format_measure(Range(0, 0, most), unit_named(unit), 6)
        raise InputError(tr("{name}: {shown} cannot be; give {limits}", name=name, shown=shown, limits=limits))
    return amount, inside


def _option(name: str, options: Mapping[str, str], text: str) -> str:
    word = text.lower().replace("-", "_").replace(" ", "_")
    if word.isascii() and word.isdigit() and 1 <= int(word) <= len(options):
        word = list(options)[int(word) - 1]
    if word not in options:
        raise InputError(
            tr(
                "{name}: '{text}' is not known; known are {options}{closest}",
                name=name,
                text=text[:40],
                options=", ".join(options),
                closest=closest(word, options),
            )
        )
    return word


def amount_words(kind: str, name: str, amount: Range) -> str:
    """An amount as it is shown, in the unit of its name."""
    result = RESULTS.get(name.partition(".")[0])
    unit = "min" if kind == "time" else "g" if kind == "weighed" or result is None else result.unit
    return format_measure(amount, unit_named(unit), 5)


def done_to(step: int) -> str:
    """The text of an entry that says up to which step a work is done."""
    return f"{_DONE_TO}{step}"


def step_done(text: str) -> int | None:
    """The step that such an entry names; None for any other text."""
    found = _DONE.fullmatch(text)
    return None if found is None else int(found[1])
