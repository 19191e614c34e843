"""Laws of masses, hours and limits: what goes in comes out, and each figure is told once."""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.advice.documents.advice import Advice
from advisor.present.screens.first import comes_out
from tests.advice.printed import figures, rules, scale_step

_REDUCERS = ("flour", "charcoal")
_ROOM_FOR_ROUNDING = 0.015
_COLLECTORS = {"lead": 1.0772, "bismuth": 1.1148}
"""Grams of oxide from 1 g of metal: PbO over Pb, Bi2O3 over 2 Bi."""
_FROM_FIGURES = {
    "lead-button": "button_g",
    "bismuth-button": "button_g",
    "slag-of-the-iron-smelt": "slag_g",
    "slag-of-the-nitre-smelt": "slag_g",
    "slag-of-the-roasted-smelt": "slag_g",
    "no-matte-after-iron": "matte_g",
    "rod-loss": "rod_loss_g",
    "cupel-gain-lead": "oxide_g",
    "cupel-gain-bismuth": "oxide_g",
    "gold-left-in-cupels": "gold_loss_g",
}


def masses_balance_in_the_pot(advice: Advice) -> Iterator[str]:
    """What goes into the pot is slag, matte, speiss, button and gas; 1.5 % is room for what stays unused."""
    found = figures(advice)
    if "slag_g" not in found or "in_pot" not in (put := _in_pot(advice)):
        return
    goes_in = sum(put.values()) + found.get("rod_loss_g", (0, 0, 0))[1]
    comes_out = sum(found[name][1] for name in ("slag_g", "matte_g", "speiss_g", "button_g", "gas_g"))
    # Steel in the sand that finds no sulphur stays as it is, and is none of these.
    steel = sum(one.likely for one in _minerals(advice) if one.name == "iron_g")
    # Flour that finds no oxide burns in the air over the pot.
    unused = steel + sum(put.get(reducer, 0.0) for reducer in _REDUCERS)
    if 0 < goes_in - comes_out <= unused + _ROOM_FOR_ROUNDING * goes_in:
        return
    if abs(goes_in - comes_out) > _ROOM_FOR_ROUNDING * goes_in + scale_step(advice):
        yield f"{goes_in:.1f} g go into the pot and {comes_out:.1f} g come out"


def _in_pot(advice: Advice) -> dict[str, float]:
    """Grams of everything that goes into the pot, the sand among it."""
    sand = sum(one.likely for one in _minerals(advice))
    put = {"in_pot": sand} if sand else {}
    for name, amount in advice.amounts.items():
        beside = sum(line.likely_g for line in amount.lines if rules().amounts[line.rule].entry.beside_the_pot)
        if name not in ("iron", "lead_doses") and amount.likely_g > beside:
            put[name] = amount.likely_g - beside
    return put


def _minerals(advice: Advice) -> list:  # type: ignore[type-arg]
    groups = advice.computed.groups if advice.computed else ()
    return [figure for group in groups if group.title == "What is in the concentrate" for figure in group.figures]


def masses_balance_on_the_cupel(advice: Advice) -> Iterator[str]:
    """The metal on the cupel is the bead, what the cupel drinks and what flies off, where no base metal is in it."""
    found = figures(advice)
    metal = advice.collector
    if metal not in _COLLECTORS or f"{metal}_in_all_g" not in found or "oxide_g" not in found:
        return
    cupel = {f.name: f.likely for group in _groups(advice, "Cupel") for f in group.figures}
    if any(f.name == "oxide_g" and " + " in f.how for group in _groups(advice, "Cupel") for f in group.figures):
        return  # Copper and other metals are driven off too.
    driven, flown = found["oxide_g"][1] / _COLLECTORS[metal], found.get(f"{metal}_in_air_g", (0, 0, 0))[1]
    gold = found["bead_g"][1] + found["gold_loss_g"][1]
    if abs(driven + flown - found[f"{metal}_in_all_g"][1]) > 0.02 * found[f"{metal}_in_all_g"][1] + 0.01:
        yield f"{driven + flown:.2f} g of {metal} leave the cupel, {found[f'{metal}_in_all_g'][1]} g lie on it"
    if abs(gold + driven + flown - cupel["button_g"]) > 0.03 * cupel["button_g"] + 0.01:
        yield f"{cupel['button_g']} g on the cupel, {gold:.2f} g of bead and {driven + flown:.2f} g driven off"


def _groups(advice: Advice, title: str) -> list:  # type: ignore[type-arg]
    return [group for group in (advice.computed.groups if advice.computed else ()) if group.title == title]


def what_is_expected_is_what_is_computed(advice: Advice) -> Iterator[str]:
    """What is told among what to expect is the figure of the computation, and lies within it."""
    found = figures(advice)
    for note in advice.expectations:
        figure = found.get(_FROM_FIGURES.get(note.id, ""))
        if figure is None or note.mass_g is None:
            continue
        told, step = note.mass_g.likely, scale_step(advice)
        if abs(told - figure[1]) > 0.01 * figure[1] + step:
            yield f"{note.id}: {told} g expected, {figure[1]} g computed"


