"""A trial fusion: what the button of a few grams of concentrate tells of the whole charge.

The concentrate is fused with much more litharge than it can reduce. The lead in the button over the concentrate is
its reducing power, oxides counted against it. It stands in place of what an estimate of the minerals gives, and the
masses of the sulphides are fitted to it.

Sources: C. and J. J. Beringer, A Text-book of Assaying, ninth edition (1904), pp. 92-98.
"""

from __future__ import annotations

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.charge.iron import burns
from advisor.metallurgy.charge.oxygen import metals_lead, oxides_lead, trial_power
from advisor.metallurgy.charge.reducing import reduces
from advisor.metallurgy.charge.slag import base_oxygen
from advisor.metallurgy.charge.tables import ChargeData, charge_data
from advisor.metallurgy.common.bounds import range_within
from advisor.metallurgy.common.range_sums import cited, positive, share, total
from advisor.metallurgy.common.rows import Notes, SourcedRange, in_words, number, source_of, sourced, text
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.concentrate.composition import Concentrate, MineralMass, Trial
from advisor.units import Range
from advisor.units.measures import format_number
from advisor.units.substances import molar_mass_g
from advisor.words import tr


@frozen
class TrialWeights:
    """What goes into a trial fusion.

    Attributes:
        ore_g: Concentrate, g.
        litharge_g: Litharge, g.
        soda_ash_g: Soda, as g of soda ash.
        agreement: How far one trial may lie from another, as a factor.
        lead_part: Lead in 1 g of litharge, g.
        source: Where the weights come from.
    """

    ore_g: float
    litharge_g: float
    soda_ash_g: float
    agreement: SourcedRange
    lead_part: float
    source: str


def trial_weights(tables: Tables) -> TrialWeights:
    """The weights of a trial fusion, from ``rules/trial-fusion.yaml``."""
    data, rows = tables.once(charge_data), {text(row, "what"): row for row in tables.rows("trial_fusion")}
    soda = data.reagents["baking_soda"].formula
    as_ash = base_oxygen(soda) / molar_mass_g(soda) * molar_mass_g("Na2CO3")
    litharge = data.collector_content("litharge")
    assert litharge is not None
    return TrialWeights(
        ore_g=number(rows["ore"], "mass"),
        litharge_g=number(rows["litharge"], "mass"),
        soda_ash_g=number(rows["baking_soda"], "mass") * as_ash,
        agreement=sourced(tables.rows("trial_agreement")[0]),
        lead_part=litharge[0].metal_part * litharge[1],
        source=source_of(rows["ore"]),
    )


@frozen
class Weighing:
    """The two weighings of a trial fusion.

    Attributes:
        ore_g: Concentrate taken, g.
        button_g: Button, clean of slag, g.
        scale_step_g: Smallest step of the scale, g; each weighing may be off by one.
    """

    ore_g: Range
    button_g: Range
    scale_step_g: float = 0.0


def trial_of(weighing: Weighing, gold: Range, weights: TrialWeights, notes: Notes) -> Trial:
    """The lead that a concentrate throws down, from the weighings.

    Args:
        weighing: Concentrate and button.
        gold: Gold in 1 g of concentrate, g; it sits in the button.
        weights: What goes into the fusion.
        notes: What to do about a weighing that cannot be.

    Returns:
        Grams of lead to 1 g of concentrate.

    Raises:
        InputError: If a mass cannot be, or the button holds nearly all the lead there was.

    Example:
        3 g with a button of 16.5 g: 5.5 g of lead to 1 g, as half pyrite gives (p. 95).
    """
    range_within(tr("The concentrate of the trial fusion"), weighing.ore_g, "g", 0.1)
    range_within(tr("The button of the trial fusion"), weighing.button_g, "g", 0.0)
    step = weighing.scale_step_g
    if weighing.ore_g.low <= step:
        raise InputError(
            notes["trial_scale_too_coarse"].said(step=format_number(step), ore=format_number(weighing.ore_g.likely))
        )
    most = weights.litharge_g * weights.lead_part
    if weighing.button_g.likely > most:
        raise InputError(
            notes["trial_button_too_heavy"].said(
                button=format_number(weighing.button_g.likely),
                litharge=format_number(weights.litharge_g),
                most=format_number(most),
            )
        )
    ore, button = _to_a_step(weighing.ore_g, step), _to_a_step(weighing.button_g, step)
    lead = positive(button - ore * gold) / ore * weights.agreement.amount
    how = tr("a button of {button} from {ore} of concentrate", button=in_words(button, "g"), ore=in_words(ore, "g"))
    if gold.high > 0.0:
        how = tr("{how}, less {gold} of gold", how=how, gold=in_words(ore * gold, "g"))
    how = tr("{how}, x {agreement} for another sample", how=how, agreement=in_words(weights.agreement.amount, ""))
    soda = weights.soda_ash_g / weights.ore_g
    return Trial(lead, soda, how, cited(weights.source, weights.agreement.source))


