"""Laws that hold of every advice as it is printed, whatever is answered: ``python -m tests.advice.document_laws``.

Each law looks at the words and figures that a person reads. A breach is told as a sentence.
"""

from __future__ import annotations

import argparse
import re
from collections import Counter
from collections.abc import Callable, Iterator
from multiprocessing import Pool

from advisor.advice.build_advice import build_advice
from advisor.advice.documents.advice import Advice, MaterialAmount
from advisor.advice.plan.weighing import weight_words
from advisor.engine import conclude
from advisor.units import Range
from tests.benchmarks.questions import batch, rules

_REDUCERS = ("flour", "charcoal")
_DANGERS = {
    "litharge": ("litharge-dust-mixing", "lead-fume", "spent-lead-cupels"),
    "lead": ("lead-fume", "spent-lead-cupels"),
    "bismuth": ("bismuth-fume",),
    "bismuth_oxide": ("bismuth-fume",),
    "nitre": ("nitre-with-fuel", "nitre-run-out", "nitrogen-oxides"),
    "silica": ("silica-dust",),
    "borax_decahydrate": ("hydrated-borax",),
    "soda_ash": ("boil-over",),
    "iron": ("iron-in-the-pot",),
}
"""Common practice, no source: the dangers that a material brings by being weighed and melted."""
_OF_THE_ACT = frozenset(
    [
        "grinding-slag",
        "slag-and-water",
        "mould-flare",
        "molten-splash",
        "boil-over",
        "cupel-spitting",
        "heat-and-glare",
        "hot-looks-cold",
        "crucible-failure",
        "moisture-explosion",
        "flux-dust",
        "silica-dust",
        "bead-spits-on-cooling",
    ]
)
"""Dangers of an act as such: who is near, the place and the gear change nothing in them."""
_NOUGHT = re.compile(r"(?<![\d.,])0 (?:g|ml|pieces)\b(?! (?:to|in))")


def every_weighed_material_has_a_step(advice: Advice) -> Iterator[str]:
    """Whoever weighs it must be told what to do with it."""
    used = {name for step in advice.steps for name in step.uses}
    yield from (f"{name} is weighed and no step uses it" for name in advice.amounts if name not in used)


def no_step_uses_what_is_not_weighed(advice: Advice) -> Iterator[str]:
    """A step asks for nothing that is not in the weigh-out list."""
    for step in advice.steps:
        yield from (f"{step.id} uses {name}, not weighed" for name in step.uses if name not in advice.amounts)


def no_step_says_nought(advice: Advice) -> Iterator[str]:
    """Nobody is told to weigh 0 g, or to fill 0 pots."""
    for step in advice.steps:
        for text in (step.do, step.brief or "", step.look_for or ""):
            yield from (f"{step.id}: {found.group()}" for found in _NOUGHT.finditer(text))


def a_weight_is_the_same_in_list_and_step(advice: Advice) -> Iterator[str]:
    """The step that weighs a material names the grams of the weigh-out list."""
    for step in advice.steps:
        if step.stage == "weigh_out" and len(step.uses) == 1 and step.do.startswith("Weigh "):
            amount = advice.amounts.get(step.uses[0])
            if amount is not None and (words := _words(amount)) not in step.do:
                yield f"{step.id} does not say {words}"


def weights_are_what_the_scale_can_show(advice: Advice) -> Iterator[str]:
    """Each figure to weigh is above nought and a whole number of steps of the scale."""
    step = rules_step(advice)
    for name, amount in advice.amounts.items():
        if amount.likely_g <= 0:
            yield f"{name} is weighed as {amount.likely_g} g"
        elif step and abs(amount.likely_g - round(amount.likely_g / step) * step) > 0.0006 * amount.likely_g:
            yield f"{name}: {amount.likely_g} g on a scale of {step} g"


def hours_are_the_sum_of_the_plan(advice: Advice) -> Iterator[str]:
    """The hours told are those of what comes first and of the steps that are counted."""
    if advice.hours is None:
        return
    counted = [s for s in advice.steps if not rules().steps[s.id].entry.not_counted and s.time_min]
    likely = sum(s.time_min.likely for s in counted if s.time_min) / 60
    if advice.hours.likely < likely - 0.01:
        yield f"{advice.hours.likely} h told, {likely} h of steps"
    parts = sum(sitting.hours.likely for sitting in advice.sittings)
    if advice.sittings and abs(parts - advice.hours.likely) > 0.02 * advice.hours.likely + 0.05:
        yield f"{advice.hours.likely} h told, sittings of {parts} h"


def nitre_stays_within_its_limit_and_without_fuel(advice: Advice) -> Iterator[str]:
    """At most 2.5 parts to one of sulphide (Beringer 1904, p. 92), and never beside flour or charcoal in one pot."""
    nitre = advice.amounts.get("nitre")
    if nitre is None:
        return
    yield from (f"{name} beside nitre" for name in _REDUCERS if name in advice.amounts)
    sulphide = _figures(advice).get("sulphides_g")
    if sulphide and nitre.high_g > 2.5 * sulphide[2] * 1.01 + rules_step(advice):
        yield f"nitre up to {nitre.high_g} g for at most {sulphide[2]} g of sulphide"


