"""Causes, written in one place, spread over what the inference knows: options of a decision and arguments."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from advisor.errors import Fault

if TYPE_CHECKING:
    from advisor.knowledge.cause_entries import CauseEntry
    from advisor.knowledge.entries import ArgumentEntry
    from advisor.knowledge.merging import Merged

CAUSE, REMEDY, LOOKED_AT = "cause", "remedy", "look_at"
"""The decision about causes, the decision about the correction, and the fact that says what is looked at."""


def spread_causes(merged: Merged, faults: list[Fault]) -> None:
    """Turn every cause into an option of the decision about causes, and its signs into arguments."""
    from advisor.knowledge.entries import DecisionOptionEntry

    causes = merged.sections["causes"]
    if not causes:
        return
    held = merged.sections["decisions"].get(CAUSE)
    if held is None or not held.entry.several:
        first = next(iter(causes))
        right = f"declare decisions  {CAUSE}:  with  several: true"
        faults.append(causes[first].fault("causes", first, (), f"there is no decision '{CAUSE}' for several", right))
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
            spread = replace(cause, entry=entry, path=(*cause.path, *path))
            merged.sections["arguments"][entry.id] = spread


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


def _argument(**fields: Any) -> ArgumentEntry:
    """An argument from parts that were validated with their cause."""
    from advisor.knowledge.entries import ArgumentEntry

    return ArgumentEntry.model_construct(None, lifted_by=None, status="checked", **{"limits": None, **fields})
