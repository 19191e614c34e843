"""Causes, written in one place, spread over what the inference knows: options of a decision and arguments."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from advisor.errors import Fault
from advisor.words import tr

if TYPE_CHECKING:
    from advisor.rulebase.reading.cause_entries import CauseEntry
    from advisor.rulebase.reading.entries import ArgumentEntry
    from advisor.rulebase.reading.layers import Merged

CAUSE, REMEDY, LOOKED_AT = "cause", "remedy", "look_at"
"""The decision about causes, the decision about the correction, and the fact that says what is looked at."""

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
NOTHING, HOLD = "none_needed", "hold_hot"
"""The correction that nothing has to be corrected, and what stands for the fallback where it is hot."""

STAYS_COLD = "stays_cold"
"""The finding that nothing is heated for a correction."""


def spread_causes(merged: Merged, faults: list[Fault]) -> None:
    """Turn every cause into an option of the decision about causes, and its signs into arguments."""
    from advisor.rulebase.reading.entries import DecisionOptionEntry

    causes = merged.sections["causes"]
    if not causes:
        return
    held = merged.sections["decisions"].get(CAUSE)
    if held is None or not held.entry.several:
        first = next(iter(causes))
        right = tr("declare decisions  {name}:  with  several: true", name=CAUSE)
        faults.append(causes[first].fault((), tr("there is no decision '{name}' for several", name=CAUSE), right))
        return
    options = {
        name: DecisionOptionEntry(title=cause.entry.title[:70], summary=cause.entry.means, base=cause.entry.base)
        for name, cause in causes.items()
    }
    merged.sections["decisions"][CAUSE] = replace(
        held, entry=held.entry.model_copy(update={"options": {**held.entry.options, **options}})
    )
    for name, cause in causes.items():
        for path, entry in _arguments(name, cause.entry):
            spread = replace(cause, entry=entry, path=(*cause.path, *path), named=f"causes {name}, {_written(path)}")
            merged.sections["arguments"][entry.id] = spread
    remedy = merged.sections["decisions"].get(REMEDY)
    if remedy is not None and {NOTHING, remedy.entry.fallback} <= set(remedy.entry.options):
        waits = [f"{REMEDY}.{name}" for name in (remedy.entry.fallback, HOLD) if name in remedy.entry.options]
        entries = {name: cause.entry for name, cause in causes.items()}
        for name, entry in _on_the_whole(entries, waits):
            merged.sections["arguments"][entry.id] = replace(
                causes[name], entry=entry, path=(*causes[name].path, "put_right"), named=f"causes {name}, put_right"
            )


def _arguments(name: str, cause: CauseEntry) -> Iterator[tuple[tuple[str | int, ...], ArgumentEntry]]:
    plain = name.replace("_", "-")
    yield (
        ("stages",),
        _argument(
            id=f"{plain}-elsewhere",
            about=f"{CAUSE}.{name}",
            says="rule_out",
            when=f"{LOOKED_AT} not in ({', '.join(cause.stages)})",
            reason="This shows at another stage of the work.",
            source="practice",
        ),
    )
    for number, sign in enumerate(cause.signs, 1):
        fields = {"when": sign.when, "says": sign.says, "strength": sign.strength, "reason": sign.reason}
        about = {"id": f"{plain}-{number}", "about": f"{CAUSE}.{name}", "limits": sign.limits, "source": sign.source}
        yield ("signs", number - 1), _argument(**about, **fields)
    for number, by in enumerate(cause.put_right, 1):
        if by.remedy == NOTHING and by.says == "for":
            continue
        taken = f"{CAUSE} has {name}"
        yield (
            ("put_right", number - 1),
            _argument(
                id=f"{plain}-put-right-{number}",
                about=f"{REMEDY}.{by.remedy}",
                says=by.says,
                strength=by.strength,
                when=f"{taken} and ({by.when})" if by.when else taken,
                reason=by.reason,
                source=by.source or cause.source,
            ),
        )


def _written(path: tuple[str | int, ...]) -> str:
    """What the author wrote at a place: ``stages``, ``second sign``, ``first put_right``."""
    field, *position = path
    if not position:
        return str(field)
    number = int(position[0])
    what = "sign" if field == "signs" else str(field)
    return f"{_ORDINALS[number]} {what}" if number < len(_ORDINALS) else f"{what} {number + 1}"


def _on_the_whole(causes: dict[str, CauseEntry], waits: list[str]) -> Iterator[tuple[str, ArgumentEntry]]:
    """Stage by stage: harmless causes speak with one voice for going on, and any fault speaks against going on.

    However many things are as they should be, they never outvote one fault.
    """
    for stage in dict.fromkeys(stage for cause in causes.values() for stage in cause.stages):
        harmless, faults = [], []
        for name, cause in causes.items():
            if stage not in cause.stages:
                continue
            speaking = [by for by in cause.put_right if by.remedy == NOTHING and by.says == "for"]
            taken = f"{CAUSE} has {name}"
            harmless += [(name, f"({taken} and ({by.when}))" if by.when else taken) for by in speaking]
            if not speaking:
                faults.append(name)
        plain = stage.replace("_", "-")
        if harmless:
            yield (
                harmless[0][0],
                _argument(
                    id=f"nothing-to-put-right-{plain}",
                    about=f"{REMEDY}.{NOTHING}",
                    says="for",
                    strength="strong",
                    when=f"{LOOKED_AT} is {stage} and ({' or '.join(when for _, when in harmless)})",
                    reason="What was seen is as it should be, or does no harm.",
                    source="practice",
                ),
            )
        if faults:
            yield (
                faults[0],
                _argument(
                    id=f"something-to-put-right-{plain}",
                    about=waits,
                    says="for",
                    strength="slight",
                    when=f"{LOOKED_AT} is {stage} and {CAUSE} has any of ({', '.join(faults)})",
                    reason="Something is wrong with it.",
                    source="practice",
                ),
            )


def goes_on(cause: CauseEntry) -> bool:
    """Whether a cause says that nothing has to be put right."""
    return any(by.remedy == NOTHING and by.says == "for" for by in cause.put_right)


def _argument(**fields: Any) -> ArgumentEntry:
    """An argument from parts that were validated with their cause."""
    from advisor.rulebase.reading.entries import ArgumentEntry

    return ArgumentEntry.model_construct(None, lifted_by=None, status="checked", **{"limits": None, **fields})
