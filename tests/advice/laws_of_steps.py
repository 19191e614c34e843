"""Laws of steps, weights and reasons: what is told to be done can be done with what is there, in that order."""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.advice.documents.advice import Advice, MaterialAmount
from advisor.advice.plan.weighing import weight_words
from advisor.units import Range
from tests.advice.printed import rules, scale_step

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
_GEAR = {
    r"\btongs\b": ("tongs", "yes"),
    r"[Ff]ace shield": ("protective_gear", "face shield"),
    r"[Hh]eat gloves": ("protective_gear", "heat gloves"),
    r"[Cc]losed boots": ("protective_gear", "closed boots"),
    r"[Aa]cid-gas mask": ("protective_gear", "acid-gas mask"),
    r"\bmould\b": ("mould", "mould"),
    r"\bmuffle\b": ("heat_sources", "muffle"),
    r"[Rr]oasting dish": ("roasting_dish", "yes"),
}
"""What a step may ask for, by the fact that tells of it and the word of its answer. Lists give an option's label."""
_OTHERWISE = re.compile(r"\b(or|if|If|no|without)\b")
"""A sentence that says how it is done without."""
_COLD = ("prepare", "clean", "dry", "weigh_out", "mix")
_LONGEST_BEFORE_THE_POUR_MIN = 15.0
_CURES = {
    "bismuth-button-is-brittle": ("part-clean-bismuth-button", "part-judge-the-break"),
    "bismuth-needs-a-blank": (
        "test_the_bismuth",
        "smelt-weigh-bismuth",
        "smelt-weigh-bismuth-oxide",
        "cupel-direct-bismuth",
        "split-direct-bismuth",
        "split-direct-bismuth-shared",
        "cupel-direct-reduce-bismuth-oxide",
        "get_bismuth",
        "store-cupels",
    ),
    "hot-end-is-tight": ("cupel-finish-hot", "cupel-direct-finish", "hotter_for_the_cupel", "torch_for_the_finish"),
    "finish-hangs-on-the-torch": ("cupel-finish-hot", "cupel-direct-finish", "torch_for_the_finish"),
    "hydrated-borax-boils-over": ("hydrated-borax",),
    "hydrated-borax-in-a-small-pot": ("hydrated-borax",),
    "hydrated-borax-with-carbonate": ("boil-over",),
    "carbonate-foams-with-nitre": ("boil-over",),
    "too-much-matte": ("part-look-for-matte",),
    "far-too-much-matte": ("part-look-for-matte",),
    "flour-gold-hangs-in-the-slag": ("slag-from-clean-melt", "melt-clean-slag", "weigh-back-slag"),
    "iron-oxide-wants-its-weight-of-borax": ("part-judge-slag",),
    "iron-and-arsenic-make-speiss": ("part-look-for-matte", "part-look-for-speiss"),
    "lead-poisons": ("lead-fume",),
    "lead-cupels-are-hazardous-waste": ("spent-lead-cupels",),
    "smelt-takes-several-shifts": ("hours_for_the_smelt", "several-rounds"),
    "nitre-smelt-in-a-small-pot": ("several-rounds", "nitre-run-out"),
    "roast-blows-fine-gold-away": ("roast-spread", "roast-stir", "roast-dust"),
}
"""What is done against what speaks against the way chosen: steps, hazards, expectations or what comes first."""


def every_weighed_material_has_a_step(advice: Advice) -> Iterator[str]:
    """Whoever weighs it must be told what to do with it."""
    used = {name for step in advice.steps for name in step.uses}
    yield from (f"{name} is weighed and no step uses it" for name in advice.amounts if name not in used)


def no_step_uses_what_is_not_weighed(advice: Advice) -> Iterator[str]:
    """A step asks for nothing that is not in the weigh-out list."""
    for step in advice.steps:
        yield from (f"{step.id} uses {name}, not weighed" for name in step.uses if name not in advice.amounts)


def no_step_says_nought(advice: Advice) -> Iterator[str]:
    """Nobody is told to weigh 0 g, to fill 0 pots, or to get 0 g more."""
    texts = [(step.id, text) for step in advice.steps for text in (step.do, step.brief or "", step.look_for or "")]
    texts += [(one.id, one.do) for one in advice.first]
    for name, text in texts:
        yield from (f"{name}: {found.group()}" for found in _NOUGHT.finditer(text))


def a_weight_is_the_same_in_list_and_step(advice: Advice) -> Iterator[str]:
    """The step that weighs a material names the grams of the weigh-out list."""
    for step in advice.steps:
        if step.stage == "weigh_out" and len(step.uses) == 1 and step.do.startswith("Weigh "):
            amount = advice.amounts.get(step.uses[0])
            if amount is not None and (words := _words(amount)) not in step.do:
                yield f"{step.id} does not say {words}"


def weights_are_what_the_scale_can_show(advice: Advice) -> Iterator[str]:
    """Each figure to weigh is above nought and a whole number of steps of the scale; of a rod a number of grams."""
    scale = scale_step(advice)
    for name, amount in advice.amounts.items():
        step = 1.0 if amount.at_least else scale
        if amount.likely_g <= 0:
            yield f"{name} is weighed as {amount.likely_g} g"
        elif step and abs(amount.likely_g - round(amount.likely_g / step) * step) > 0.0006 * amount.likely_g:
            yield f"{name}: {amount.likely_g} g on a scale of {step} g"


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


