"""The seeded faults for :mod:`tests.proof.mutate`."""

from __future__ import annotations

from tests.proof.mutate import Mutation

_STOP = "arguments/route-stop.yaml"
_FIRE = "arguments/route-fire.yaml"
_COLLECTOR = "arguments/collector.yaml"
_NITRE = "arguments/route-smelt-nitre.yaml"
_METAL = "hazards/fire-and-metal.yaml"
_FUME = "hazards/fume.yaml"

_RETIRED = "\n    status: retired\n    when:"
_WHEN = "\n    when:"


def _retired(file: str, rule: str) -> Mutation:
    return Mutation(f"argument `{rule}` dropped", file, f"id: {rule}\n", _WHEN, _RETIRED)


def _changed(what: str, file: str, rule: str, old: str, new: str) -> Mutation:
    return Mutation(f"`{rule}`: {what}", file, f"id: {rule}\n", old, new)


def _named(what: str, file: str, name: str, old: str, new: str) -> Mutation:
    return Mutation(f"`{name}`: {what}", file, f"  {name}:\n", old, new)


MUTATIONS: tuple[Mutation, ...] = (
    _retired(_STOP, "mercury-means-stop"),
    _retired(_STOP, "monazite-means-stop"),
    _retired(_STOP, "people-live-here"),
    _retired(_STOP, "children-or-pregnant-near"),
    _retired(_STOP, "learner-alone"),
    _retired(_STOP, "arsenic-without-extraction-or-outlet"),
    _retired(_STOP, "cinnabar-means-stop"),
    _retired(_STOP, "damp-and-not-for-the-pan"),
    _retired(_FIRE, "damp-charge-throws-metal"),
    _retired(_FIRE, "no-hot-work-without-gear"),
    _retired(_FIRE, "fume-must-go-away"),
    _retired(_FIRE, "no-dry-cupel"),
    _retired(_FIRE, "no-lawful-collector"),
    _retired(_FIRE, "arsenic-has-no-place-in-a-small-fire"),
    _retired(_FIRE, "platinum-grains-do-not-melt"),
    _retired(_FIRE, "melt-needs-borax"),
    _retired(_FIRE, "arsenic-is-no-reason-for-a-fire"),
    _retired(_FIRE, "no-source-of-heat"),
    _retired(_COLLECTOR, "lead-licence-not-held"),
    _retired(_COLLECTOR, "lead-without-mask"),
    _retired(_COLLECTOR, "lead-poisons"),
    _retired(_NITRE, "too-much-sulphide-for-nitre"),
    _changed("`not` lost", _FIRE, "no-hot-work-without-gear", "not full_gear", "full_gear"),
    _changed("dry and wet swapped", _FIRE, "damp-charge-throws-metal", "is not dry", "is wet"),
    _changed(
        "`>` made `>=`",
        "arguments/route-cupel-direct.yaml",
        "sulphides-spoil-direct-cupelling",
        "sulphide_share > ",
        "sulphide_share >= ",
    ),
    _changed(
        "`>` made `<`",
        "arguments/route-cupel-direct.yaml",
        "sulphides-spoil-direct-cupelling",
        "sulphide_share > ",
        "sulphide_share < ",
    ),
    _changed(
        "`and` made `or`", _STOP, "arsenic-signs-in-a-closed-room", "arsenic_signs and place", "arsenic_signs or place"
    ),
    _changed(
        "rule out made against", _NITRE, "nitre-burns-graphite", "says: rule_out", "says: against\n    strength: strong"
    ),
    _changed(
        "rule out made for",
        "arguments/route-split.yaml",
        "split-needs-iron",
        "says: rule_out",
        "says: for\n    strength: strong",
    ),
    _changed("one option lost", _FIRE, "no-time-to-smelt", "route.smelt_iron, ", ""),
    _changed("stop swapped for sending out", _STOP, "people-live-here", "about: route.stop", "about: route.send_out"),
    _changed(
        "borax option swapped", "arguments/borax.yaml", "anhydrous-not-at-hand", "borax.anhydrous", "borax.decahydrate"
    ),
    _changed("cupel option swapped", "arguments/cupel.yaml", "cement-not-at-hand", "cupel.cement", "cupel.magnesia"),
    _changed(
        "strong made slight",
        "arguments/route-clean-up.yaml",
        "black-sand-left-in",
        "strength: strong",
        "strength: slight",
    ),
    _changed(
        "strong made slight",
        "arguments/route-melt-clean.yaml",
        "plain-melt-is-no-assay",
        "strength: strong",
        "strength: slight",
    ),
    _changed("fair made strong", _COLLECTOR, "bismuth-and-copper", "strength: fair", "strength: strong"),
    _changed("slight made fair", "arguments/cupel.yaml", "bone-ash-holds-more", "strength: slight", "strength: fair"),
    _named("5 % made 15 %", "thresholds.yaml", "sulphide_limit_direct", "value: 5 %", "value: 15 %"),
    _named("10 % made 35 %", "thresholds.yaml", "sulphide_limit_nitre", "value: 10 %", "value: 35 %"),
    _named("90 % made 60 %", "thresholds.yaml", "gold_share_clean", "value: 90 %", "value: 60 %"),
    _named("3 h made 1 h", "thresholds.yaml", "time_smelt_least", "value: 3 h", "value: 1 h"),
    _named("cinnabar lost", "findings.yaml", "mercury_possible", " or foreign_matter has cinnabar", ""),
    _named("tongs lost", "findings.yaml", "full_gear", " and tongs", ""),
    _named("mask lost", "findings.yaml", "lead_usable", "and\n      protective_gear has fume_mask", ""),
    _named(
        "a closed room counted as open",
        "findings.yaml",
        "fume_goes_away",
        "(outdoors, open_shed)",
        "(outdoors, open_shed, closed_room)",
    ),
    _named("the split forgotten", "findings.yaml", "hot_work", ", split)", ")"),
    _named("tie order turned round", "decisions.yaml", "collector", "[none, bismuth, lead]", "[lead, bismuth, none]"),
    _named("tie order cut short", "decisions.yaml", "cupel", "[none, bone_ash, magnesia, cement]", "[none, bone_ash]"),
    _named(
        "bad route tied first",
        "decisions.yaml",
        "route",
        "[stop, send_out, clean_up, melt_clean",
        "[stop, melt_clean, send_out, clean_up",
    ),
    _named("stop made as good as others", "decisions.yaml", "stop", "base: -100", "base: 0"),
    _named("implied value lost", "facts/danger.yaml", "mercury_test", "value: not_done", "value: clean"),
    _named("implied value turned round", "facts/equipment.yaml", "cupels_dry", "value: no", "value: yes"),
    _changed(
        "open count lost",
        _FUME,
        "lead-fume",
        "when: collector is lead or lead_in_ore",
        "when: collector is lead and lead_in_ore",
    ),
    _changed("attached nowhere near a fire", _FUME, "sulphur-dioxide", "sulphide_share > 0 %", "sulphide_share > 30 %"),
    _changed("the pouch forgotten", _METAL, "moisture-explosion", "when: hot_work", "when: smelts"),
    _changed("flour forgotten", _METAL, "nitre-with-fuel", "(charcoal, flour)", "(charcoal, salt)"),
    _changed("control shown for the wrong borax", _METAL, "boil-over", "borax is decahydrate", "borax is anhydrous"),
    _changed(
        "control for one kind of people only",
        "hazards/place-and-people.yaml",
        "people-downwind",
        "when: people_near is not nobody\n        source",
        "when: people_near is workers\n        source",
    ),
    _changed(
        "shown on every route",
        "steps/smelt-nitre.yaml",
        "nitre-smelt-add-nitre",
        "when: route is smelt_nitre",
        "when: smelts",
    ),
    _changed(
        "lost on a bare floor",
        "steps/prepare.yaml",
        "lay-the-floor",
        "when: hot_work",
        "when: hot_work and floor is bare_concrete",
    ),
    _changed(
        "sent out without a taker",
        "arguments/route-send-out.yaml",
        "nobody-takes-it",
        "not send_out_possible",
        "send_out_possible",
    ),
)
"""Each is one place in one file."""