def the_gold_is_one_figure(advice: Advice) -> Iterator[str]:
    """No more gold comes out than was reckoned to be in the batch, and what goes into the pot is no other gold."""
    reckoned = advice.quantities.get("gold_mass")
    if reckoned is None:
        return
    step = scale_step(advice)
    in_pot = [one.likely for one in _minerals(advice) if one.name == "gold_g"]
    in_tellurides = sum(0.44 * one.likely for one in _minerals(advice) if one.name == "calaverite_g")
    if in_pot and advice.route != "split" and abs(in_pot[0] - reckoned.likely) > 0.005 * reckoned.likely + step:
        yield f"{in_pot[0]} g of gold in the pot, {reckoned.likely} g in the batch"
    for note in advice.expectations:
        if (
            note.id.startswith("bead-")
            and note.mass_g
            and note.mass_g.likely > (reckoned.likely + in_tellurides) * 1.02 + step
        ):
            yield f"{note.id}: {note.mass_g.likely} g out of {reckoned.likely} g"


def soda_that_is_bound_is_not_called_free(advice: Advice) -> Iterator[str]:
    """The soda called free is no more than what is weighed, and where none is free no sentence speaks of it."""
    found = figures(advice)
    if "free_soda_g" not in found:
        return
    weighed = advice.amounts["soda_ash"].likely_g if "soda_ash" in advice.amounts else 0.0
    if found["free_soda_g"][1] > weighed + scale_step(advice):
        yield f"{found['free_soda_g'][1]} g of soda free of {weighed} g weighed"
    for group in advice.computed.groups if advice.computed else ():
        for remark in group.said:
            told = re.search(r"About ([\d.]+) g of the soda stays free", remark.text)
            if told and abs(float(told.group(1)) - found["free_soda_g"][1]) > 0.01 * found["free_soda_g"][1] + 0.01:
                yield f"{told.group()}, {found['free_soda_g'][1]} g computed"
            if "so much soda is free" in remark.text and found["free_soda_g"][1] <= 0:
                yield "soda is called free, and none is"


def a_limit_holds_beside_its_figure(advice: Advice) -> Iterator[str]:
    """The pots hold the charge below their fill line, and the cupels what is to be drunk."""
    pots, volume = advice.quantities.get("pot_count"), advice.quantities.get("charge_volume")
    pot_ml = _answer_ml(advice, "crucible_volume")
    if pots and volume and pot_ml:
        fill = 0.5 if "nitre" in advice.amounts else rules().thresholds["crucible_fill"].amount.high
        held = pots.likely * max(pot_ml, 30.0) * fill
        if volume.likely > held * 1.01:
            yield f"{volume.likely} ml in {pots.likely} pots that may hold {held:.0f} ml"
    found = figures(advice)
    if "cupel_count" in found and "cupels_needed" in advice.quantities:
        told, counted = advice.quantities["cupels_needed"].likely, found["cupel_count"][1]
        if told != counted:
            yield f"{told} cupels needed, {counted} computed"


def _answer_ml(advice: Advice, fact: str) -> float:
    value = next((a.value for a in advice.answers if a.fact == fact and a.origin != "not known"), "")
    found = re.fullmatch(r"([\d.]+) (ml|l)", value)
    return 0.0 if found is None else float(found.group(1)) * (1000 if found.group(2) == "l" else 1)


def nitre_stays_within_its_limit_and_without_fuel(advice: Advice) -> Iterator[str]:
    """At most 2.5 parts to one of sulphide (Beringer 1904, p. 92), and never beside flour or charcoal in one pot."""
    nitre = advice.amounts.get("nitre")
    if nitre is None:
        return
    yield from (f"{name} beside nitre" for name in _REDUCERS if name in advice.amounts)
    sulphide = advice.quantities.get("sulphide_mass") or advice.quantities.get("nitre_base")
    burning = sum(one.likely for one in _minerals(advice) if one.name.removesuffix("_g") in _burning())
    most = max(burning, sulphide.likely if sulphide else 0.0)
    if nitre.likely_g > 2.5 * most * 1.01 + scale_step(advice):
        yield f"nitre {nitre.likely_g} g for {most} g of sulphide"


def _burning() -> frozenset[str]:
    kinds = {name: mineral.entry.kind for name, mineral in rules().minerals.items()}
    return frozenset(
        name for name, kind in kinds.items() if kind in ("sulphide", "arsenide", "telluride", "sulpharsenide")
    )


def one_button(advice: Advice) -> Iterator[str]:
    """The button is one figure: in the list of what is worked out, in the charge, and on the cupel."""
    found = figures(advice)
    told = advice.quantities.get("button_mass")
    if told is None or "button_g" not in found:
        return
    if abs(told.likely - found["button_g"][1]) > 0.01 * told.likely + scale_step(advice):
        yield f"button {told.likely} g worked out, {found['button_g'][1]} g in the charge"
    (cupel,) = _groups(advice, "Cupel") or [None]
    on_cupel = next((f.likely for f in cupel.figures if f.name == "button_g"), None) if cupel else None
    if on_cupel is None or advice.route in ("split", "cupel_direct"):
        return
    # Lead that copper asks for comes on top, and copper that is counted beside the charge, 1 g in 100 g.
    added = found.get(f"{advice.collector}_to_add_g", (0, 0, 0))[1]
    room = 0.02 * on_cupel + 0.01 * advice.quantities["smelt_mass"].likely + scale_step(advice)
    if abs(on_cupel - added - found["button_g"][1]) > room:
        yield f"button {found['button_g'][1]} g out of the pot, {on_cupel} g on the cupel"