def one_button(advice: Advice) -> Iterator[str]:
    """The button is one figure: in the list of what is worked out, in the charge, and on the cupel."""
    figures = _figures(advice)
    told = advice.quantities.get("button_mass")
    if told is None or "button_g" not in figures:
        return
    if abs(told.likely - figures["button_g"][1]) > 0.01 * told.likely:
        yield f"button {told.likely} g worked out, {figures['button_g'][1]} g in the charge"


def the_cupel_drinks_the_button(advice: Advice) -> Iterator[str]:
    """The cupel is for the collector that the plan weighs: its oxide over what a cupel takes up, no other amount."""
    told, figures = advice.quantities.get("cupel_mass"), _figures(advice)
    if told is None or "oxide_g" not in figures:
        return
    oxide = figures["oxide_g"]
    if not oxide[0] * 0.99 <= told.likely <= oxide[2] * 2.01:
        yield f"cupel of {told.likely} g for {oxide} g of oxide"
    for metal, material in (("lead", ("lead", "litharge", "lead_doses")), ("bismuth", ("bismuth", "bismuth_oxide"))):
        on_cupel = figures.get(f"{metal}_in_all_g")
        weighed = sum(advice.amounts[name].high_g for name in material if name in advice.amounts)
        if on_cupel and weighed and on_cupel[1] > weighed + figures.get("galena_g", (0, 0, 0))[2] + 0.02:
            yield f"{on_cupel[1]} g of {metal} on the cupel, {weighed} g weighed"


def figures_of_heat_agree(advice: Advice) -> Iterator[str]:
    """A step on the cupel has the heat of the table that the computation shows."""
    figures = _figures(advice)
    for step in advice.steps:
        heat = rules().steps[step.id].heat
        name = {
            "cupel_open_heat": "cupel_open_c",
            "cupel_drive_heat": "cupel_drive_c",
            "cupel_finish_heat": "cupel_finish_c",
        }
        if heat and step.temperature_c and abs(step.temperature_c.likely - figures[name[heat]][1]) > 1:
            yield f"{step.id}: {step.temperature_c.likely} °C, and {figures[name[heat]][1]} computed"


def what_is_weighed_brings_its_dangers(advice: Advice) -> Iterator[str]:
    """Whatever is weighed has its hazards in the advice, on every route and in every melt of a part."""
    attached = {hazard.id for hazard in advice.hazards}
    for material in advice.amounts:
        yield from (f"{material} without {name}" for name in _DANGERS.get(material, ()) if name not in attached)


def an_act_brings_its_dangers(advice: Advice) -> Iterator[str]:
    """A danger that hangs on the act alone is in the advice wherever a step does the act."""
    attached = {hazard.id for hazard in advice.hazards}
    for step in advice.steps:
        rule = rules().steps[step.id]
        for name in (*rule.entry.hazards, *(brought for brought, given in rule.brings if given is None)):
            if name in _OF_THE_ACT and name not in attached:
                yield f"{step.id} without {name}"


LAWS: tuple[Callable[[Advice], Iterator[str]], ...] = (
    every_weighed_material_has_a_step,
    no_step_uses_what_is_not_weighed,
    no_step_says_nought,
    a_weight_is_the_same_in_list_and_step,
    weights_are_what_the_scale_can_show,
    hours_are_the_sum_of_the_plan,
    nitre_stays_within_its_limit_and_without_fuel,
    one_button,
    the_cupel_drinks_the_button,
    figures_of_heat_agree,
    what_is_weighed_brings_its_dangers,
    an_act_brings_its_dangers,
)


def breaches(seed: int) -> list[str]:
    """What one drawn batch breaks, each with the law's name."""
    advice = build_advice(conclude(rules(), batch(seed)), look_for_changes=False)
    return [f"{law.__name__}: {said}" for law in LAWS for said in law(advice)]


def _words(amount: MaterialAmount) -> str:
    return weight_words(Range(amount.low_g, amount.likely_g, amount.high_g))


def rules_step(advice: Advice) -> float:
    """The step of the scale in g; 0 where it is not known."""
    answer = next((a.value for a in advice.answers if a.fact == "scale_step" and a.origin == "given"), "")
    found = re.match(r"([\d.]+) (m?g)", answer)
    return 0.0 if found is None else float(found.group(1)) * (0.001 if found.group(2) == "mg" else 1)


def _figures(advice: Advice) -> dict[str, tuple[float, float, float]]:
    found: dict[str, tuple[float, float, float]] = {}
    for group in advice.computed.groups if advice.computed else ():
        for figure in group.figures:
            found.setdefault(figure.name, (figure.low, figure.likely, figure.high))
    return found


def main() -> None:
    """Look at many drawn batches and tell what they break."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--batches", type=int, default=10_000)
    parser.add_argument("--processes", type=int, default=2)
    given = parser.parse_args()
    with Pool(given.processes) as pool:
        broken = pool.map(breaches, range(given.batches), chunksize=25)
    told = Counter(said.split(":")[0] for found in broken for said in found)
    print(f"{given.batches} batches, {sum(map(bool, broken))} with a breach")
    for law, times in told.most_common():
        first = next((seed, said) for seed, found in enumerate(broken) for said in found if said.startswith(law))
        print(f"  {law}: {times}; batch {first[0]}: {first[1]}")


if __name__ == "__main__":
    main()