def _to_a_step(grams: Range, step_g: float) -> Range:
    return Range(max(0.0, grams.low - step_g), grams.likely, grams.high + step_g)


def gold_part(concentrate: Concentrate) -> Range:
    """Gold in 1 g of a concentrate, g."""
    return share(concentrate.mass_g("gold"), concentrate.dry_mass_g)


def by_trial(concentrate: Concentrate, trial: Trial, data: ChargeData, *, strict: bool = True) -> Concentrate:
    """A concentrate whose sulphides are fitted to a trial fusion.

    Args:
        concentrate: The minerals as they were estimated.
        trial: What the trial told.
        data: The tables.
        strict: Whether lead beyond what these sulphides can throw down is refused; otherwise all but the metals counts
            as sulphide, for a person is asked back about such an answer.

    Returns:
        The concentrate with its sulphides more or fewer, the rest in its former proportions beside them. Without a
        button, or where no sulphide was named, the estimate stays: then the trial says nothing of how much there is.

    Raises:
        InputError: If the lead is more than sulphides alone could throw down, and that is refused.
    """
    parts = [part for part in concentrate.minerals if burns(part.mineral.kind) and reduces(part.mineral, data.burning)]
    seen_g = sum(part.mass_g.likely for part in parts)
    if trial.lead.likely <= 0.0 or seen_g <= 0.0:
        return concentrate
    power = trial_power(concentrate, trial, data)
    wanted = positive(concentrate.dry_mass_g * trial.lead - metals_lead(concentrate, power))
    kept = oxides_lead(concentrate, data)
    fixed = total(p.mass_g for p in concentrate.minerals if p.mineral.kind == "metal").likely
    room_g = concentrate.dry_mass_g.likely - fixed
    leads = [(part, power[part.mineral.name].lead) for part in parts if part.mass_g.high > 0.0]

    def fitted_g(lead_g: float, power: float, kept_g: float) -> float:
        # What the sulphides take more, the rest gives up, and its oxides with it.
        rest_g = room_g - seen_g
        kept_per_g = kept_g / rest_g if rest_g > 0.0 else 0.0
        return (lead_g + kept_per_g * room_g) / (power + kept_per_g)

    mean = sum(part.mass_g.likely * lead.likely for part, lead in leads) / seen_g
    # A mineral that may throw down nothing bounds nothing.
    weakest = min((lead.low for _, lead in leads if lead.low > 0.0), default=mean)
    low = fitted_g(wanted.low, max(lead.high for _, lead in leads), kept.low)
    likely, high = fitted_g(wanted.likely, mean, kept.likely), fitted_g(wanted.high, weakest, kept.high)
    if low > room_g and strict:
        raise InputError(data.notes["trial_too_much_lead"].said(lead=format_number(trial.lead.likely)))
    fit = Range(*(min(mass_g, room_g) for mass_g in (low, max(low, likely), max(low, likely, high))))
    return _refitted(concentrate, trial, fit, [part for part, _ in leads])


def _refitted(concentrate: Concentrate, trial: Trial, fit: Range, parts: list[MineralMass]) -> Concentrate:
    """The concentrate with so many g of sulphides in all."""
    seen_g = sum(part.mass_g.likely for part in parts)
    names = {part.mineral.name for part in parts}
    rest_g = sum(p.mass_g.likely for p in concentrate.minerals if not _stays(p, names))
    # Where the sulphides take all the room nothing is left of the rest, and rounding must not make it less.
    left = max(0.0, 1.0 + (seen_g - fit.likely) / rest_g) if rest_g > 0.0 else 1.0

    def fitted(part: MineralMass) -> MineralMass:
        if part.mineral.name not in names:
            return part if _stays(part, names) else MineralMass(part.mineral, part.mass_g.scaled(left))
        if len(parts) == 1:
            return MineralMass(part.mineral, fit)
        likely = part.mass_g.likely * fit.likely / seen_g
        ends = min(part.mass_g.low, likely), max(likely, min(part.mass_g.high, fit.high))
        return MineralMass(part.mineral, Range(ends[0], likely, ends[1]))

    how = tr(
        "{how}; the sulphides fitted to the trial fusion, {lead} of lead to 1 g",
        how=concentrate.how,
        lead=in_words(trial.lead, "g"),
    )
    return Concentrate(
        concentrate.dry_mass_g,
        tuple(fitted(part) for part in concentrate.minerals),
        how,
        cited(concentrate.source, trial.source),
        concentrate.raw_mass_g,
        trial,
    )


def _stays(part: MineralMass, sulphides: set[str]) -> bool:
    """Whether a mineral keeps its mass when the sulphides become more or fewer."""
    return part.mineral.kind == "metal" or part.mineral.name in sulphides


def told_by_trial(concentrate: Concentrate, how: str) -> str:
    """How a figure was reached, told as such where it goes by the trial fusion."""
    trial = concentrate.trial
    if trial is None:
        return how
    return tr("by the trial fusion, {lead} of lead to 1 g: {how}", lead=in_words(trial.lead, "g"), how=how)
