"""The seeded faults for :mod:`tests.proof.mutate`."""

from __future__ import annotations

from tests.proof.mutate import Mutation

_STOP = "arguments/route-stop.yaml"
_FIRE = "arguments/route-fire.yaml"
_COLLECTOR = "arguments/collector.yaml"
_NITRE = "arguments/route-smelt-nitre.yaml"
_MELT = "arguments/route-melt-clean.yaml"
_CUPEL_DIRECT = "arguments/route-cupel-direct.yaml"
_GEAR = "preparations/gear.yaml"
_PLACE = "preparations/place.yaml"
_SAND = "preparations/sand.yaml"
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
    _retired(_STOP, "mercury-was-used-and-nobody-tested"),
    _retired(_STOP, "monazite-means-stop"),
    _retired(_STOP, "people-live-here"),
    _retired(_STOP, "children-or-pregnant-near"),
    _retired(_STOP, "mercury-shows"),
    _retired(_STOP, "arsenic-without-capture-or-outlet"),
    _retired(_STOP, "cinnabar-means-stop"),
    _retired(_STOP, "mercury-was-found"),
    _named("damp sand counted as dry", _SAND, "dry_the_sand", "dryness is not dry", "dryness is wet"),
    _named("arsenic forgotten", _GEAR, "poison_in_the_melt", "arsenic_possible or ", ""),
    _named("galena forgotten", _GEAR, "poison_in_the_melt", "lead_in_ore or ", ""),
    _named("tongs turned round", _GEAR, "get_tongs", "lacking: not tongs", "lacking: tongs"),
    _retired(_FIRE, "fume-stays-in-a-closed-room"),
    _named("magnesia forgotten", "preparations/cupels.yaml", "make_cupels", "(bone_ash, magnesia, cement)", "(cement)"),
    _named(
        "not for a pouch", "preparations/reagents.yaml", "get_bismuth", "wanted: collector is bismuth", "wanted: smelts"
    ),
    _retired(_FIRE, "arsenic-without-licensed-capture"),
    _retired(_MELT, "too-much-slag-without-collector"),
    _named("not for a plain melt", "preparations/reagents.yaml", "get_borax", " or route is melt_clean", ""),
    _retired(_FIRE, "arsenic-is-no-reason-for-a-fire"),
    _named("a bare crucible counted", "preparations/fire.yaml", "get_a_pot", "(none, iron_pot)", "(iron_pot)"),
    _retired(_COLLECTOR, "lead-licence-not-held"),
    _retired(_COLLECTOR, "place-takes-no-lead-fume"),
    _retired(_COLLECTOR, "lead-poisons"),
    _retired(_NITRE, "too-much-sulphide-for-nitre"),
    _named("the mask not asked of the cupel", _GEAR, "get_fume_mask", "melt oxidiser, drive]", "melt oxidiser]"),
    _named("`not` lost", _PLACE, "second_person_comes", "lacking: not second_person", "lacking: second_person"),
    _changed(
        "`>` made `<=`",
        _CUPEL_DIRECT,
        "sulphides-spoil-direct-cupelling",
        "cupel_sulphide_over > ",
        "cupel_sulphide_over <= ",
    ),
    _changed("`>` made `<`", _CUPEL_DIRECT, "sand-crusts-the-cupel", "crust_mass > ", "crust_mass < "),
    _changed(
        "`and` made `or`", _STOP, "arsenic-signs-in-a-closed-room", "arsenic_signs and place", "arsenic_signs or place"
    ),
    _changed(
        "rule out made against",
        _NITRE,
        "too-much-sulphide-for-nitre",
        "says: rule_out\n    kind: danger",
        "says: against\n    strength: strong",
    ),
    _changed(
        "rule out made for",
        "arguments/route-split.yaml",
        "too-little-clean-part",
        "says: rule_out\n    kind: worth",
        "says: for\n    strength: strong",
    ),
    _changed("one option lost", "arguments/worth.yaml", "too-little-gold-in-a-pot", "route.smelt_iron, ", ""),
    _changed("stop swapped for sending out", _STOP, "people-live-here", "about: route.stop", "about: route.send_out"),
    _changed(
        "borax option swapped",
        "arguments/borax.yaml",
        "common-borax-lies-on-the-shelf",
        "borax.decahydrate",
        "borax.anhydrous",
    ),
    _named("kind swapped", "preparations/cupels.yaml", "get_bone_ash_cupels", "cupel is bone_ash", "cupel is magnesia"),
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
    _changed("strong made fair", _COLLECTOR, "bismuth-is-milder", "strength: strong", "strength: fair"),
    _changed("slight made fair", "arguments/cupel.yaml", "bone-ash-holds-more", "strength: slight", "strength: fair"),
    _named("5 % made 15 %", "thresholds.yaml", "sulphide_limit_direct", "value: 5 %", "value: 15 %"),
    _named("10 % made 35 %", "thresholds.yaml", "sulphide_limit_nitre", "value: 10 %", "value: 35 %"),
    _named("1 g/g made 10 g/g", "thresholds.yaml", "slag_to_gold_clean", "value: 1 g/g", "value: 10 g/g"),
    _named("20 pieces made 2000", "thresholds.yaml", "fillings_most", "value: 20 pieces", "value: 2000 pieces"),
    _named("cinnabar lost", "findings.yaml", "mercury_possible", " or foreign_matter has cinnabar", ""),
    _named("tongs lost", "findings.yaml", "full_gear", " and tongs", ""),
    _named("the place's fume forgotten", "findings.yaml", "lead_usable", " and not no_place_for_lead", ""),
    _named(
        "a closed room counted as open",
        "findings.yaml",
        "fume_goes_away",
        "(outdoors, open_shed)",
        "(outdoors, open_shed, closed_room)",
    ),
    _named("the split forgotten", "findings.yaml", "hot_work", ", split)", ")"),
    _changed("strong made fair", _COLLECTOR, "lead-poisons", "strength: strong", "strength: fair"),
    _changed("slight made strong", _COLLECTOR, "lead-falls-on-the-ground", "strength: slight", "strength: strong"),
    _named(
        "bad route tied first",
        "decisions.yaml",
        "route",
        "[stop, send_out, clean_up, melt_clean",
        "[stop, melt_clean, send_out, clean_up",
    ),
    _named("stop made as good as others", "decisions.yaml", "stop", "base: -1000", "base: 0"),
    _named("implied value lost", "facts/danger.yaml", "mercury_test", "value: not_done", "value: clean"),
    _named("implied value turned round", "facts/equipment.yaml", "cupels_dry", "value: no", "value: yes"),
    _changed(
        "the lead of the ore lost",
        _FUME,
        "lead-fume",
        "when: lead_in_ore",
        "when: lead_in_ore and collector is lead",
    ),
    _changed("attached nowhere near a fire", _FUME, "sulphur-dioxide", "sulphide_share > 0 %", "sulphide_share > 30 %"),
    _changed(
        "the cupel forgotten", _METAL, "moisture-explosion", "[fire, melt, add, pour, heat mould]", "[melt, pour]"
    ),
    _changed(
        "the dust of weighing and mixing lost", _FUME, "litharge-dust-mixing", "weigh litharge, mix litharge, ", ""
    ),
    _named("wanted for no pour", "preparations/fire.yaml", "get_a_mould", "[pour]", "[roast]"),
    _named("a melt on the way forgotten", "preparations/fire.yaml", "get_a_pot", "[melt, heat pot]", "[melt charge]"),
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
