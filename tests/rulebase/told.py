"""What sentences of the rules say in figures, and where each figure comes from.

A figure that a table, a threshold, a step or an amount holds is told by ``TOLD``; any other stands in ``ON_ITS_OWN``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import ceil, floor
from typing import Any

from advisor.units.substances import Reaction, mass_fraction, molar_mass_g

NUMBERS = {"half an": 0.5, "quarter of an": 0.25, "an": 1.0, "one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0}
NUMBERS |= {"five": 5.0, "six": 6.0, "eight": 8.0, "ten": 10.0, "twelve": 12.0, "twenty": 20.0, "thirty": 30.0}

Rows = Mapping[str, list[dict[str, Any]]]
Figures = Callable[[Rows], tuple[float, ...]]


@dataclass(frozen=True)
class Told:
    """Words of the rules with figures in them, wherever they stand.

    Attributes:
        words: A pattern; each group is a figure.
        figures: The same from the tables.
        where: What the place has to end with, so that a limit is held against the right substance; anywhere if empty.
        calculated: Whether the text says it as closely as it has places, and not to the last.
    """

    words: str
    figures: Figures
    where: str = ""
    calculated: bool = False


def row(rows: Rows, table: str, **key: object) -> dict[str, Any]:
    """The one row of a table with these values."""
    (found,) = (one for one in rows[table] if all(one.get(name) == value for name, value in key.items()))
    return found


def air(agent: str, *kinds: str, body: str = "OSHA, United States", times: float = 1.0) -> Figures:
    """Limits of one body for one agent; ``times`` turns milligrams into micrograms."""
    return lambda rows: tuple(row(rows, "air_limits", agent=agent, body=body, kind=k)["value"] * times for k in kinds)


def threshold(name: str) -> Figures:
    """A threshold, rounded as people say it."""
    return lambda rows: (float(round(row(rows, "thresholds", name=name)["value"])),)


def above_the_bead(rows: Rows) -> tuple[float, ...]:
    """What the mint went above the melting point of its bead."""
    found = row(rows, "finish_heat_above_bead", gold_percent=28.6)
    return found["low"], found["high"]


def mint_and_gold(rows: Rows) -> tuple[float, ...]:
    """The rule of the mint on gold."""
    (gold,) = threshold("melting_temperature_gold")(rows)
    return tuple(gold + more for more in above_the_bead(rows))


def roasting(stage: str) -> Figures:
    """The highest heat of chalcopyrite in a stage of a roast."""
    return lambda rows: (row(rows, "roast_stages", mineral="chalcopyrite", stage=stage)["high"],)


def silver(rows: Rows) -> tuple[float, ...]:
    """The melting point of silver as people say it."""
    return (float(int(row(rows, "bead_melting", gold_percent=0)["liquidus_c"] + 0.5)),)


def cells(table: str, *columns: str, times: float = 1.0, **key: object) -> Figures:
    """Cells of the one row of a table with these values."""
    return lambda rows: tuple(row(rows, table, **key)[column] * times for column in columns)


def limit(name: str, times: float = 1.0) -> Figures:
    """A threshold as it is, a share as a percentage with ``times``."""
    return cells("thresholds", "value", times=times, name=name)


def minutes(step: str, *ends: str, times: float = 1.0) -> Figures:
    """Minutes of a step or a preparation, hours or days with ``times``."""
    return cells("times", *ends, times=times, of=step)


def parts(amount: str, grams: float = 100) -> Figures:
    """What an amount likely weighs for so many grams of what it is reckoned from."""
    return cells("amounts", "likely", times=grams, amount=amount)


def preheat(*ends: str) -> Figures:
    """Minutes in which an empty cupel is kept red."""
    return cells("correction_frozen", *ends, case="any", what="preheat_min")


def molar(rows: Rows, table: str, name: str) -> float:
    """Molar mass of a reagent or a mineral, in grams."""
    return molar_mass_g(row(rows, table, **{table.rstrip("s"): name})["formula"])


def share(mineral: str, element: str) -> Figures:
    """Grams of an element in one gram of a mineral."""
    return lambda rows: (mass_fraction(row(rows, "minerals", mineral=mineral)["formula"], element),)


def gas(*minerals: str) -> Figures:
    """Grams of sulphur dioxide from one gram of each mineral."""
    per_sulphur = molar_mass_g("SO2") / molar_mass_g("S")
    return lambda rows: tuple(share(mineral, "S")(rows)[0] * per_sulphur for mineral in minerals)


def taken_up(*minerals: str) -> Figures:
    """Grams of iron that one gram of each mineral takes from the rod."""

    def figures(rows: Rows) -> tuple[float, ...]:
        found = [row(rows, "iron_uptake", mineral=mineral) for mineral in minerals]
        formulas = [row(rows, "minerals", mineral=mineral)["formula"] for mineral in minerals]
        reactions = [Reaction.parse(one["likely"]) for one in found]
        return tuple(-each.grams_per_gram("Fe", of) for each, of in zip(reactions, formulas, strict=True))

    return figures


def oxide(*metals: str) -> Figures:
    """Grams of oxide that one gram of each metal becomes on the cupel."""

    def figures(rows: Rows) -> tuple[float, ...]:
        found = [row(rows, "cupel_oxides", metal=metal) for metal in metals]
        return tuple(1 / mass_fraction(one["oxide"], one["element"]) for one in found)

    return figures


def hydrated_borax(grams: float) -> Figures:
    """Grams of hydrated borax that do the work of so many of the anhydrous kind."""
    return lambda rows: (
        grams * molar(rows, "reagents", "borax_decahydrate") / molar(rows, "reagents", "borax_anhydrous"),
    )


def water_of_borax(rows: Rows) -> tuple[float, ...]:
    """Per cent of water in hydrated borax."""
    return (100 * (1 - 1 / hydrated_borax(1)(rows)[0]),)


def soda_of(reagent: str, grams: float = 1.0) -> Figures:
    """Grams of soda ash that so many grams of another soda leave."""
    ash = {"baking_soda": 0.5, "washing_soda": 1.0}[reagent]
    return lambda rows: (grams * ash * molar(rows, "reagents", "soda_ash") / molar(rows, "reagents", reagent),)


def soda_for(*reagents: str) -> Figures:
    """Grams of other sodas that leave one gram of soda ash."""
    return lambda rows: tuple(1 / soda_of(reagent)(rows)[0] for reagent in reagents)


def danger_in_30_m3(mineral: str) -> Figures:
    """Grams of a mineral whose fume makes the air of a small room dangerous to life at once."""
    litres_a_mole = 24.465  # of a gas, at 25 °C and sea level pressure

    def figures(rows: Rows) -> tuple[float, ...]:
        if mineral == "arsenopyrite":
            (found,) = air("arsenic", "danger", body=_NIOSH)(rows)
            return (found * 30 / 1e3 / share(mineral, "As")(rows)[0],)
        (found,) = air("sulphur_dioxide", "danger", body=_NIOSH)(rows)
        return (found * molar_mass_g("SO2") / litres_a_mole * 30 / 1e3 / gas(mineral)(rows)[0],)

    return figures


def around(figure: Figures) -> Figures:
    """The whole numbers below and above a figure."""
    return lambda rows: (floor(figure(rows)[0]), ceil(figure(rows)[0]))


def slag_keeps(*to_gold: str) -> Figures:
    """Grams of gold that the slag keeps of 100 g, where there is so much slag to the gold."""
    kept = cells("correction_lost_gold", "high", case="slag", what="gold_per_g", times=100)
    return lambda rows: tuple(kept(rows)[0] * limit(name)(rows)[0] for name in to_gold)


def lost(heat: str, *ends: Callable[[list[float]], float]) -> Figures:
    """Per cent of gold lost in the printed trials with 1 g of gold and 20 g of lead."""

    def figures(rows: Rows) -> tuple[float, ...]:
        trials = [one for one in rows["gold_losses"] if (one["gold_g"], one["lead_g"], one["heat"]) == (1, 20, heat)]
        return tuple(end([one["loss_percent"] for one in trials]) for end in ends)

    return figures


def silver_lost(rows: Rows) -> tuple[float, ...]:
    """Per cent of silver lost in the printed trials with 0.4 g of silver and 20 g of lead."""
    key = {"silver_g": 0.4, "lead_g": 20}
    return tuple(row(rows, "silver_losses", heat=heat, **key)["loss_percent"] for heat in ("ordinary", "hot"))


def copper_for_twice_the_lead(rows: Rows) -> tuple[float, ...]:
    """Per cent of copper in gold that wants twice the lead of gold without copper."""
    plain = row(rows, "lead_for_gold_copper", copper_percent=0)["low"]
    return (row(rows, "lead_for_gold_copper", low=plain * 2)["copper_percent"],)


def gold_with_copper(rows: Rows) -> tuple[float, ...]:
    """Per cent of gold lost at most with copper, and likely without."""
    (likely,) = cells("cupel_loss_curves", "loss_percent", metal="gold", lead_per_precious=20)(rows)
    return likely * row(rows, "cupel_loss_factors", metal="gold", cause="copper")["high"], likely


def assay_lead(rows: Rows) -> tuple[float, ...]:
    """Grams of lead, milligrams of gold, and the same of a larger sample."""
    pairs = ((one["lead_least_g"], one["sample_at_most_g"] * 1e3) for one in rows["lead_for_assay_samples"])
    return tuple(figure for pair in pairs for figure in pair)


def nitre_for_iron(rows: Rows) -> tuple[float, ...]:
    """Grams of nitre that a gram of iron uses up, to the lower and to the higher oxide."""
    oxygen = Reaction.parse(row(rows, "oxidants", oxidant="nitre")["reaction"]).grams_per_gram("O2", "KNO3")
    reactions = (Reaction.parse(text) for text in ("2 Fe + O2 -> 2 FeO", "4 Fe + 3 O2 -> 2 Fe2O3"))
    return tuple(-one.grams_per_gram("O2", "Fe") / oxygen for one in reactions)


def bismuth_by_flour(rows: Rows) -> tuple[float, ...]:
    """Grams of bismuth that one gram of flour makes, by the oxygen that it takes from lead."""
    (lead,) = flour("likely")(rows)
    return (lead / molar_mass_g("Pb") * 2 / 3 * molar_mass_g("Bi"),)


def flour(end: str, grams: float = 1.0) -> Figures:
    """Grams of lead that so many grams of flour make."""
    return cells("reductants", end, times=grams, reductant="flour")


def trial(*what: str) -> Figures:
    """Grams that go into a trial fusion."""
    return lambda rows: tuple(row(rows, "trial_fusion", what=one)["mass"] for one in what)


def used_cupel(grams: float) -> Figures:
    """Grams of soda, borax, fluorspar and charcoal for a cupel that drank so much lead."""
    parts_of = ("soda_per_g", "borax_per_g", "fluorspar_per_g", "charcoal_per_g")
    return lambda rows: tuple(
        row(rows, "correction_lost_gold", case="cupel_smelt", what=part)["likely"] * grams for part in parts_of
    )


def roast_charge(*what: str) -> Figures:
    """Grams of fluxes of the printed charge for 30 g weighed before the roast."""
    return lambda rows: tuple(row(rows, "printed_charge", ore="roast", part=part)["likely"] * 30 for part in what)


def roast_lead(rows: Rows) -> tuple[float, ...]:
    """Grams of litharge and of flour of the same charge."""
    return parts("roast-litharge", 30)(rows) + parts("roast-litharge-flour", 30)(rows)


def hiding_slag(rows: Rows) -> tuple[float, ...]:
    """Grams of quartz and of soda in the slag that was tried with iron sulphide."""
    found = {one["what"]: one["likely"] for one in rows["correction_matte_fire"] if one["case"] == "slag"}
    return found["quartz_g"], found["bicarbonate_g"]


def check(name: str, times: float = 1.0) -> Figures:
    """The bound of a check."""
    return cells("checks", "bound", times=times, check=name)


def formula(ends: str, *patterns: str, times: float = 1.0) -> Figures:
    """Figures of a condition or a formula, by patterns with one group each."""

    def figures(rows: Rows) -> tuple[float, ...]:
        (text,) = (one["text"] for one in rows["conditions"] if one["place"].endswith(f".{ends}"))
        found = (re.search(pattern, text) for pattern in patterns)
        return tuple(float(one[1]) * times for one in found if one)

    return figures


def soda_with_iron(rows: Rows) -> tuple[float, ...]:
    """Grams of soda for 100 g that are smelted with iron."""
    (times,) = formula("soda_base.cases.1.formula", r"smelt_mass \* (\d+)")(rows)
    return (times * parts("direct-smelt-soda")(rows)[0],)


def ratio(over: Figures, under: Figures) -> Figures:
    """The one figure over the other."""
    return lambda rows: (over(rows)[0] / under(rows)[0],)


def red_oxide(rows: Rows) -> tuple[float, ...]:
    """Grams of red iron oxide that one gram of pyrite becomes in a roast."""
    return (share("pyrite", "Fe")(rows)[0] / mass_fraction("Fe2O3", "Fe"),)


def fixed(*figures: float) -> Figures:
    """Figures that no rule holds; none for words without a figure of their own."""
    return lambda _: figures


_N = rf"((?i:\d+|{'|'.join(NUMBERS)}))"
_NIOSH = "NIOSH, United States"
_GOLD = threshold("melting_temperature_gold")
TOLD = (
    Told(r"limit is (\d+) micrograms per cubic metre over 8 hours, action at (\d+)",
         air("lead", "shift", "action", times=1e3), "lead-fume.authority"),
    Told(r"all above the United States limit of (\d+)", air("lead", "shift", times=1e3)),
    Told(r"limit is (\d+) micrograms per cubic metre over 8 hours, action at (\d+)",
         air("arsenic", "shift", "action", times=1e3), "arsenic-fume.authority"),
    Told(r"allows (?:about )?([\d.]+) mg (?:of arsenic )?in a cubic metre", air("arsenic", "shift")),
    Told(r"dangerous to life at once \(([\d.]+) milligrams per cubic metre\)", air("arsenic", "danger", body=_NIOSH)),
    Told(r"(\d+) parts per million over 8 hours \(OSHA\)", air("sulphur_dioxide", "shift")),
    Told(r"parts per million over 8 hours \(OSHA\), (\d+) advised \(NIOSH\)",
         air("sulphur_dioxide", "shift", body=_NIOSH)),
    Told(r"in 30 cubic metres makes (\d+) parts per million", air("sulphur_dioxide", "danger", body=_NIOSH)),
    Told(r"([\d.]+) milligrams per cubic metre over the shift", air("antimony", "shift"), "antimony-fume.authority"),
    Told(r"(\d+) milligrams of zinc oxide fume per cubic metre", air("zinc_oxide", "shift")),
    Told(r"leach test is (\d+) milligrams of lead", cells("leach_limits", "value", element="lead")),
    Told(r"leach test is (\d+) milligrams of arsenic", cells("leach_limits", "value", element="arsenic")),
    Told(r"removes people at (\d+) micrograms per decilitre, or a mean of (\d+)",
         lambda rows: tuple(row(rows, "blood_lead_limits", rule=rule)["value"] for rule in ("one", "mean"))),
    Told(r"[Gg]old (?:melts|sets|freezes) at (?:about )?(\d+)", _GOLD),
    Told(r"grain of gold at (\d+) °C", _GOLD),
    Told(r"above (1\d\d\d) °C", _GOLD),
    Told(r"[Ss]ilver melts at (\d+)", silver),
    Told(r"melting silver \((\d+) °C\)", silver),
    Told(r"(\d+) to (\d+) °C above the melting\s+point", above_the_bead),
    Told(r"The sum is (\d+) to (\d+) °C", mint_and_gold),
    Told(r"(?:litharge|takes nothing up|takes up litharge) (?:only )?(?:from|below) about (\d+) °C",
         cells("cupel_heat", "low", collector="lead", material="any", stage="drive")),
    Told(r"with chalcopyrite in it not above (\d+) °C", roasting("start"), "roast-start-low.do"),
    Told(r"with chalcopyrite in it not above (\d+) °C", roasting("burn"), "roast-burn-off.do"),
    Told(r"(?:[Nn]ear|at about) (\d+) °C(?: soda|, a cherry red| until the gas|, lid)",
         cells("gas_heat", "heat", stage="late")),
    Told(r"[Aa] standard (?:for small samples )?works at (\d+) to (\d+) °C",
         cells("cupel_heat", "likely", "high", collector="lead", material="magnesia", stage="drive")),
    # What the formulas of reagents and minerals come to.
    Told(r"(?:Count on|is water,) (\d+) (?:g of steam from each 100 g|parts in 100)", water_of_borax, calculated=True),
    Told(r"([\d.]+)(?: g of it does the work of 1 g of| times the amount of| times as much of common borax)",
         hydrated_borax(1), calculated=True),
    Told(r"from 50 g of the anhydrous kind gives (\d+) g", hydrated_borax(50), calculated=True),
    Told(r"100 g of it leave (\d+) g of ash", soda_of("baking_soda", 100), calculated=True),
    Told(r"30 g of bicarbonate, about (\d+) g of soda ash, for 20 g", soda_of("baking_soda", 30), calculated=True),
    Told(r"1 g does the work of ([\d.]+) g of baking soda", soda_for("baking_soda"), calculated=True),
    Told(r"([\d.]+) g for each gram, or washing soda crystals, ([\d.]+) g for each gram",
         soda_for("baking_soda", "washing_soda"), calculated=True),
    Told(r"dry and white, serves too: ([\d.]+) g for each gram", soda_for("baking_soda"), calculated=True),
    Told(r"([\d.]+) g of crystals or ([\d.]+) g of baking soda give 1 g",
         soda_for("washing_soda", "baking_soda"), calculated=True),
    Told(r"hood can be trusted with: ([\d.]+) g from 1 g of pyrite", gas("pyrite"), calculated=True),
    Told(r"[Pp]yrite gives ([\d.]+) g of sulphur gas", gas("pyrite"), calculated=True),
    Told(r"Pyrite gives ([\d.]+) g to the gram, pyrrhotite ([\d.]+) g, galena ([\d.]+) g",
         gas("pyrite", "pyrrhotite", "galena"), calculated=True),
    Told(r"Pyrite takes up ([\d.]+) g of iron to the gram", taken_up("pyrite"), calculated=True),
    Told(r"Pyrite takes ([\d.]+) g of iron to the gram, galena ([\d.]+) g",
         taken_up("pyrite", "galena"), calculated=True),
    Told(r"(?:1 g|One gram) of arsenopyrite holds ([\d.]+) g", share("arsenopyrite", "As"), calculated=True),
    Told(r"([\d.]+) g of oxide from 1 g of lead, ([\d.]+) g from 1 g of bismuth",
         oxide("lead", "bismuth"), calculated=True),
    Told(r"by the chemistry is about ([\d.]+) g of bismuth", bismuth_by_flour, calculated=True),
    Told(r"a gram of iron uses up ([\d.]+) to ([\d.]+) g", nitre_for_iron, calculated=True),
    Told(r"([\d.]+) g of pyrite in 30 cubic metres makes", danger_in_30_m3("pyrite"), calculated=True),
    Told(r"([\d.]+) g of arsenopyrite burnt in a closed room of 30 cubic",
         danger_in_30_m3("arsenopyrite"), calculated=True),
    # Grams that tables of the charge, the cupel and the corrections hold.
    Told(r"(?:1 g of flour|[Oo]ne gram(?: of flour)?|out of litharge[^.]*\. 1 g|red iron oxide\. 1 g|of the"
         r" oxide\. 1 g) (?:gives|makes|does for lead) about (\d+) g(?: of lead)?", flour("likely")),
    Told(r"1 g of flour (?:less )?for each (\d+) g(?: of metal)? too (?:much|little)", flour("likely")),
    Told(r"1 g for each (\d+) g of lead that was missing", flour("high")),
    Told(r"sulphides are counted at (\d+) g to the gram", formula("iron-litharge-flour.of", r"sulphide_mass \* (\d+)")),
    Told(r"(?:One gram of nitre takes about|1 g of nitre (?:less )?for each|too much, 1 g for) (\d+) g(?: of"
         r" lead| too much)", cells("oxidants", "likely", oxidant="nitre")),
    Told(r"so (\d+) g of it do the work of 1 g of nitre",
         ratio(cells("oxidants", "likely", oxidant="nitre"), cells("oxidants", "likely", oxidant="red_lead"))),
    Told(r"([\d.]+) to ([\d.]+) parts to one", cells("nitre_most", "low", "high")),
    Told(r"Each gram of sulphide wants up to ([\d.]+) g of nitre", cells("nitre_most", "high")),
    Told(r"([\d.]+) g(?: of the dry lot)?(?: with|; | of the lot,| of it from many places. Weigh) (\d+) g(?:"
         r" of)? litharge(?: and|,|, no red lead, and) ([\d.]+) g(?: of)? baking soda",
         trial("ore", "litharge", "baking_soda")),
    Told(r"(?:button from|gold of the|the) (\d+) g(?: of the dry lot|\. Its slag| were no fair)", trial("ore")),
    Told(r"of baking soda or (\d+) g of soda ash\. Roll", soda_of("baking_soda", 3), calculated=True),
    Told(r"gold bullion with 20 parts copper in 100 about (\d+) parts of lead",
         cells("lead_for_gold_copper", "low", copper_percent=20)),
    Told(r"With (?:about )?(\d+) parts of copper in 100 take twice the lead", copper_for_twice_the_lead),
    Told(r"(?:asks for|wants) (\d+) (?:g|parts) of lead and more", cells("lead_for_pieces", "low", metal="copper")),
    Told(r"(?:adds|gets) (\d+) g of lead (?:late|more)",
         cells("lead_for_other_metals", "extra_lead_g", metal="nickel")),
    Told(r"at least (\d+) g up to (\d+) mg and (\d+) g for 201 to (\d+) mg", assay_lead),
    Told(r"An assay sample gets 20 parts: a standard asks for at least (\d+) g up to (\d+) mg",
         lambda rows: assay_lead(rows)[:2]),
    Told(r"25 minutes with (\d+) to (\d+) g of lead", lambda rows: assay_lead(rows)[::2]),
    Told(r"An assay of (\d+) to (\d+) g of lead takes about 25 minutes", lambda rows: assay_lead(rows)[::2]),
    Told(r"A (\d+) g button goes to a small cupel", cells("cupel_sizes", "button_at_most_g", size="small")),
    Told(r"(?:body|cupel) of 20 to 25 g (?:takes|drinks|is enough for) 15 to (\d+) g of lead",
         cells("cupel_sizes", "button_at_most_g", size="ordinary")),
    Told(r"about ([\d.]+) to ([\d.]+) parts in 100 for 1 g of gold with 20 g of lead",
         lost("ordinary", min, max), calculated=True),
    Told(r"(?:cupel, |with 20 g of lead lost |lost about |keeps about |loss is about )([\d.]+) % ?(?:at ordinary"
         r"|of it|of the gold|, too)",
         cells("cupel_loss_curves", "loss_percent", metal="gold", lead_per_precious=20), calculated=True),
    Told(r"over ([\d.]+) % of (?:the )?gold", lost("hot", min), calculated=True),
    Told(r"([\d.]+) % with three parts of silver", cells("gold_losses", "loss_percent", silver_g=0.9), calculated=True),
    Told(r"Silver lost ([\d.]+) % at bright red and ([\d.]+) % at clear yellow", silver_lost, calculated=True),
    Told(r"each 10 g of lead that it drank about ([\d.]+) g of soda ash, ([\d.]+) g of anhydrous borax, (\d+) g"
         r" of fluorspar and ([\d.]+) g of charcoal", used_cupel(10), calculated=True),
    Told(r"Per 10 g lead: soda ([\d.]+), borax ([\d.]+), fluorspar (\d+), charcoal ([\d.]+)\.",
         used_cupel(10), calculated=True),
    Told(r"30 g each of soda and borax as the book weighs them, that is (\d+) g of soda ash and (\d+) g of"
         r" anhydrous borax", roast_charge("soda_ash", "borax_anhydrous"), calculated=True),
    Told(r"To 30 g: soda (\d+), borax (\d+);", roast_charge("soda_ash", "borax_anhydrous"), calculated=True),
    Told(r"with (\d+) g of litharge and (\d+) g of flour where lead is lawful", roast_lead, calculated=True),
    Told(r"lead lawful: litharge (\d+), flour (\d+)", roast_lead, calculated=True),
    Told(r"some (\d+) g of lead\. The published",
         cells("collector_parts", "likely", times=100, collector="lead"), calculated=True),
    Told(r"slag of (\d+) g (?:of )?quartz(?: with| and|,) (\d+) g (?:of )?(?:soda|bicarbonate)", hiding_slag),
    Told(r"A slag of (\d+) g dissolves", lambda rows: (sum(hiding_slag(rows)),)),
    Told(r"[Uu]p to (?:10 to )?(\d+) % platinum",
         cells("lead_for_other_metals", "share_at_most_percent", metal="platinum")),
    # Thresholds and what checks refuse.
    Told(r"(?:[Mm]ore|less) than (\d+) %(?: sulphide|\.$)", limit("sulphide_limit_direct", 100)),
    Told(r"Above (\d+) %", limit("sulphide_limit_nitre", 100)),
    Told(r"Below ([\d.]+) g in a kilogram", limit("gold_share_poor", 1e3)),
    Told(r"too poor to smelt \((\d+) g per tonne\)", limit("gold_share_poor", 1e6)),
    Told(r"figure of (\d+) % itself", limit("sulphide_much", 100), "sulphide_much.reason"),
    Told(r"figure of (\d+) % itself", limit("black_sand_much", 100), "black_sand_much.reason"),
    Told(r"figure of (\d+) g itself", limit("direct_mass_limit")),
    Told(r"more than (\d+) g needs too many cupels", limit("direct_mass_limit")),
    Told(r"so (\d+) g are two more cupels", limit("copper_much")),
    Told(r"A step of ([\d.]+) g is a hundredth", limit("scale_step_needed")),
    Told(r"; (\d+) g in that is", limit("roast_gas_in_the_open")),
    Told(r"[Aa]bout ([\d.]+) % (?:of the lead goes off|of cupelled lead goes|is recalled and was not found)",
         cells("fume_shares", "likely", times=100, step="lead_on_cupel")),
    Told(r"(?:here|and) ([\d.]+) g(?:\. A wind| in that)",
         lambda rows: (limit("lead_in_the_open")(rows)[0] * row(rows, "fume_shares", step="lead_on_cupel")["likely"],),
         calculated=True),
    Told(r"([\d.]+) g of gold in 100 g (?:after|even|of slag)",
         cells("correction_lost_gold", "high", times=100, case="slag", what="gold_per_g"), calculated=True),
    Told(r"Six parts of slag then keep ([\d.]+) g of 100 g", slag_keeps("slag_to_gold_some"), calculated=True),
    Told(r"keeps? (?:nearly|about) (\d+) g of 100 g of gold", slag_keeps("slag_to_gold_much"), calculated=True),
    Told(r"some (\d+) g of 100 g of gold stay", slag_keeps("slag_to_gold_most"), calculated=True),
    Told(r"More than (\d+) kg is no table", check("batch-too-large", 1e-3)),
    Told(r"Less than (\d+) g is a sample", check("batch-of-a-pinch")),
    Told(r"less than (\d+) parts of gold in a thousand", check("fineness-too-low-to-want", 1e3)),
    Told(r"add up to more than (\d+) %", check("shares-over-the-whole", 100)),
    # Amounts, whose reasons say them for 100 g or for the charge of the book.
    *(Told(r"(\d+) g (?:for|to) 100 g", parts(name), f".{name}.reason") for name in (
        "direct-smelt-borax-anhydrous", "nitre-smelt-borax-anhydrous", "smelt-litharge", "smelt-bismuth",
        "smelt-bismuth-oxide")),
    Told(r"(\d+) g of litharge to 100 g", parts("smelt-litharge")),
    Told(r"(\d+) g to 100 g", parts("direct-smelt-borax-anhydrous"), ".iron-smelt-weigh-borax-anhydrous.reason"),
    Told(r"(?:With iron in the pot |^)(\d+) g (?:to|for) 100 g(?: with iron| of dry concentrate. So)", soda_with_iron),
    Told(r"(?:without iron takes|little sulphide) (\d+) g", parts("direct-smelt-soda")),
    Told(r"(\d+) g of (?:hydrated borax|bicarbonate) for 30 g", parts("roast-smelt-borax-hydrated", 30)),
    Told(r"^(\d+) g for 30 g of concentrate", parts("roast-litharge", 30)),
    Told(r"(\d+) g of flour or 2 g of charcoal for 30 g", parts("roast-litharge-flour", 30), calculated=True),
    Told(r"5 g of flour or (\d+) g of charcoal for 30 g", parts("roast-litharge-charcoal", 30), calculated=True),
    Told(r"published charge with litharge takes (\d+) g of flour for 30 g",
         parts("roast-litharge-flour", 30), calculated=True),
    Told(r"1 g of lead takes ([\d.]+) g of litharge", parts("direct-litharge-only", 1)),
    Told(r"For the clean part ([\d.]+) g for each gram of lead", parts("direct-litharge-only", 1)),
    Told(r"[Ww]here steel[^.]*, (\d+) g in 100 g", formula("nitre_base.cases.0.formula", r"smelt_mass \* (\d+) %")),
    Told(r"Where copper or brass was seen, (\d+) g in 100 g",
         formula("copper_in_button.cases.0.formula", r"smelt_mass \* (\d+) %")),
    Told(r"^(\d+) g for 100 g as a cover", formula("melt_borax.computed.1.formula", r"mass \* (\d+) %")),
    Told(r"also ([\d.]+) parts for the quartz",
         formula("melt_borax.computed.0.formula", r"quartz_named \* (\d+) %", times=0.01)),
    Told(r"^(\d+) g for 100 g to make the cover thin", formula("melt_soda.computed.1.formula", r"mass \* (\d+) %")),
    Told(r"and ([\d.]+) parts for the quartz",
         formula("melt_soda.computed.1.formula", r"quartz_named \* (\d+) %", times=0.01), calculated=True),
    Told(r"The (\d+) g in 100 g for the pot's sake", formula("silica_lacking.computed.0.formula", r"\+ (\d+) % -")),
    Told(r"roast makes, ([\d.]+) g from 1 g of pyrite", red_oxide, calculated=True),
    Told(r"(?:^|An assay sample gets )(\d+) parts: a standard",
         formula("pouch_collector.cases.1.formula", r"direct_mass \* (\d+)")),
    Told(r"([\d.]+) g or more for each gram", cells("printed_charge", "low", ore="trade", part="soda_ash")),
    Told(r"1 g to ([\d.]+) g for each gram", cells("printed_charge", "low", ore="trade", part="soda_ash")),
    Told(r"sets (\d+) to (\d+) % of it free", cells("collector_kept", "low", "likely", times=100), calculated=True),
    Told(r"^(\d+) g lie thin enough in one dish", formula("more_dishes.formula", r"dry_mass / (\d+) g")),
    Told(r"(?:well over|much over|Well above) (\d+) (?:%|parts)",
         cells("cupel_limits", "value", name="spits_below_gold_percent")),
    Told(r"say (\d+) to 10 %, so the cautious", limit("sulphide_limit_direct", 100)),
    Told(r"[Uu]p to about (\d+) % (?:serve|of sulphide can serve)", limit("sulphide_limit_nitre", 100)),
    Told(r"With (\d+) to (\d+) % of platinum",
         cells("lead_for_other_metals", "share_at_least_percent", "share_at_most_percent", metal="platinum")),
    Told(r"0\.8 g of flour and [^:]* about (\d+) g of lead", flour("likely", 0.8), calculated=True),
    Told(r"If (\d+) parts of flux to 1", cells("correction_matte_fire", "likely", case="slag", what="flux_most_per_g")),
    Told(r"which is (\d+) parts in a million", air("sulphur_dioxide", "shift", body=_NIOSH)),
    Told(r"small closed room (\d+) to (\d+) g of pyrite", around(danger_in_30_m3("pyrite"))),
    Told(r"By arithmetic 1 g in a closed room of 30 cubic metres is (\d+) milligrams",
         fixed(1e3 / 30), calculated=True),
    Told(r"\b(?:to|that|for) 1 g\b", fixed(), ".title"),
    Told(r"([\d.]+) g for each gram of zinc", fixed(1 / mass_fraction("ZnO", "Zn")), calculated=True),
    Told(r"up to 40 % and (\d+) to (\d+) g for 50 to 100 %",
         cells("lead_for_silver_copper", "low", "high", copper_percent=100)),
    Told(r"up to ([\d.]+) % against ([\d.]+) %", gold_with_copper, calculated=True),
    Told(r"twice that at (\d+) % copper", copper_for_twice_the_lead),
    # Minutes, hours and days.
    Told(r"(?:hold it there for about|\bhold|^About|another|quiet for about|practice is about|for some|Count about)"
         rf" {_N} min(?:utes)?", minutes("iron-smelt-full-heat", "likely")),
    Told(rf"practice is about {_N}\.", minutes("iron-smelt-full-heat", "likely")),
    Told(rf"[Ww]ait (?:(?:one|1) (?:or|to) )?{_N} min(?:utes)?", minutes("iron-smelt-wash-rod", "high")),
    Told(r"\b[Rr]ed(?: heat)?[^.:;]{0,30}? (\d+) to (\d+) min(?:utes)?", preheat("low", "high")),
    Told(r"(\d+) to (\d+) minutes at red heat", preheat("low", "high")),
    Told(rf"\bred for {_N} min(?:utes)?", preheat("high")),
    Told(r"([Tt]en) minutes at red heat drive", preheat("high")),
    Told(rf"(?:[Tt]hen|[Qq]uiet,|[Hh]old|lain quiet for|lain still for|still|lies quiet|last) {_N}"
         rf" min(?:utes)?(?: more| longer|\.| quiet)",
         cells("correction_reheat", "likely", case="any", what="after_quiet_min")),
    Told(r"quiet after (\d+) to (\d+) minutes",
         cells("correction_reheat", "low", "high", case="any", what="whole_time_min")),
    Told(r"another author (\d+) to (\d+) minutes",
         cells("correction_reheat", "low", "high", case="any", what="whole_time_min")),
    Told(rf"{_N} hours are the least on a cupel", formula("hours_for_the_correction.lacking", r"< (\d+) h")),
    Told(rf"{_N} hours are the least; a roast", formula("hours_for_the_second_melt.lacking", r"available < (\d+) h")),
    Told(rf"{_N} minutes is our limit", formula("charge_too_short.signs.1.when", r"minutes_quiet < (\d+) min")),
    Told(rf"{_N} hour is far more than the last film",
         formula("left_too_long.signs.0.when", r"> (\d+) min", times=1 / 60)),
    Told(rf"(?:no sound:|at the earliest after) {_N} h(?:ours)?", minutes("leave-cool", "low", times=1 / 60)),
    Told(rf"switched on {_N} min", minutes("weigh-again-level", "low")),
    Told(rf"switched on for a {_N} hour", minutes("weigh-again-level", "low", times=1 / 60)),
    Told(r"(\d+) to (\d+) min(?:utes)?(?: past quiet|, at the most 50)", minutes("matte-heat", "low", "likely")),
    Told(rf"1100 °C(?:,| and hold it) {_N} hour",
         cells("correction_slag_clean", "likely", times=1 / 60, case="any", what="time_min")),
    Told(rf"(?:till liquid,|Hold it) {_N} to {_N} min(?:utes)?",
         cells("correction_borax_clean", "low", "high", case="any", what="time_min")),
    Told(rf"(?:fan|extraction on for) {_N} hour", minutes("finish-cool-everything", "likely", times=1 / 60)),
    Told(r"oil: hold (\d+) to (\d+) min", minutes("melt-sandy-hold", "low", "high")),
    Told(rf"under the same heat, for {_N} minutes", minutes("iron-smelt-full-heat", "likely")),
    Told(rf"Begin a {_N} hour before you pour", minutes("ready-the-mould", "low", times=1 / 60)),
    Told(rf"Rod in, lid on, {_N} hour", minutes("galena-smelt-hold-redness", "low", times=1 / 60)),
    Told(rf"Old assay books take {_N} hour",
         cells("correction_matte_fire", "likely", times=1 / 60, case="fire", what="time_min")),
    Told(rf"(?:second warm rod,|warmed rod and give it) {_N} min(?:utes)?",
         minutes("iron-smelt-test-with-rod", "high")),
    Told(rf"(?:warm place|warm, dry place|stored warm for at least),? ?{_N} days",
         minutes("dry_the_cupels", "low", times=1 / 1440)),
)  # fmt: skip

ON_ITS_OWN = """\
g of lead to 1 g, more than these sulphides alone
13 to 65 micrograms per decilitre
50 micrograms of fine crystalline silica per cubic metre over the shift, action at 25
5 milligrams per cubic metre for the hydrate and 1 for dry borax
110 to 850 micrograms per cubic metre
13,000 micrograms per cubic metre over 38 minutes
1,400 micrograms per cubic metre, pouring pots at 80
0.1 milligrams per cubic metre over the shift
never above 5 parts per million (OSHA)
35 parts per million over the shift and never above 200
5 micrograms per cubic metre over the shift (1992)
3 parts per million of hydrogen fluoride over the shift
from 5 micrograms per decilitre of blood
10 to 19 micrograms per decilitre and for six
above 30 micrograms per decilitre, or two of 20 or more
up to 300 mg only
Of 35.72 mg lost in 13 cupellations 34.56 mg
47 micrograms in the cubic metre
5.2 mg in the cubic metre
30 g of hydrated borax to 60 g of iron oxide and quartz, and 15 g to 20 g of ore
50 g to 60 g of iron oxide and quartz, and 60 g to 20 g of ore
7 g to 60 g of iron oxide and quartz, and 5 g to 20 g of ore
half of the 30 g of hydrated borax that the published charge takes for 30 g
melted with 12 to 30 parts
10 g of quartz to 50 g of oxide
1.2 x 0.083 x 11 is 1.1 g of lead
Raw copper sulphide is given 4 to 6 parts
3 g for 0.3 g
3 g of flour with 80 g of litharge gave 33.5 g of lead, 11.2 g from 1 g. 0.083 g of flour
1.5 g of charcoal with 80 g of litharge gave 34.0 g of lead, 22.6 g from 1 g. 0.042 g of charcoal
with 5 to 30 g of nitre to 100 g
each gram wants 2 grams of soda
Each gram of sand left in the batch needs 2 to 4 grams of flux
brought 98 %
with mercury 88 %
10 to 12 g of iron sulphide
10 to 12 g in a slag of 50 g
with 20 g of ore and trial melts
300 to 1700 g in a tonne
about 1700 g per tonne
20 g of dried sand
A trial pan of 20 g
from the same 20 g
Weigh out 20 g dry
Take 20 g dry
If 20 g gives too little gold to weigh, pan 200 g
Pan 200 g and weigh
send 50 g, cold and closed
about 100 g in all
pots of about 100 g
gold are in 100 g of the dry concentrate
Per cent is grams in 100 g
300 g per tonne is 0.03 %
1 % is 10 g in a kilogram, and 0.03 % is 0.3 g in a kilogram (300 g per tonne)
1 % is 10 g in 1000 g; 300 g per tonne is 0.3 g in 1000 g
750 means 750 g of gold in 1000 g
900 means 900 g of gold in 1000 g
lead out of 100 g of the batch
for each 100 g of the batch
As little as 0.02 % makes coin gold crack, 0.15 % is felt
between the grains; 0.025 % is enough
0.025 % makes it extremely brittle
about 50 % gold can hide
45 to 72 parts of lead in a hundred
Native gold often holds 5 to 20 %
thorium, often 5 to 12 parts in 100
given.litharge=60g
grams=35g
A book takes 40 g of soda for 20 g of ore
under 1 g for each gram
shows 12.34 g has steps of 0.01 g
shows 0.01 g has steps of 0.01 g
the step - 0.01, 0.1 or 1 g
for the bead: 0.01 g, for small beads 0.001 g
few grams of gold wants 0.01 g
hundredth of 10 g of flux. The bead itself should be weighed to 0.01 g
some 40 % of its weight
within about 5 parts in a thousand
5 to 50 parts in a thousand lower
more than 50 parts in a thousand lower
drank 50 g of lead with 30 g each of soda (bicarbonate) and borax
10 g litharge, 0.8 g flour, 2.5 g soda
10 g of litharge, 0.8 g of flour and 2.5 g of soda ash and borax
to 30 g (weighed before the roast) 30 g each
1 g of gold with 20 g of lead lost
dry sand is about 1.5 g per ml
1.5 g of sand is 1 ml
1 ml holds about 11 g of lead or 10 g of bismuth
1 % of closed pores
1 % of quartz by weight
0.1 to 0.5 % lighter
sand gold lose 2 to 10 %
a twelfth of the weight, 8 g to 100 g
cupel 10 g alone
cupel 10 g of bismuth alone
Cupel 10 g of it by itself
cupel 10 g of the metal by itself
cupel 50 g of lead alone
cupel 50 g of the lead in two or three lots. From litharge: melt 100 g with 10 to 20 g of borax and 2 g of flour
its own weight of lead, 10 g with 10 g
assay tables ask for 8 parts and more
4 g of flour to 40 g of litharge
Over 5 % off
Less than 5 % away from the plan
5 g of fluorspar helped 20 g of ore
even with 6 parts of borax
own weight of lead, some 20 g each
Each gram wants up to 10 g of lead or bismuth oxide
cupel of 20 g drinks 15 to 20 g of lead
70 % under 0.6 mm, 50 % under 0.3 mm
About 70 % should pass 30 mesh (0.6 mm) and about 50 % should pass
dark room for five minutes
swirl again in ten minutes
the first ten minutes after the button went in
less than about ten minutes ago
the size ten minutes ago
not changed for ten minutes
for the last ten minutes and end it
Ten minutes.
Half an hour and a bag of crumbs
An hour of looking
A cupel, an hour, and
the bismuth, two hours, and
its fume, two hours, and
stays clear, then half an hour
waits five minutes in the heat
Not clear after ten minutes
Not clear in 10 min
five minutes longer after the slag lies quiet
cool for half an hour before the scale
If it fizzes, ten minutes more
{restart_heat_bead}, then 10 min open
open to the air for 10 minutes more
Stir every five minutes
After one to two minutes skim
two weighings ten minutes apart agree
warm it an hour
warmed for an hour
20 minutes of water
a burn for 20 minutes
Cool a burn 20 minutes
running water for 20 minutes
Cool half an hour, covered
for at least half an hour
Half an hour can outdo a furnace shift
1 for 15 minutes (NIOSH)
then every 3 months
every three months after. Doctors ask for three months
no work for one day any more
One measurement is one day
roast half an hour more
roast on for half an hour
bright red in it for half an hour
dry hot sand, three hours and more
Pick an hour when
Foam: back 10 min
put it back for ten minutes
with an hour over
slow first heat, an hour and more
lidded jar 5 min
lidded jar for five minutes
shut jar 5 min
roll it for five minutes
about an hour and a half
28 800 m3 in two hours
a roast in one day in the open
about 1 t of rock an hour
bucket for ten minutes
with 4 % of ash
About 40 % of iron is the assayer's figure
the pure mineral takes 49 %
the grams are to 1 g of it before the roast
less the 4 % that stay in the slag
of 73.3 per cent of lead
without gangue (5 to 10 g of borax)
weighs about 92 g without its gas
of 45 g of the lower oxide
so 26 g of litharge took up the rest
heated in 20 to 40 minutes without running over
one round, to 1 g of the bead
the 10 g of hydrated borax of his charge
runs about half an hour, past quiet, at a low heat; galena 20 minutes
fluorspar 5 g to a charge of 115 g
The grams to 1 g of slag
40 g of litharge and 4 g of flour
50 g of ore weighs about 120 g by calculation
Slag of 20 g of silver ore gets 20 g of litharge and 1 g of charcoal (p. 91); it weighs about 47 g
The share to 1 g of metal
612 g/t if the long ton is meant
nearly 1 g was in the first slag
30 g each of soda (bicarbonate) and hydrated borax, 10 g of fluorspar and 1.5 g of charcoal for 50 g of lead drunk
here worked to 1 g
assay charges of 50 to 350 g
It says nothing below 5 %
4 g of lead for a charge of 0.5 g and 3 g for one of 0.3 g
three times at 40 %, four times above 60 %
10 g of gold and 10 g of silver were cupelled with 10 g of lead each. Copper alone asks for 16 to 18 parts
a body of 20 to 25 g for 15 to 25 g of lead, that is 0.8 to 1.1 g of litharge for 1 g
ordinary cupel holds 15 to 25 g of lead
about 25 minutes for 4 to 6 g of lead (ISO 11426:2014, 7.2.3), about three quarters of an hour
two buttons there, 0.1867 and 0.0110 g; the page itself says that 0.1975 g
written as 0.1 %
up to 0.3 % may be lost
order of lead for 1 g of metal
0.3 g of gold with 10 g of lead and 0.3, 0.6 and 0.9 g of silver (0.157, 0.107 and 0.057 % lost)
1.1 with 0.04 g to 0.5 g of silver up to 1.69 with 0.5 g to 0.1 g
99.85 % of silver on average; up to 1 % of lead is said to be possible
up to 2 % is allowed for
over a quarter of an hour (a ceiling
96 to 97 % of the antimony
5 % off
in µg to 100 g of blood
in a dish, 50 to 300 g. A plant furnace took 8 hours
Assay tables ask for 8 to 10 parts and more
silver table begins at 5 % copper
trial first on about 1 g
for a button of 25 g from
what the button of 3 g weighs beyond 3 g, asks for less: 1 to 2 g less at 9 to 12 g, 5 g less at 21 g
""".splitlines()
"""Figures of substances without a table here, and of what was measured; their sources stand in their rules."""