def the_cupel_drinks_the_button(advice: Advice) -> Iterator[str]:
    """The cupel is for the collector that the plan weighs: its oxide over what a cupel takes up, no other amount."""
    told, found = advice.quantities.get("cupel_mass"), figures(advice)
    if told is None or "oxide_g" not in found:
        return
    oxide, step = found["oxide_g"], scale_step(advice)
    if not oxide[0] * 0.99 - step <= told.likely <= oxide[2] * 2.01 + step:
        yield f"cupel of {told.likely} g for {oxide} g of oxide"
    for metal, material in (("lead", ("lead", "litharge", "lead_doses")), ("bismuth", ("bismuth", "bismuth_oxide"))):
        on_cupel = found.get(f"{metal}_in_all_g")
        weighed = sum(advice.amounts[name].high_g for name in material if name in advice.amounts)
        if on_cupel and weighed and on_cupel[1] > weighed + found.get("galena_g", (0, 0, 0))[2] + 0.02:
            yield f"{on_cupel[1]} g of {metal} on the cupel, {weighed} g weighed"


def figures_of_heat_agree(advice: Advice) -> Iterator[str]:
    """A step on the cupel has the heat of the table that the computation shows."""
    found = figures(advice)
    names = {
        "cupel_open_heat": "cupel_open_c",
        "cupel_drive_heat": "cupel_drive_c",
        "cupel_finish_heat": "cupel_finish_c",
    }
    for step in advice.steps:
        heat = rules().steps[step.id].heat
        if heat and step.temperature_c and abs(step.temperature_c.likely - found[names[heat]][1]) > 1:
            yield f"{step.id}: {step.temperature_c.likely} °C, and {found[names[heat]][1]} computed"


def hours_are_the_sum_of_the_plan(advice: Advice) -> Iterator[str]:
    """The hours told are those of what comes first and of the steps that are counted; FIRST parts work by them."""
    if advice.hours is None:
        return
    counted = [s for s in advice.steps if not rules().steps[s.id].entry.not_counted and s.time_min]
    likely = sum(s.time_min.likely for s in counted if s.time_min) / 60
    if advice.hours.likely < likely - 0.01:
        yield f"{advice.hours.likely} h told, {likely} h of steps"
    parts = sum(sitting.hours.likely for sitting in advice.sittings)
    if advice.sittings and abs(parts - advice.hours.likely) > 0.02 * advice.hours.likely + 0.05:
        yield f"{advice.hours.likely} h told, sittings of {parts} h"
    parted = [one.id for one in advice.first if rules().preparations[one.id].entry.parts_the_work]
    if parted and advice.hours_at_hand is not None and advice.hours.high <= advice.hours_at_hand.low:
        yield f"{parted[0]}, and {advice.hours.high} h fit in {advice.hours_at_hand.low} h"
    if not parted and len(advice.sittings) > 1:
        yield f"{len(advice.sittings)} sittings, and nothing under FIRST parts the work"


def what_comes_out_is_told(advice: Advice) -> Iterator[str]:
    """The first screen of a work at the fire names the metal that comes out of it, with its mass."""
    metal = re.search(r", (bead|beads|metal) ([0-9].* g|not told by eye)$", comes_out(advice))
    if advice.hours is not None and any(s.stage in ("pour", "cupel") for s in advice.steps) and metal is None:
        yield f"{advice.route}: {comes_out(advice)!r}"


def what_is_weighed_as_collector_comes_down(advice: Advice) -> Iterator[str]:
    """Of the collector oxide in the pot as much comes down as metal as there is gold to gather, or a tenth of it.

    A charge that keeps copper in its slag has ten times the litharge that it brings down.
    """
    found, put = figures(advice), _in_pot(advice)
    weighed = put.get("litharge", 0.0) + put.get("bismuth_oxide", 0.0)
    least = min(0.1 * weighed, found.get("gold_g", (0.0, 0.0, 0.0))[1])
    if "collector_metal_g" in found and found["collector_metal_g"][1] < least:
        yield f"{weighed} g of oxide weighed, {found['collector_metal_g'][1]} g of metal"


LAWS = (
    masses_balance_in_the_pot,
    masses_balance_on_the_cupel,
    what_is_expected_is_what_is_computed,
    the_gold_is_one_figure,
    soda_that_is_bound_is_not_called_free,
    a_limit_holds_beside_its_figure,
    nitre_stays_within_its_limit_and_without_fuel,
    one_button,
    the_cupel_drinks_the_button,
    figures_of_heat_agree,
    hours_are_the_sum_of_the_plan,
    what_comes_out_is_told,
    what_is_weighed_as_collector_comes_down,
)
