"""The computed part of the advice: charge, roast, cupel and fume, and where the rule of thumb lies apart."""

from __future__ import annotations

from advisor.advice.documents.advice import Computed, Difference
from advisor.advice.documents.common import Span
from advisor.advice.plan.charge import ChargeOfBatch
from advisor.advice.plan.planned_batch import Worked, fumes
from advisor.engine.conclude import Conclusions
from advisor.metallurgy.air.calculator import fume_groups
from advisor.metallurgy.air.fume import Release, Room, fume_screen
from advisor.metallurgy.charge.calculator import outcome_groups
from advisor.metallurgy.common.document import Citer, Group, Said
from advisor.metallurgy.common.rows import said, text
from advisor.metallurgy.concentrate.calculator import concentrate_group
from advisor.metallurgy.cupellation.calculator import cupel_groups
from advisor.metallurgy.roasting.calculator import refused_group, roast_groups
from advisor.metallurgy.tables import Book
from advisor.units import Range

_ZERO = Range.exact(0.0)
_ML_IN_M3 = 1e6
COMPUTED_CHARGE = "What the computed charge does"
THUMB_CHARGE = "What the rule-of-thumb charge would do"


def computed_note(worked: Worked, book: Book, citer: Citer) -> Computed | None:
    """The computed part of the advice; None for routes without a pot or a cupel.

    Args:
        worked: What was worked out for the batch.
        book: Tables for the computation.
        citer: Writes sources in full.
    """
    groups: list[Group] = []
    found: tuple[Difference, ...] = ()
    if worked.charge is not None:
        groups.append(concentrate_group(worked.charge.concentrate, citer))
        groups += _roast_part(worked, citer)
        groups += _charge_parts(worked.charge, citer)
        found = _differences(worked, worked.charge, book, citer)
    groups += _cupel_part(worked, book, citer)
    groups += _fume_parts(worked, book, citer)
    if not groups and worked.no_charge is None:
        return None
    return Computed(groups=tuple(groups), differences=found, skipped=worked.no_charge)


def _charge_parts(charge: ChargeOfBatch, citer: Citer) -> list[Group]:
    """The computed charge in full, and the verdict on the rule of thumb beside it."""
    weigh = Group(title="Charge computed from these minerals", figures=citer.notes(charge.plan.weigh))
    planned = outcome_groups(charge.plan.outcome, citer)[0]
    thumb = outcome_groups(charge.thumb, citer)[0]
    verdicts = tuple(said for said in thumb.said if said.kind in ("verdict", "warning"))
    return [
        weigh,
        Group(title=COMPUTED_CHARGE, figures=planned.figures, said=planned.said),
        Group(title=THUMB_CHARGE, figures=thumb.figures, said=verdicts),
    ]


def _differences(worked: Worked, charge: ChargeOfBatch, book: Book, citer: Citer) -> tuple[Difference, ...]:
    """Where rule of thumb and computation lie apart by more than their ranges."""
    computed = {figure.name: figure.amount for figure in charge.plan.weigh}
    computed["iron_g"] = charge.outcome("iron_rod_g")
    reasons = {text(row, "material"): row for row in book.rows("thumb_and_computation")}
    found = []
    for name, material in worked.conclusions.rule_base.materials.items():
        thumb, other = worked.by_thumb[name], computed.get(f"{name}_g", _ZERO)
        if thumb.high < other.low or other.high < thumb.low:
            reason = reasons.get(name, reasons["any"])
            found.append(
                Difference(
                    material=name,
                    title=material.entry.title,
                    thumb_g=Span(low=thumb.low, likely=thumb.likely, high=thumb.high),
                    computed_g=Span(low=other.low, likely=other.likely, high=other.high),
                    reason=text(reason, "more" if thumb.high < other.low else "less"),
                    source=citer.full(text(reason, "source")),
                )
            )
    return tuple(found)


def _roast_part(worked: Worked, citer: Citer) -> list[Group]:
    if worked.roast_refused is not None:
        return [refused_group(worked.roast_refused)]
    if worked.no_roast is not None:
        return [Group(title="Roast", said=(Said(kind="warning", text=worked.no_roast),))]
    return [] if worked.roast is None else list(roast_groups(worked.roast, citer))


def _cupel_part(worked: Worked, book: Book, citer: Citer) -> list[Group]:
    if worked.no_cupellation is not None:
        return [Group(title="Cupel", said=(Said(kind="warning", text=worked.no_cupellation),))]
    return [] if worked.cupellation is None else list(cupel_groups(book, worked.cupellation, citer))


def _fume_parts(worked: Worked, book: Book, citer: Citer) -> list[Group]:
    """The fume screen of the plan, where the work may be in a closed room."""
    if not _may_be_closed(worked.conclusions):
        return []
    weigher = worked.weigher
    room = Room(max(1.0, weigher["room_volume"].likely / _ML_IN_M3), weigher["air_flow"].low * 60 / _ML_IN_M3)
    groups = []
    for fume in fumes(worked, book):
        release = Release(fume.released_g, fume.minutes)
        screen = fume_screen(book.agents[fume.agent], release, room, book.limits, book.room_air)
        answer = fume_groups(book, screen, citer)[0]
        counted = "; ".join(f"{part.step.replace('_', ' ')}: {said(part.mass_g, 'g')}" for part in fume.parts)
        note = Said(kind="note", text=f"Counted together: {counted}.")
        groups.append(Group(title=answer.title, figures=answer.figures, said=(*answer.said, note)))
    return groups


def _may_be_closed(conclusions: Conclusions) -> bool:
    """Whether the place may be a closed room."""
    place = conclusions.rule_base.facts["place"]
    variable = conclusions.rule_base.variables[place.variables[0]]
    closed = 1 << variable.cells.index("closed_room")
    return bool(conclusions.state[variable.index] & closed)
