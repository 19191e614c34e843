"""Who burns whom in the pot: the oxygen account between sulphides, nitre, oxides and the collector oxide.

Order with nitre, after a roast, and with flux alone: nitre acts first, then the oxides of the ore, then the
collector oxide gives its oxygen and turns to metal. With an iron rod: flour or charcoal and the sulphides
reduce the collector oxide, and iron takes what is left of both. Source of the order: C. and J. J. Beringer, A
Text-book of Assaying (1904), pp. 91-96.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from advisor.frozen import frozen
from advisor.metallurgy.charge.iron import burns
from advisor.metallurgy.charge.reducing import Burning, gives_oxygen, oxygen_per_lead, reduces
from advisor.metallurgy.charge.tables import ChargeData
from advisor.metallurgy.common.range_sums import ZERO, complement, positive, share, total
from advisor.metallurgy.concentrate.composition import Concentrate, MineralMass, Trial
from advisor.units import Range


@frozen
class OxygenNeeds:
    """Oxygen wanted and offered, in grams as found in practice.

    Attributes:
        sulphides_g: What the sulphides take.
        agents_g: What flour, charcoal or tartar take.
        nitre_g: What nitre and red lead give.
        ore_oxides_g: What oxides of the ore give.
        collector_g: What the collector oxide can give.
        ore_g: What the ore takes in all, its sulphides less its oxides; by a trial fusion where there was one.
    """

    sulphides_g: Range
    agents_g: Range
    nitre_g: Range
    ore_oxides_g: Range
    collector_g: Range
    ore_g: Range


@frozen
class OxygenAccount:
    """How the account closes, as shares of what there is.

    Attributes:
        sulphides_burnt: Share of the sulphides that is burnt.
        agents_used: Share of the reducing agents that is used up.
        ore_oxides_used: Share of what the oxides of the ore could give.
        collector_reduced: Share of the collector oxide reduced by sulphides and agents.
        nitre_to_spare: Share of the nitre that finds nothing to burn.
        not_met: Share of what burns for which all the oxygen is used up; with an iron rod the iron takes it.
    """

    sulphides_burnt: Range
    agents_used: Range
    ore_oxides_used: Range
    collector_reduced: Range
    nitre_to_spare: Range
    not_met: Range


def burning_parts(concentrate: Concentrate, data: ChargeData, method: str) -> tuple[MineralMass, ...]:
    """The minerals that take oxygen; steel chips do so only where no iron rod stands in the pot."""
    return tuple(
        part
        for part in concentrate.minerals
        if reduces(part.mineral, data.burning) and (method != "iron" or burns(part.mineral.kind))
    )


def oxide_parts(concentrate: Concentrate, data: ChargeData, method: str) -> tuple[MineralMass, ...]:
    """The oxides of the ore that give oxygen; with an iron rod the iron sees to them."""
    if method == "iron":
        return ()
    return tuple(part for part in concentrate.minerals if gives_oxygen(part.mineral, data.ore_oxides))


def collector_oxygen_g(reagents_g: Mapping[str, Range], data: ChargeData) -> Range:
    """Oxygen in the collector oxides, g."""
    weighed = ((data.collector_content(name), grams) for name, grams in reagents_g.items())
    return total(grams.scaled(part[1] * part[0].oxygen_part) for part, grams in weighed if part is not None)


def quartz_to_soda(quartz_g: float, soda_ash_g: float) -> float:
    """Quartz to 1 g of soda ash; without soda the sulphur goes as beside much quartz (Beringer 1904, p. 98)."""
    return quartz_g / soda_ash_g if soda_ash_g > 0.0 else math.inf


def oxygen_needs(
    concentrate: Concentrate, reagents_g: Mapping[str, Range], data: ChargeData, method: str, ratio: float
) -> OxygenNeeds:
    """Oxygen wanted and offered by a charge with so much quartz to 1 g of soda ash."""
    burning, power = burning_parts(concentrate, data, method), data.burning_beside(ratio, concentrate)
    sulphides = total(part.mass_g * power[part.mineral.name].oxygen for part in burning)
    oxides = total(p.mass_g * data.ore_oxides[p.mineral.name].oxygen for p in oxide_parts(concentrate, data, method))
    ore = sulphides - oxides
    if concentrate.trial is not None:
        own = total(part.mass_g.scaled(power[part.mineral.name].own_lead) for part in burning)
        ore = (lead_by_trial(concentrate, power, data) - own).scaled(oxygen_per_lead())
        # With the rod the steel chips and the oxides of the ore are left to the iron; the trial had counted both.
        counted = oxides_lead(concentrate, data) - (metals_lead(concentrate, power) if method == "iron" else ZERO)
        sulphides = positive(ore + counted.scaled(oxygen_per_lead()))
    return OxygenNeeds(
        sulphides_g=sulphides,
        agents_g=total(g * data.reductants[n].oxygen for n, g in reagents_g.items() if n in data.reductants),
        nitre_g=total(g * data.oxidants[n].oxygen for n, g in reagents_g.items() if n in data.oxidants),
        ore_oxides_g=oxides,
        collector_g=collector_oxygen_g(reagents_g, data),
        ore_g=ore,
    )


def trial_power(concentrate: Concentrate, trial: Trial, data: ChargeData) -> dict[str, Burning]:
    """The power of each mineral in the slag of a trial fusion."""
    quartz = share(concentrate.mass_g("quartz"), concentrate.dry_mass_g).likely
    power = data.burning_beside(quartz_to_soda(quartz, trial.soda_ash), concentrate)
    return {name: burning.found_in_trials() for name, burning in power.items()}


def oxides_lead(concentrate: Concentrate, data: ChargeData) -> Range:
    """Lead that the oxides of the ore keep up, g."""
    parts = (part for part in concentrate.minerals if gives_oxygen(part.mineral, data.ore_oxides))
    return total(part.mass_g * data.ore_oxides[part.mineral.name].lead for part in parts)


def metals_lead(concentrate: Concentrate, power: Mapping[str, Burning]) -> Range:
    """Lead that steel chips throw down, g."""
    metals = (p for p in concentrate.minerals if not burns(p.mineral.kind) and p.mineral.name in power)
    return total(part.mass_g * power[part.mineral.name].lead for part in metals)


def lead_by_trial(concentrate: Concentrate, power: Mapping[str, Burning], data: ChargeData) -> Range:
    """Lead that a concentrate throws down in a charge by its trial fusion, g.

    Args:
        concentrate: The concentrate, with its trial.
        power: The power of each mineral in the slag of the charge; that of the trial has less quartz or more.
        data: The tables.
    """
    assert concentrate.trial is not None
    before = trial_power(concentrate, concentrate.trial, data)
    sulphides = [part for part in concentrate.minerals if burns(part.mineral.kind) and part.mineral.name in power]
    more = sum(
        part.mass_g.likely * (power[part.mineral.name].lead.likely - before[part.mineral.name].lead.likely)
        for part in sulphides
    )
    return positive(concentrate.dry_mass_g * concentrate.trial.lead + Range.exact(more))


def close_account(needs: OxygenNeeds, method: str) -> OxygenAccount:
    """Let the reducing and the oxidising side meet.

    Args:
        needs: Oxygen wanted and offered.
        method: One of ``METHODS``.

    Returns:
        The shares used; in the middle values what is taken equals what is given.
    """
    return _with_iron(needs) if method == "iron" else _without_iron(needs)


def _with_iron(needs: OxygenNeeds) -> OxygenAccount:
    given = needs.collector_g + needs.nitre_g
    wanted = needs.agents_g + needs.sulphides_g
    return OxygenAccount(
        sulphides_burnt=share(needs.sulphides_g.least(positive(given - needs.agents_g)), needs.sulphides_g),
        agents_used=share(needs.agents_g.least(given), needs.agents_g),
        ore_oxides_used=ZERO,
        collector_reduced=share(positive(wanted - needs.nitre_g).least(needs.collector_g), needs.collector_g),
        nitre_to_spare=share(positive(needs.nitre_g - wanted), needs.nitre_g),
        not_met=ZERO,
    )


def _without_iron(needs: OxygenNeeds) -> OxygenAccount:
    wanted = needs.sulphides_g + needs.agents_g
    after_nitre = positive(wanted - needs.nitre_g)
    after_ore = positive(after_nitre - needs.ore_oxides_g)
    unmet = positive(after_ore - needs.collector_g)
    spare = share(positive(needs.nitre_g - wanted), needs.nitre_g)
    return OxygenAccount(
        sulphides_burnt=complement(share(unmet.least(needs.sulphides_g), needs.sulphides_g)),
        agents_used=complement(share(positive(unmet - needs.sulphides_g), needs.agents_g)),
        ore_oxides_used=share(needs.ore_oxides_g.least(after_nitre), needs.ore_oxides_g),
        collector_reduced=share(needs.collector_g.least(after_ore), needs.collector_g),
        nitre_to_spare=spare if needs.nitre_g.high > 0.0 else ZERO,
        not_met=share(unmet, wanted),
    )
