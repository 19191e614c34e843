"""The minerals of a batch as the answers describe them."""

from __future__ import annotations

from advisor.advice.plan.weighing import Weigher, total
from advisor.engine import Conclusions, NotKnown
from advisor.metallurgy.common.rows import number, range_of, text
from advisor.metallurgy.common.tables import Tables
from advisor.metallurgy.concentrate.composition import Concentrate, by_volume_shares
from advisor.metallurgy.concentrate.minerals import mineral_table, seen_by_eye
from advisor.rulebase.model import Several
from advisor.units import Range

_ZERO = Range.exact(0.0)


def minerals_of(weigher: Weigher, tables: Tables) -> Concentrate:
    """The minerals of the batch that the answers describe.

    Shares by eye get the error of an eye; what no answer names counts as quartz, and as what else a table says of it.

    Raises:
        InputError: If the answers make no possible concentrate.
    """
    shares = _named_shares(weigher, tables)
    gold_mass_share = weigher["gold_share"]
    rest = max(0.0, 1.0 - sum(share.likely for share in shares.values()))
    error = range_of(tables.rows("eye_error")[0])
    if rest > 0.0:
        for mineral, part in _parts_of_rest(weigher.conclusions, tables).items():
            shares[mineral] = shares.get(mineral, _ZERO) + seen_by_eye(rest, error) * part
    density = sum(share.likely * tables.once(mineral_table)[name].density.likely for name, share in shares.items())
    named = sum(share.likely for share in shares.values())
    gold = _gold_by_volume(gold_mass_share, density / named, tables.once(mineral_table)["gold"].density.likely)
    scaled = {name: share.scaled((1.0 - gold.likely) / named) for name, share in shares.items()}
    whole = {name: Range(s.low, s.likely, min(1.0, s.high)) for name, s in scaled.items() if s.high > 0}
    return by_volume_shares(tables.once(mineral_table), {**whole, "gold": gold}, weigher["dry_mass"])


def _parts_of_rest(conclusions: Conclusions, tables: Tables) -> dict[str, Range]:
    """The minerals of what no answer names, as parts of it; what is left of it is quartz."""
    rows = tables.rows("rest_as_minerals")
    parts = {
        text(row, "mineral"): range_of(row)
        for row in rows
        if _word(conclusions, text(row, "fact")) == text(row, "value")
    }
    return {**parts, "quartz": (Range.exact(1.0) - total([*parts.values()])).most(_ZERO)}


def _gold_by_volume(share: Range, rest_density: float, gold_density: float) -> Range:
    """Volume share of gold from its share by weight."""

    def by_volume(by_weight: float) -> float:
        volume = by_weight / gold_density
        return volume / (volume + (1.0 - by_weight) / rest_density) if by_weight < 1.0 else 1.0

    return Range(by_volume(share.low), by_volume(share.likely), by_volume(share.high))


def _named_shares(weigher: Weigher, tables: Tables) -> dict[str, Range]:
    """Shares by volume of every mineral that an answer names."""
    error = range_of(tables.rows("eye_error")[0])

    def by_eye(name: str) -> Range:
        share = weigher[name]
        return seen_by_eye(share.likely, error) if share.is_exact else share

    shares: dict[str, Range] = {}

    def add(mineral: str, share: Range) -> None:
        shares[mineral] = shares.get(mineral, _ZERO) + share

    sulphides = by_eye("sulphide_share")
    surely, perhaps = _sulphides(weigher.conclusions, tables)
    several = len(surely) + len(perhaps) > 1
    for mineral in surely:
        add(mineral, Range(0.0 if several else sulphides.low, sulphides.likely / len(surely), sulphides.high))
    for mineral in perhaps:
        likely = 0.0 if surely else sulphides.likely / len(perhaps)
        add(mineral, Range(0.0, likely, sulphides.high))
    counted: dict[str, str] = {}
    for row in tables.rows("shares_as_minerals"):
        # Where the answer is missing the first row stands; all of them together would count the share twice.
        fact = text(row, "if_fact")
        answer = counted.setdefault(fact, _word(weigher.conclusions, fact) or text(row, "if_value"))
        if answer == text(row, "if_value"):
            add(text(row, "mineral"), by_eye(text(row, "fact")).scaled(number(row, "part")))
    for row in tables.rows("answers_as_minerals"):
        if _word(weigher.conclusions, text(row, "fact")) == text(row, "value"):
            add(text(row, "mineral"), range_of(row))
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


def _sulphides(conclusions: Conclusions, tables: Tables) -> tuple[list[str], list[str]]:
    """Sulphide minerals that are surely and that are perhaps there."""
    mineral_of = {text(row, "option"): text(row, "mineral") for row in tables.rows("sulphides_as_minerals")}
    answer = conclusions.answers.get("sulphide_minerals")
    if not isinstance(answer, Several):
        return [mineral_of["not_known"]], []
    surely = [mineral_of[option] for option in sorted(answer.present)]
    perhaps = [mineral_of[option] for option in sorted(answer.unsure)]
    return (surely, perhaps) if surely or perhaps else ([mineral_of["not_known"]], [])
