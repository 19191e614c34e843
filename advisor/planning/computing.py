"""The computation for one batch: its minerals, its charge, roast, cupel and fume, beside the rule of thumb."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.errors import InputError
from advisor.inference.answers import NotKnown
from advisor.inference.conclusions import Conclusions
from advisor.knowledge.conditions import FAILS
from advisor.knowledge.rulebase import Several
from advisor.measures import Range
from advisor.metallurgy.charge import Assessment, ChargePlan, Place, assess_charge, plan_charge
from advisor.metallurgy.charge_melt import Charge
from advisor.metallurgy.charge_weights import Wish
from advisor.metallurgy.concentrate import Concentrate, by_volume_shares, roasted
from advisor.metallurgy.figures import Figure
from advisor.metallurgy.minerals import seen_by_eye
from advisor.metallurgy.roasting import RoastRefused, plan_roast
from advisor.metallurgy.rows import number, text, three
from advisor.planning.advice import Computed, Difference, Span
from advisor.planning.weighing import Weigher
from advisor.reckoning.book import Book
from advisor.reckoning.charges import outcome_groups
from advisor.reckoning.concentrates import concentrate_group
from advisor.reckoning.document import Citer, Group, Said
from advisor.reckoning.roasts import charge_from, refused_group, roast_groups

_ZERO = Range.exact(0.0)
_COLLECTORS = ("litharge", "lead", "bismuth_oxide", "bismuth")


@dataclass(slots=True)
class Computation:
    """What is computed for one batch, and the pieces that other computations build on.

    Attributes:
        concentrate: What goes into the pot.
        thumb: The rule-of-thumb charge judged by the computation.
        plan: The computed charge.
        roast_so2_g: Sulphur dioxide of a roast before the smelt, in g.
    """

    concentrate: Concentrate
    thumb: Assessment
    plan: ChargePlan
    roast_so2_g: Range = _ZERO


def minerals_of(weigher: Weigher, book: Book) -> Concentrate:
    """The minerals of the batch that the answers describe.

    Shares by eye get the error of an eye; what no answer names counts as quartz.

    Raises:
        InputError: If the answers make no possible concentrate.
    """
    shares = _named_shares(weigher, book)
    gold_mass_share = weigher["gold_share"]
    rest = max(0.0, 1.0 - sum(share.likely for share in shares.values()))
    error = three(book.rows("eye_error")[0])
    if rest > 0.0:
        quartz = shares.get("quartz", _ZERO)
        shares["quartz"] = quartz + seen_by_eye(rest, error)
    density = sum(share.likely * book.minerals[name].density.likely for name, share in shares.items())
    total = sum(share.likely for share in shares.values())
    gold = _gold_by_volume(gold_mass_share, density / total, book.minerals["gold"].density.likely)
    scaled = {name: share.scaled((1.0 - gold.likely) / total) for name, share in shares.items()}
    whole = {name: Range(s.low, s.likely, min(1.0, s.high)) for name, s in scaled.items() if s.high > 0}
    return by_volume_shares(book.minerals, {**whole, "gold": gold}, weigher["dry_mass"])


def _gold_by_volume(share: Range, rest_density: float, gold_density: float) -> Range:
    """Volume share of gold from its share by weight."""

    def by_volume(by_weight: float) -> float:
        volume = by_weight / gold_density
        return volume / (volume + (1.0 - by_weight) / rest_density) if by_weight < 1.0 else 1.0

    return Range(by_volume(share.low), by_volume(share.likely), by_volume(share.high))


def _named_shares(weigher: Weigher, book: Book) -> dict[str, Range]:
    """Shares by volume of every mineral that an answer names."""
    error = three(book.rows("eye_error")[0])

    def by_eye(name: str) -> Range:
        share = weigher[name]
        return seen_by_eye(share.likely, error) if share.is_exact else share

    shares: dict[str, Range] = {}

    def add(mineral: str, share: Range) -> None:
        shares[mineral] = shares.get(mineral, _ZERO) + share

    sulphides = by_eye("sulphide_share")
    surely, perhaps = _sulphides(weigher.conclusions, book)
    several = len(surely) + len(perhaps) > 1
    for mineral in surely:
        add(mineral, Range(0.0 if several else sulphides.low, sulphides.likely / len(surely), sulphides.high))
    for mineral in perhaps:
        likely = 0.0 if surely else sulphides.likely / len(perhaps)
        add(mineral, Range(0.0, likely, sulphides.high))
    for row in book.rows("shares_as_minerals"):
        answer = _word(weigher.conclusions, text(row, "if_fact"))
        if answer in (None, text(row, "if_value")):
            add(text(row, "mineral"), by_eye(text(row, "fact")).scaled(number(row, "part")))
    for row in book.rows("answers_as_minerals"):
        if _word(weigher.conclusions, text(row, "fact")) == text(row, "value"):
            add(text(row, "mineral"), three(row))
    add("quartz", by_eye("quartz_share"))
    return {name: share for name, share in shares.items() if share.high > 0}


def _word(conclusions: Conclusions, fact: str) -> str | None:
    """An answer as a word; None when it is not known."""
    answer = conclusions.answers.get(fact)
    if answer is None or isinstance(answer, NotKnown):
        return None
    if isinstance(answer, bool):
        return "yes" if answer else "no"
    return str(answer)


def _sulphides(conclusions: Conclusions, book: Book) -> tuple[list[str], list[str]]:
    """Sulphide minerals that are surely and that are perhaps there."""
    mineral_of = {text(row, "option"): text(row, "mineral") for row in book.rows("sulphides_as_minerals")}
    answer = conclusions.answers.get("sulphide_minerals")
    if not isinstance(answer, Several):
        return [mineral_of["not_known"]], []
    surely = [mineral_of[option] for option in sorted(answer.present)]
    perhaps = [mineral_of[option] for option in sorted(answer.unsure)]
    return (surely, perhaps) if surely or perhaps else ([mineral_of["not_known"]], [])


def compute(weigher: Weigher, book: Book) -> Computation | None:
    """The charge of this batch, computed and judged; None for routes that smelt nothing.

    Raises:
        InputError: If the answers make no possible charge.
    """
    conclusions = weigher.conclusions
    methods = {text(row, "route"): text(row, "method") for row in book.rows("routes_as_methods")}
    method = methods.get(conclusions.rulings["route"].chosen)
    if method is None:
        return None
    raw = minerals_of(weigher, book)
    concentrate = roasted(raw, book.minerals, book.rows("roasting")) if method == "roast" else raw
    in_pot = weigher["smelt_mass"].likely or weigher["direct_mass"].likely or raw.dry_mass_g.likely
    if method != "roast":
        concentrate = concentrate.scaled(in_pot / concentrate.dry_mass_g.likely)
    place = Place(crucible_ml=weigher["crucible_volume"].likely)
    reagents = {name: weigher[name] for name in book.charge.reagents if name in conclusions.rule_base.materials}
    given = {name: amount for name, amount in reagents.items() if amount.high > 0}
    rod = weigher["iron"] if method == "iron" and weigher["iron"].high > 0 else None
    thumb = assess_charge(Charge(method, concentrate, given, rod), book.charge, place)
    plan = plan_charge(concentrate, _wish(conclusions, method, given), book.charge, place)
    return Computation(concentrate, thumb, plan)


def _wish(conclusions: Conclusions, method: str, given: dict[str, Range]) -> Wish:
    collector = next((name for name in _COLLECTORS if name in given), "none")
    borax = "borax_decahydrate" if "borax_decahydrate" in given else "borax_anhydrous"
    reagents = conclusions.answers.get("reagents")
    at_hand = reagents.present if isinstance(reagents, Several) else frozenset()
    reductant = "charcoal" if "charcoal" in at_hand and "flour" not in at_hand else "flour"
    return Wish(method, collector=collector, borax=borax, reductant=reductant)


def weights_to_take(computation: Computation, weigher: Weigher, book: Book) -> dict[str, Figure]:
    """The computed weight of each material that the plan takes in place of the rule of thumb.

    Nitre, flour or charcoal that the computation does not ask for get a figure of zero. Silica keeps its rule of
    thumb, since what no answer names was counted as quartz and may be something else.
    """
    route = weigher.conclusions.rulings["route"].chosen
    everything = text(book.row("routes_as_methods", "route", route), "weigh") == "all"
    computed = {figure.name.removesuffix("_g"): figure for figure in computation.plan.weigh}
    rod = next((figure for figure in computation.plan.outcome.figures if figure.name == "iron_rod_g"), None)
    if rod is not None:
        computed["iron"] = rod
    taken: dict[str, Figure] = {}
    for name in weigher.conclusions.rule_base.materials:
        reagent = book.charge.reagents.get(name)
        flux = name == "iron" or (reagent is not None and reagent.family in ("borax", "soda", "silica", "oxidant"))
        if not (flux or everything):
            continue
        if name in computed:
            taken[name] = computed[name]
        elif reagent is not None and reagent.family in ("oxidant", "reductant") and weigher[name].high > 0:
            title = f"{reagent.title}, not needed"
            taken[name] = Figure(
                f"{name}_g", title, _ZERO, "g", "the minerals of this batch ask for none", "calculation"
            )
    return taken


def with_computed_weights(thumb: Weigher, book: Book) -> Weigher:
    """A weigher in which computed weights stand in place of the rule of thumb, where there are any."""
    computation, _ = computed_or_why_not(thumb, book)
    if computation is None:
        return thumb
    weigher = Weigher(thumb.conclusions, assumed=thumb.assumed, computed=weights_to_take(computation, thumb, book))
    _choose_larger_cupel(weigher, book, computation)
    return weigher


_CUPEL_MASS = "cupel_mass"


def _choose_larger_cupel(weigher: Weigher, book: Book, computation: Computation) -> None:
    """Where the computed cupel is larger than that of the rule of thumb, the plan speaks of the larger one."""
    from advisor.planning.after_the_pot import cupellation_of

    if _CUPEL_MASS not in weigher.conclusions.rule_base.quantities:
        return
    try:
        plan = cupellation_of(weigher, book, computation)
    except InputError:
        return
    if plan is not None:
        weigher.known[_CUPEL_MASS] = weigher[_CUPEL_MASS].most(plan.cupel_mass.amount)


def differences(computation: Computation, weigher: Weigher, book: Book, citer: Citer) -> tuple[Difference, ...]:
    """Where rule of thumb and computation lie apart by more than their ranges."""
    materials = weigher.conclusions.rule_base.materials
    computed = {figure.name: figure.amount for figure in computation.plan.weigh}
    computed["iron_g"] = next((f.amount for f in computation.plan.outcome.figures if f.name == "iron_rod_g"), _ZERO)
    found = []
    for name, material in materials.items():
        thumb, other = weigher[name], computed.get(f"{name}_g", _ZERO)
        if thumb.high < other.low or other.high < thumb.low:
            found.append(
                Difference(
                    material=name,
                    title=material.entry.title,
                    thumb_g=_span(thumb),
                    computed_g=_span(other),
                    reason=_reason(book, name, "more" if thumb.high < other.low else "less"),
                    source=citer.full(str(_reason_row(book, name)["source"])),
                )
            )
    return tuple(found)


def _reason_row(book: Book, material: str) -> dict[str, float | str]:
    rows = {text(row, "material"): row for row in book.rows("thumb_and_computation")}
    return dict(rows.get(material, rows["any"]))


def _reason(book: Book, material: str, side: str) -> str:
    return str(_reason_row(book, material)[side])


def _span(amount: Range) -> Span:
    return Span(low=amount.low, likely=amount.likely, high=amount.high)


def computed_or_why_not(weigher: Weigher, book: Book) -> tuple[Computation | None, str | None]:
    """The computation of the batch, or why there is none."""
    try:
        return compute(weigher, book), None
    except InputError as problem:
        return None, str(problem)


def computed_note(weigher: Weigher, book: Book, citer: Citer) -> Computed | None:
    """The computed part of the advice; None for routes without a pot or a cupel.

    Args:
        weigher: Weights by rule of thumb.
        book: Tables for the computation.
        citer: Writes sources in full.
    """
    from advisor.planning.after_the_pot import cupel_part, fume_parts

    groups: list[Group] = []
    found: tuple[Difference, ...] = ()
    computation, skipped = computed_or_why_not(weigher, book)
    if computation is not None:
        roast = _roast_part(weigher, book, citer)
        groups += [concentrate_group(computation.concentrate, citer), *roast]
        groups += _charge_parts(computation, citer)
        found = differences(computation, weigher, book, citer)
    groups += cupel_part(weigher, book, citer, computation)
    groups += fume_parts(weigher, book, citer, computation)
    if not groups and skipped is None:
        return None
    return Computed(groups=tuple(groups), differences=found, skipped=skipped)


COMPUTED_CHARGE = "What the computed charge does"
THUMB_CHARGE = "What the rule-of-thumb charge would do"


def _charge_parts(computation: Computation, citer: Citer) -> list[Group]:
    """The computed charge in full, and the verdict on the rule of thumb beside it."""
    weigh = Group(title="Charge computed from these minerals", figures=citer.notes(computation.plan.weigh))
    planned = outcome_groups(computation.plan.outcome, citer)[0]
    thumb = outcome_groups(computation.thumb, citer)[0]
    verdicts = tuple(said for said in thumb.said if said.kind in ("verdict", "warning"))
    return [
        weigh,
        Group(title=COMPUTED_CHARGE, figures=planned.figures, said=planned.said),
        Group(title=THUMB_CHARGE, figures=thumb.figures, said=verdicts),
    ]


def _roast_part(weigher: Weigher, book: Book, citer: Citer) -> list[Group]:
    conclusions = weigher.conclusions
    if conclusions.rulings["route"].chosen != "roast_smelt":
        return []
    findings = conclusions.rule_base.findings
    suspected = {
        element
        for element, name in (("As", "arsenic_possible"), ("Hg", "mercury_possible"))
        if name in findings and conclusions.truth(findings[name].condition) != FAILS
    }
    try:
        charge = charge_from(minerals_of(weigher, book))
        plan = plan_roast(charge, minerals=book.minerals, tables=book.roasting, suspected=frozenset(suspected))
    except RoastRefused as refused:
        return [refused_group(refused)]
    except InputError as problem:
        return [Group(title="Roast", said=(Said(kind="warning", text=str(problem)),))]
    return list(roast_groups(plan, citer))
