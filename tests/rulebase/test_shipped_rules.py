"""The shipped rules: enough of them, each with a reason and a source, and nothing that must not be there."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest

from advisor.rulebase.compiling.sources import resolve_sources
from advisor.rulebase.loading import rule_files
from advisor.rulebase.locations import shipped as shipped_folder
from advisor.rulebase.locations import shown_name
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.layers import LISTED, MAPPED
from advisor.rulebase.reading.yaml_reader import Document, read_document

DOCUMENTS: list[Document] = [read_document(path, shown_name(path)) for path in rule_files(shipped_folder("rules"))]
"""The files as they are written, so that what is checked here does not hang on the compiler."""

NOT_SHOWN = {
    "arsenic-consortium": ["year"],
    "au-ag-alloys-page": ["year"],
    "au-cu-alloys-page": ["author", "year"],
    "blowpipe-1858": ["author"],
    "niosh-pocket-guide": ["year"],
    "ontario-limits": ["year"],
    "slime-bullion-page": ["author", "year"],
    "ure-dictionary": ["year"],
}
"""Sources whose text, as it was read, does not show its author or year. The list is not to grow."""

WITH_SOURCE = ("thresholds", *(name for name in LISTED if name != "checks"), "quantities", "minerals")
WITH_REASON = ("thresholds", "arguments", "steps", "quantities", "amounts", "expectations")


def entries(section: str) -> Iterator[tuple[str, Any, str]]:
    """Name, content and file of each entry of a section, as written."""
    for document in DOCUMENTS:
        held = (document.data or {}).get(section, {})
        for name, entry in held.items() if isinstance(held, dict) else ((e["id"], e) for e in held):
            yield name, entry, document.name


def references() -> Iterator[tuple[str, str]]:
    """Every source named anywhere in the rules, and where."""

    def walk(data: Any, where: str) -> Iterator[tuple[str, str]]:
        if isinstance(data, dict):
            for key, value in data.items():
                if key == "source":
                    for reference in value if isinstance(value, list) else [value]:
                        yield f"{where}.source", str(reference)
                else:
                    yield from walk(value, f"{where}.{key}")
        elif isinstance(data, list):
            for position, value in enumerate(data):
                yield from walk(value, f"{where}.{position}")

    for document in DOCUMENTS:
        yield from walk({k: v for k, v in (document.data or {}).items() if k != "sources"}, document.name)


def sources_of(entry: Any) -> list[Any]:
    given = entry.get("source")
    return given if isinstance(given, list) else [] if given is None else [given]


def test_the_shipped_rules_compile_without_a_fault(shipped: RuleBase) -> None:
    assert shipped.layers == ("shipped rules",)
    assert shipped.overrides == ()


def test_nothing_that_is_written_is_lost_on_the_way(diagnosing: RuleBase) -> None:
    for section in (*MAPPED, *LISTED):
        written = {name for name, _, _ in entries(section)}
        compiled = set(getattr(diagnosing, section))
        # Arguments follow from causes and findings from acts besides.
        assert compiled >= written if section in ("arguments", "findings") else compiled == written, section


@pytest.mark.parametrize(
    ("section", "least"),
    [
        ("arguments", 120),
        ("hazards", 30),
        ("steps", 60),
        ("facts", 40),
        ("thresholds", 15),
        ("amounts", 20),
        ("expectations", 10),
        ("referrals", 5),
        ("checks", 5),
        ("sources", 20),
    ],
)
def test_there_are_enough_rules(shipped: RuleBase, section: str, least: int) -> None:
    assert len(getattr(shipped, section)) >= least


@pytest.mark.parametrize("section", [*LISTED, *MAPPED])
def test_every_name_stands_once(section: str) -> None:
    # Further rows of a table may stand in any file; what they are is said where the table begins.
    begun = (name for name, entry, _ in entries(section) if section != "tables" or "columns" in entry)
    assert [name for name, count in Counter(begun).items() if count > 1] == []


@pytest.mark.parametrize("section", WITH_SOURCE)
def test_every_rule_names_its_source(section: str) -> None:
    assert [f"{file}: {name}" for name, entry, file in entries(section) if not sources_of(entry)] == []


@pytest.mark.parametrize("section", WITH_REASON)
def test_every_rule_says_why(section: str) -> None:
    assert [f"{file}: {name}" for name, entry, file in entries(section) if len(entry.get("reason", "")) < 10] == []


def test_every_row_of_every_table_has_a_source() -> None:
    without = [
        f"{file}: {name} {position}"
        for name, entry, file in entries("tables")
        for position, row in enumerate(entry["rows"])
        if not row.get("source") and not entry.get("source")
    ]
    assert without == []


def test_every_named_source_is_declared_and_every_published_one_is_named_with_a_place() -> None:
    kinds = {name: entry["kind"] for name, entry, _ in entries("sources")}
    wrong, seen = [], Counter[str]()
    for where, reference in references():
        name, _, place = reference.partition(",")
        kind = kinds.get(name.strip(), "not declared")
        seen[kind] += 1
        if kind == "not declared" or (kind == "published" and not any(sign.isalnum() for sign in place)):
            wrong.append(f"{where}: {reference}")
    assert wrong == []
    assert seen["published"] >= 50
    assert seen["practice"] >= 20


def test_every_published_source_has_author_title_and_year_or_says_what_its_text_does_not_show() -> None:
    published = {name: entry for name, entry, _ in entries("sources") if entry["kind"] == "published"}
    left_out = {
        name: [key for key in ("author", "title", "year") if not entry.get(key)] for name, entry in published.items()
    }
    assert {name: missing for name, missing in left_out.items() if missing} == NOT_SHOWN
    assert {name: entry["not_shown"] for name, entry in published.items() if "not_shown" in entry} == NOT_SHOWN


def test_no_word_stands_where_an_author_or_a_year_belongs() -> None:
    for name, entry, _ in entries("sources"):
        if "author" in entry:
            assert any(part[:1].isupper() for part in entry["author"].split()), name
            assert not set(entry["author"].lower().split()) & {"not", "unknown", "anonymous", "unnamed", "nobody"}, name
        if "year" in entry:
            assert re.search(r"\b(1[5-9]|20)\d\d\b", str(entry["year"])), name


def test_a_source_without_author_is_shown_as_what_it_is(diagnosing: RuleBase) -> None:
    found, _ = resolve_sources("au-cu-alloys-page, first paragraph", diagnosing.sources)
    assert found[0].text == "Gold and Copper Alloys (author and year not shown), first paragraph"
    found, _ = resolve_sources("ure-dictionary, article Assay", diagnosing.sources)
    assert found[0].text == "A. Ure, A Dictionary of Arts, Manufactures and Mines (year not shown), article Assay"
    found, _ = resolve_sources("blowpipe-1858, oxide of copper", diagnosing.sources)
    assert "(1858, author not shown), oxide of copper" in found[0].text


def test_every_hazard_has_controls_a_stop_sign_and_harm(shipped: RuleBase) -> None:
    for name, hazard in shipped.hazards.items():
        assert hazard.controls, name
        assert any(control.condition is None for control in hazard.controls), f"{name} has no control that always holds"
        assert hazard.entry.stop_if, name
        assert hazard.entry.harm, name


@pytest.mark.parametrize("decision", ["route", "collector", "cupel", "borax"])
def test_every_option_of_every_decision_has_arguments(shipped: RuleBase, decision: str) -> None:
    spoken = Counter(
        option for argument in shipped.decisions[decision].arguments for option in argument.options if argument.entry
    )
    assert [option for option in shipped.decisions[decision].options if not spoken[option]] == []


def test_every_route_that_lights_a_fire_has_arguments_for_it_and_something_that_rules_it_out(shipped: RuleBase) -> None:
    route = shipped.decisions["route"]
    for option in set(route.options) - {"stop", "send_out", "clean_up"}:
        stances = {argument.entry.says for argument in route.arguments if option in argument.options}
        assert {"for", "rule_out"} <= stances, option


def test_the_decisions_are_taken_in_their_order_and_stop_is_the_fallback(shipped: RuleBase) -> None:
    assert list(shipped.decisions) == ["route", "collector", "cupel", "borax"]
    assert shipped.decisions["route"].entry.fallback == "stop"
    assert shipped.decisions["route"].entry.stops == ["stop"]
    for name in ("collector", "cupel", "borax"):
        assert shipped.decisions[name].entry.fallback == "none"


def test_two_equally_supported_options_are_always_told_apart(shipped: RuleBase) -> None:
    for decision in shipped.decisions.values():
        assert sorted(decision.entry.tie_order) == sorted(decision.options), decision.name


NEVER_A_REAGENT = ("mercury", "quicksilver", "amalgam", "cyanide", "corrosive sublimate", "mercuric", "calomel")


def test_neither_mercury_nor_cyanide_is_a_material_a_reagent_or_weighed_out(shipped: RuleBase) -> None:
    offered = [
        *(
            f"{name} {m.entry.title} {m.entry.formula or ''} {m.entry.also_called or ''}"
            for name, m in shipped.materials.items()
        ),
        *(f"{name} {o.label} {o.means}" for name, o in shipped.facts["reagents"].entry.options.items()),
        *(f"{amount.entry.material} {amount.entry.of}" for amount in shipped.amounts.values()),
        *(use for step in shipped.steps.values() for use in step.entry.uses),
        *(f"{o} {e.title}" for d in shipped.decisions.values() for o, e in d.entry.options.items()),
    ]
    assert len(offered) > 50
    found = [text for text in offered for word in NEVER_A_REAGENT if word in text.lower() or " hg" in text.lower()]
    assert found == []


def test_what_can_be_at_hand_is_what_can_be_weighed(shipped: RuleBase) -> None:
    # The lead for copper is sheet lead off the same shelf, weighed apart: it goes on the cupel, not into the pot.
    assert set(shipped.facts["reagents"].entry.options) == set(shipped.materials) - {"lead_doses"}
    assert shipped.materials["lead_doses"].entry.stock == shipped.materials["lead"].entry.stock
    for amount in shipped.amounts.values():
        assert amount.entry.material in shipped.materials


def test_questions_fit_on_a_line_of_the_screen(shipped: RuleBase) -> None:
    for name, fact in shipped.facts.items():
        assert len(fact.entry.ask) <= 76, name
        assert len(fact.entry.find_out) <= 150, name
        for option in fact.entry.options.values():
            assert len(option.means) <= 70, name


def test_no_two_options_of_a_fact_share_a_label(shipped: RuleBase) -> None:
    for name, fact in shipped.facts.items():
        labels = [option.label.lower() for option in fact.entry.options.values()]
        assert len(set(labels)) == len(labels), name


def test_what_is_assumed_of_an_unknown_amount_leaves_room_on_both_sides(shipped: RuleBase) -> None:
    for name, fact in shipped.facts.items():
        if fact.when_unknown is not None:
            assert fact.least <= fact.when_unknown.low < fact.when_unknown.high <= fact.most, name


def test_no_finding_about_danger_rests_on_a_decision(shipped: RuleBase) -> None:
    decided = {decision.variable for decision in shipped.decisions.values()}
    for name in ("mercury_possible", "arsenic_possible", "antimony_possible", "tellurium_possible", "lead_in_ore",
                 "fume_goes_away", "full_gear", "lead_usable", "can_smelt", "can_cupel"):  # fmt: skip
        assert not shipped.findings[name].condition.variables & decided, name


ONLY_FOR_LOOKING_UP = {"silver_to_gold_for_parting"}


def test_every_threshold_is_used_by_some_rule() -> None:
    texts = [
        str(value)
        for document in DOCUMENTS
        for section, held in (document.data or {}).items()
        if section not in ("thresholds", "sources", "tables", "minerals")
        for value in _texts(held)
    ]
    together = " \n".join(texts)
    unused = {name for name, _, _ in entries("thresholds") if name not in together}
    assert unused <= ONLY_FOR_LOOKING_UP


def test_of_two_reducers_the_second_is_called_one_in_place_of_the_first(diagnosing: RuleBase) -> None:
    both = 0
    for correction in diagnosing.corrections.values():
        titles = {output.material: output.title for output in correction.entry.outputs.values()}
        if {"flour", "charcoal"} <= titles.keys():
            assert "in place of flour" in titles["charcoal"], "whoever reads the weights alone would take both"
            both += 1
    assert both


def _texts(data: Any) -> Iterator[str]:
    if isinstance(data, dict):
        for value in data.values():
            yield from _texts(value)
    elif isinstance(data, list):
        for value in data:
            yield from _texts(value)
    elif isinstance(data, str):
        yield data
