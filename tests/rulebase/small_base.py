"""A small invented rule base that tests compile whole, add to, or break in one place."""

from __future__ import annotations

import pytest

from advisor.errors import Fault, FaultyFile
from advisor.rulebase.compiling.compiler import compile_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import merge
from advisor.rulebase.reading.yaml_reader import parse_yaml

BASE = """\
base:
  title: Invented rules
  format: 1
  strengths: {slight: 1, strong: 8}
  groups: {batch: The batch, room: The room}
  stages: {before: Before, fire: Fire, after: After}
sources:
  practice: {kind: practice}
  memory: {kind: memory}
  calculation: {kind: calculation}
  invented-1900: {kind: published, author: A. Nobody, title: Made up for a test, year: 1900}
thresholds:
  share_limit: {value: 5 %, means: most sulphide, reason: invented, source: practice}
  heat_limit: {value: 1100 C, means: least heat, reason: invented, source: practice}
facts:
  wet: {label: wet batch, group: batch, kind: yes_no, ask: Wet?, find_out: Look., explain: Invented.}
  place:
    label: place
    group: room
    kind: choice
    ask: Where?
    find_out: Look around.
    explain: Invented.
    options:
      outdoors: {label: outdoors, means: under the sky}
      shed: {label: open shed, means: a roof and no walls}
      none: {label: no place, means: nowhere to work}
  shelf:
    label: shelf
    group: room
    kind: several
    ask: What is there?
    find_out: Read the labels.
    explain: Invented.
    options:
      soda: {label: soda ash, means: dry}
      nitre: {label: nitre, means: kept apart}
      lead: {label: lead metal, means: clean}
  mass:
    {label: mass, group: batch, kind: quantity, unit: g, least: 1 g, most: 5000 g, ask: How much?,
     find_out: Weigh it., explain: Invented., when_unknown: {low: 10 g, likely: 100 g, high: 1000 g}}
  share:
    {label: sulphide share, group: batch, kind: quantity, unit: "%", least: 0 %, most: 100 %, ask: How much?,
     find_out: Count., explain: Invented., when_unknown: {low: 0 %, likely: 10 %, high: 60 %}}
  heat:
    {label: top heat, group: room, kind: quantity, unit: C, least: 0 C, most: 1600 C, ask: How hot?,
     find_out: Read the dial., explain: Invented., when_unknown: {low: 800 C, likely: 1000 C, high: 1200 C}}
  pots:
    {label: pots, group: room, kind: quantity, unit: pieces, least: 0, most: 10, ask: How many?,
     find_out: Count them., explain: Invented., when_unknown: {low: 0, likely: 1, high: 2}}
  price:
    {label: price of soda, group: room, kind: quantity, unit: money/kg, least: 0, most: 100, ask: How dear?,
     find_out: Read the bill., explain: Invented., when_unknown: {low: 1, likely: 2, high: 3}}
findings:
  rich_in_sulphide: {means: much sulphide, when: share > share_limit}
  hot_enough: {means: hot enough, when: heat >= heat_limit}
materials:
  soda: {title: Soda ash, bulk_density: 1.0 to 1.2 g/ml, price: price, source: practice}
  lead: {title: Lead}
decisions:
  route:
    title: Route
    question: What now?
    fallback: stop
    stops: [stop]
    tie_order: [stop, melt]
    options:
      stop: {title: Stop, summary: No fire., base: -100}
      melt: {title: Melt, summary: Melt it.}
      roast: {title: Roast, summary: Roast it first.}
  vessel:
    title: Vessel
    question: Which vessel?
    fallback: none
    options:
      none: {title: No vessel, summary: None., base: -100}
      pot: {title: Pot, summary: A pot.}
arguments:
  - {id: wet-spits, about: route.melt, says: rule_out, kind: danger, when: wet, reason: Steam.,
     source: practice}
  - {id: sulphide-wants-roast, about: route.roast, says: for, strength: strong, when: rich_in_sulphide,
     reason: It burns off., source: "invented-1900, p. 3"}
  - {id: pot-for-melting, about: vessel.pot, says: for, strength: slight, when: route is melt, reason: It holds heat.,
     source: practice}
acts:
  weigh: {title: weighed out}
  melt: {title: melted}
  pour: {title: poured}
  fire: {title: brought to a fire, of: [melt, pour]}
kinds:
  charge: {title: the charge, weighed: true}
  metal: {title: a metal, of: [lead]}
hazards:
  - {id: steam, title: Steam, severity: grave, when: wet, harm: It burns you., controls: [{do: Dry it.}],
     stop_if: [It hisses.], source: practice}
quantities:
  dry_mass: {title: dry mass, unit: g, formula: mass * 90 %, reason: invented, source: practice}
steps:
  - {id: weigh, stage: before, order: 1, when: route is melt, do: "Weigh {soda} for {dry_mass}.", uses: [soda],
     acts: [weigh soda], hazards: [steam], temperature: 20 C, time: 5 to 10 min, source: practice}
amounts:
  - {id: soda-for-melt, material: soda, when: route is melt, of: dry_mass, parts: {low: 1, likely: 2, high: 3},
     reason: invented, source: practice}
expectations:
  - {id: button, title: Button, when: route is melt, formula: soda * 0.1, looks: Round., source: practice}
referrals:
  - {id: licence, when: shelf has lead, who: The office, decides: Lead, source: practice}
checks:
  - {id: too-much, formula: share + share, at_most: 190 %, say: Check the share.}
"""
"""Base, facts, two decisions in order, and one entry of every other kind; it has no fault."""


def compiled(*texts: str) -> RuleBase:
    """The small rule base with more files beside it; the first one added is called ``more-1.yaml``."""
    documents = [parse_yaml(BASE, "base.yaml")]
    documents += [parse_yaml(text, f"more-{number}.yaml") for number, text in enumerate(texts, 1)]
    return compile_rule_base(merge([("invented rules", documents)]))


def faults_of(*texts: str) -> tuple[Fault, ...]:
    """The faults that the small rule base has with these files added; the test fails when there are none."""
    with pytest.raises(FaultyFile) as caught:
        compiled(*texts)
    return caught.value.faults


def faults_when(old: str, new: str) -> tuple[Fault, ...]:
    """The faults of the small rule base with one piece of its own text exchanged."""
    assert BASE.count(old) == 1, f"{old!r} stands {BASE.count(old)} times in the small rule base"
    with pytest.raises(FaultyFile) as caught:
        compile_rule_base(merge([("invented rules", [parse_yaml(BASE.replace(old, new), "base.yaml")])]))
    return caught.value.faults