def no_step_needs_gear_that_is_lacking(advice: Advice) -> Iterator[str]:
    """What a step takes in the hand is in the room, or stands under FIRST."""
    answers = {a.fact: a.value for a in advice.answers if a.origin != "not known"}
    mended = {rules().variables[v].name for one in advice.first for v in _lacking(one.id)}
    for step in advice.steps:
        for words, (fact, wanted) in _GEAR.items():
            asked = fact in answers and wanted not in answers[fact] and fact not in mended
            for sentence in re.split(r"[.;] ", step.do) if asked else ():
                if re.search(words, sentence) and not _OTHERWISE.search(sentence):
                    yield f"{step.id} asks for {wanted} of {fact}: {answers[fact]}"


def _lacking(preparation: str) -> frozenset[int]:
    return frozenset(rules().preparations[preparation].lacking.variables)


def what_is_not_on_the_shelf_is_marked_or_first(advice: Advice) -> Iterator[str]:
    """What is weighed lies on the shelf; or something under FIRST gets it, and the list says how much is to get."""
    shelf = next((a.value.split(", ") for a in advice.answers if a.fact == "reagents" and a.origin == "given"), None)
    labels = rules().facts["reagents"].entry.options
    mended = {rules().variables[v].name for one in advice.first for v in _lacking(one.id)}
    for name, amount in advice.amounts.items():
        there = _stock_g(advice, name)
        if shelf is not None and name in labels and labels[name].label not in shelf:
            if "reagents" not in mended:
                yield f"{name} is weighed, not on the shelf, and nothing under FIRST gets it"
            there = 0.0
        lacking = 0.0 if there is None else max(0.0, amount.likely_g - there)
        if abs(amount.to_get_g - lacking) > 0.001 * amount.likely_g + scale_step(advice):
            yield f"{name}: {lacking} g lacking, {amount.to_get_g} g marked to get"


def _stock_g(advice: Advice, material: str) -> float | None:
    fact = rules().materials[material].entry.stock
    value = next((a.value for a in advice.answers if a.fact == fact and a.origin == "given"), "")
    found = re.fullmatch(r"([\d.]+) (kg|g|mg)", value)
    return None if found is None else float(found.group(1)) * {"kg": 1000.0, "g": 1.0, "mg": 0.001}[found.group(2)]


def a_reason_that_is_shown_is_true(advice: Advice) -> Iterator[str]:
    """No argument speaks whose condition fails, and no test is shown to hold that was answered otherwise."""
    for decision in advice.decisions:
        for option in decision.options:
            yield from (
                f"{note.id} speaks for {option.id} and fails" for note in option.arguments if note.truth == "fails"
            )
    shelf = next((a.value for a in advice.answers if a.fact == "reagents" and a.origin == "given"), None)
    for step in advice.steps:
        for said in re.findall(r"You have no (litharge|iron|nitre|soda ash)\b", f"{step.do} {step.reason or ''}"):
            if shelf is not None and said in shelf.split(", "):
                yield f"{step.id} says there is no {said}, and there is"
        for said in re.findall(r"You have (litharge|bismuth oxide) but no", step.do):
            if shelf is not None and said not in shelf.split(", "):
                yield f"{step.id} says there is {said}, and there is none"


def what_cools_is_made_ready_before_its_use(advice: Advice) -> Iterator[str]:
    """Gear goes on after all cold work; the mould is warmed, and the cupels are heated, directly before their use."""
    place = {step.id: number for number, step in enumerate(advice.steps)}
    for gear in ("put-on-gear", "fit-the-mask"):
        later = [s for s in advice.steps[place[gear] :] if s.stage in _COLD] if gear in place else []
        yield from (f"{gear} before {step.id}" for step in later)
    poured = [n for name, n in place.items() if name in ("pour-into-cone", "pour-clean-melt")]
    if poured and "ready-the-mould" in place:
        between = advice.steps[place["ready-the-mould"] + 1 : poured[0]]
        minutes = sum(s.time_min.likely for s in between if s.time_min)
        if place["ready-the-mould"] > poured[0] or minutes > _LONGEST_BEFORE_THE_POUR_MIN:
            yield f"the mould is warmed {minutes} min before the pour"
    charged = [n for name, n in place.items() if name in ("cupel-charge-button", "cupel-direct-charge")]
    if charged and "cupel-heat-cupels" in place:
        between = advice.steps[place["cupel-heat-cupels"] : charged[0]]
        yield from (f"{s.id} between hot cupels and the charge" for s in between if s.stage in _COLD)


def what_speaks_against_the_way_has_its_cure(advice: Advice) -> Iterator[str]:
    """What speaks against what was chosen is met by a step, a control or something that comes first."""
    there = {step.id for step in advice.steps} | {one.id for one in advice.first}
    there |= {hazard.id for hazard in advice.hazards} | {note.id for note in advice.expectations}
    for decision in advice.decisions:
        for option in decision.options:
            for note in option.arguments if option.id == decision.chosen else ():
                cures = _CURES.get(note.id, ())
                takes = re.match(r"(.+)-takes-longer-\d+$", note.id)
                if takes:
                    cures = (takes.group(1).replace("-", "_"),)
                if note.says == "against" and note.truth == "holds" and cures and not there & set(cures):
                    yield f"{note.id} against {option.id}: none of {', '.join(cures)}"


def _words(amount: MaterialAmount) -> str:
    return weight_words(Range(amount.low_g, amount.likely_g, amount.high_g))


LAWS = (
    every_weighed_material_has_a_step,
    no_step_uses_what_is_not_weighed,
    no_step_says_nought,
    a_weight_is_the_same_in_list_and_step,
    weights_are_what_the_scale_can_show,
    what_is_weighed_brings_its_dangers,
    an_act_brings_its_dangers,
    no_step_needs_gear_that_is_lacking,
    what_is_not_on_the_shelf_is_marked_or_first,
    a_reason_that_is_shown_is_true,
    what_cools_is_made_ready_before_its_use,
    what_speaks_against_the_way_has_its_cure,
)
