"""The computed part of the advice: charge, roast, cupel and fume."""

from __future__ import annotations

from advisor.advice.documents.advice import Computed
from advisor.advice.plan.charge import ChargeOfBatch
from advisor.advice.plan.planned_batch import PlannedBatch, fumes
from advisor.engine import Conclusions
from advisor.metallurgy.air.calculator import fume_results
from advisor.metallurgy.air.exposure import agent_table, limit_table, room_air
from advisor.metallurgy.air.fume import Release, Room, fume_screen
from advisor.metallurgy.charge.calculator import outcome_results
from advisor.metallurgy.common.document import Citer, Remark, Result
from advisor.metallurgy.common.rows import in_words
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.concentrate.calculator import concentrate_result
from advisor.metallurgy.cupellation.calculator import cupel_results
from advisor.metallurgy.roasting.calculator import refused_result, roast_results
from advisor.words import tr

_ML_IN_M3 = 1e6
COMPUTED_CHARGE = tr("What this charge does")
CHARGE_BY_RULE = tr("What this charge by rule of thumb does")
_GIVES_OFF = {
    "lead_on_cupel": tr("lead on cupel"),
    "lead_in_smelt": tr("lead in smelt"),
    "sulphur_dioxide_formed": tr("sulphur dioxide formed"),
    "arsenic_heated": tr("arsenic heated"),
}
"""What gives off fume, by the step of the table of its shares."""


def computed_note(worked: PlannedBatch, tables: Tables, citer: Citer) -> Computed | None:
    """The computed part of the advice; None for routes without a pot or a cupel.

    Args:
        worked: What was worked out for the batch.
        tables: Tables for the computation.
        citer: Writes sources in full.
    """
    results: list[Result] = []
    if worked.charge is not None:
        results.append(concentrate_result(worked.charge.concentrate))
        results += _roast_part(worked, tables)
        results += _charge_parts(worked.charge, tables)
    results += _cupel_part(worked, tables)
    results += _fume_parts(worked, tables)
    if not results and worked.no_charge is None:
        return None
    return Computed(groups=tuple(citer.group(result) for result in results), skipped=worked.no_charge)


def _charge_parts(charge: ChargeOfBatch, tables: Tables) -> list[Result]:
    """What the charge that is weighed does."""
    if charge.by_rule:
        said = Remark(kind="limit", text=tables.notes["charge_by_rule"].said())
        return [Result(title=CHARGE_BY_RULE, figures=charge.weighed.figures, said=(said,))]
    outcome = outcome_results(charge.weighed)[0]
    return [Result(title=COMPUTED_CHARGE, figures=outcome.figures, said=outcome.said)]


def _roast_part(worked: PlannedBatch, tables: Tables) -> list[Result]:
    if worked.roast_refused is not None:
        return [refused_result(worked.roast_refused)]
    if worked.no_roast is not None:
        return [Result(title=tr("Roast"), said=(Remark(kind="warning", text=worked.no_roast),))]
    return [] if worked.roast is None else list(roast_results(tables, worked.roast))


def _cupel_part(worked: PlannedBatch, tables: Tables) -> list[Result]:
    if worked.no_cupellation is not None:
        return [Result(title=tr("Cupel"), said=(Remark(kind="warning", text=worked.no_cupellation),))]
    return [] if worked.cupellation is None else list(cupel_results(tables, worked.cupellation))


def _fume_parts(worked: PlannedBatch, tables: Tables) -> list[Result]:
    """The fume screen of the plan, where the work may be in a closed room."""
    if not _may_be_closed(worked.conclusions):
        return []
    weigher = worked.weigher
    room = Room(max(1.0, weigher["room_volume"].likely / _ML_IN_M3), weigher["air_flow"].low * 60 / _ML_IN_M3)
    results = []
    for fume in fumes(worked, tables):
        release = Release(fume.released_g, fume.minutes)
        agent, limits = tables.once(agent_table)[fume.agent], tables.once(limit_table)
        screen = fume_screen(agent, release, room, limits, tables.once(room_air), tables.notes)
        answer = fume_results(tables, screen)[0]
        counted = "; ".join(
            f"{_GIVES_OFF.get(part.step, part.step)}: {in_words(part.mass_g, 'g')}" for part in fume.parts
        )
        note = Remark(kind="note", text=tr("Counted together: {parts}.", parts=counted))
        results.append(Result(title=answer.title, figures=answer.figures, said=(*answer.said, note)))
    return results


def _may_be_closed(conclusions: Conclusions) -> bool:
    """Whether the place may be a closed room."""
    place = conclusions.rule_base.facts["place"]
    variable = conclusions.rule_base.variables[place.variables[0]]
    closed = 1 << variable.domain.index("closed_room")
    return bool(conclusions.state[variable.index] & closed)
