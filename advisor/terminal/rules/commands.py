"""``advisor rules``: check, list and show the rules so that a trade person can read them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from rich.text import Text

from advisor.api import computed_faults
from advisor.errors import FaultyFile, InputError, faults_in_words
from advisor.present.text.notes import say_override
from advisor.present.text.page import Page
from advisor.rulebase.compiling.sources import source_of
from advisor.rulebase.entry import as_written
from advisor.rulebase.language.conditions import Condition
from advisor.rulebase.language.formulas import closest
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.origins import layer_words
from advisor.terminal.exit_codes import ADVICE, BAD_INPUT
from advisor.terminal.output import say_fault, screen
from advisor.terminal.settings import configured_rules
from advisor.terminal.setup import rule_base_for, say_once
from advisor.units import format_measure
from advisor.words import tr, tr_many

SECTIONS = (
    "facts",
    "thresholds",
    "findings",
    "decisions",
    "preparations",
    "arguments",
    "acts",
    "kinds",
    "hazards",
    "steps",
    "materials",
    "quantities",
    "amounts",
    "expectations",
    "referrals",
    "checks",
    "causes",
    "corrections",
    "figures",
    "drawings",
    "minerals",
    "tables",
    "invariants",
    "worse",
    "kept",
    "sources",
)


def check(
    rules: Sequence[Path] | None,
    prove: bool = False,
    counterexamples: Path | None = None,
    witnesses: Path | None = None,
    *,
    force: bool = False,
) -> int:
    """Check every rule file; all faults are reported.

    Args:
        rules: The shop's own folders.
        prove: Whether to prove the promises of the rules over all sets of answers as well.
        counterexamples: A folder for answers that show a promise broken.
        witnesses: A folder for answers that show each rule at work.
        force: Whether files of answers that are there may be written over.

    Returns:
        The exit status.
    """

    folders = tuple(rules) if rules else tuple(configured_rules())
    found = checked(folders, use_cache=False, promises=True)
    if found is None:
        return BAD_INPUT
    of_route, rule_base = found
    page = Page(screen())
    counts = ", ".join(f"{len(getattr(rule_base, section))} {section}" for section in SECTIONS)
    page.say(
        tr("No faults in {layers}: {counts}.", layers=" + ".join(map(layer_words, rule_base.layers)), counts=counts)
    )
    for override in rule_base.overrides:
        say_override(page, override)
    if not prove:
        return ADVICE
    from advisor.terminal.rules.prove import Wanted, run_proof

    return run_proof(of_route, rule_base, Wanted(counterexamples, witnesses, folders, force))


def checked(
    folders: tuple[Path, ...], *, base: Path | None = None, use_cache: bool = True, promises: bool = False
) -> tuple[RuleBase, RuleBase] | None:
    """The rules of the route consultation and those with the diagnosis; None when they have faults, which are said.

    Args:
        folders: The shop's own folders.
        base: A whole rule base that takes the place of the shipped one.
        use_cache: Whether files that were checked before may be taken from the cache.
        promises: Whether to keep what a proof reads.
    """

    def load(*, diagnosis: bool) -> RuleBase:
        return load_rule_base(
            folders,
            use_cache=use_cache,
            diagnosis=diagnosis,
            promises=promises,
            base=base,
            check=computed_faults,
            notify=say_once,
        )

    try:
        # The route consultation does without the files of the diagnosis, so it is checked without them too.
        return load(diagnosis=False), load(diagnosis=True)
    except FaultyFile as problem:
        for fault in problem.faults:
            say_fault(str(fault))
        say_fault(
            tr_many(
                "{faults}. Correct it and run  advisor rules check  again.",
                "{faults}. Correct them and run  advisor rules check  again.",
                len(problem.faults),
                faults=faults_in_words(problem.faults),
            )
        )
        return None


def list_rules(section: str | None, rules: Sequence[Path] | None) -> None:
    """List the sections, or the entries of one.

    Raises:
        InputError: If there is no such section.
    """
    rule_base = rule_base_for(rules, diagnosis=True, promises=True)
    page = Page(screen())
    if section is None:
        page.say(tr("The rule base holds:"))
        for name in SECTIONS:
            page.say(
                tr("{name:<13} {count:>4}   advisor rules list {name}", name=name, count=len(getattr(rule_base, name))),
                indent=2,
            )
        page.say(tr("One rule in full:  advisor rules show ID"))
        return
    if section not in SECTIONS:
        raise InputError(
            tr(
                "there is no section '{section}'{closest}; sections are {sections}",
                section=section,
                closest=closest(section, list(SECTIONS)),
                sections=", ".join(SECTIONS),
            )
        )
    entries = getattr(rule_base, section)
    for name, entry in entries.items():
        page.say(_one_line(section, name, entry), mark=f"{name}  ")


def draw(name: str | None, folder: Path | None, rules: Sequence[Path] | None, *, force: bool = False) -> None:
    """Show one drawing or list them all; or write them as SVG files into a folder.

    Raises:
        InputError: If there is no such drawing, or a file cannot be written.
    """
    from advisor.present.drawing import side_by_side, svg_text
    from advisor.terminal.writing import DRAWING, check_free, write_into

    rule_base = rule_base_for(rules, diagnosis=True)
    drawings = rule_base.drawings
    if name is not None and name not in drawings:
        raise InputError(
            tr(
                "there is no drawing '{name}'{closest}; advisor rules list drawings",
                name=name,
                closest=closest(name, list(drawings)),
            )
        )
    chosen = {name: drawings[name]} if name is not None else drawings
    page = Page(screen())
    if folder is not None:
        for key in chosen:
            check_free(folder / f"{key}.svg", DRAWING, force=force)
        for key, drawing in chosen.items():
            write_into(folder, f"{key}.svg", svg_text(drawing), DRAWING, force=force)
        page.say(
            tr_many(
                "{count} drawing written to {folder}",
                "{count} drawings written to {folder}",
                len(chosen),
                folder=folder,
            )
        )
        return
    for line in side_by_side([(f"{d.title}: {d.caption}", d) for d in chosen.values()], page.console.width - 2):
        page.verbatim(line)


def _one_line(section: str, name: str, entry: Any) -> str:
    if section == "sources":
        when = source_of(name, entry).when if entry.kind == "published" else entry.kind
        return f"{entry.author or ''} {entry.title or ''} ({when})".strip()
    written = getattr(entry, "entry", entry)
    if section == "arguments":
        about = ", ".join(entry.options)
        how = f" {written.strength or written.kind}" if written.strength or written.kind else ""
        return f"[{entry.decision}: {about}] {written.says}{how}: {written.reason}"
    if section == "thresholds":
        return f"{written.value}: {written.means}"
    if section == "hazards":
        return f"[{written.severity}] {written.title}"
    if section == "corrections":
        return f"{written.computation}: {', '.join(written.outputs)}"
    for field in ("ask", "means", "title", "do", "who", "say", "reason"):
        text = getattr(written, field, None)
        if text:
            return str(text)
    return name


def show(rule_id: str, rules: Sequence[Path] | None) -> None:
    """Show every entry with this id.

    Raises:
        InputError: If there is none.
    """
    rule_base = rule_base_for(rules, diagnosis=True, promises=True)
    found = [
        (section, getattr(rule_base, section)[rule_id])
        for section in SECTIONS
        if rule_id in getattr(rule_base, section)
    ]
    if not found:
        known = {name: section for section in SECTIONS for name in getattr(rule_base, section)}
        raise InputError(
            tr(
                "there is no rule '{rule_id}'{closest}; 'advisor rules list' shows what there is",
                rule_id=rule_id,
                closest=closest(rule_id, known),
            )
        )
    for section, entry in found:
        _show_one(rule_base, section, rule_id, entry)


def _show_one(rule_base: RuleBase, section: str, rule_id: str, entry: Any) -> None:
    console = screen()
    page = Page(console)
    console.print(Text(f"{section}: {rule_id}", style="bold"))
    written = getattr(entry, "entry", entry)
    hidden = ("id", "source", "when") if section == "findings" else ("id", "source")
    for key, value in as_written(written).items():
        if key not in hidden:
            _show_field(page, key, value, 2)
    if section == "decisions":
        for argument in entry.arguments:
            page.say(_one_line("arguments", argument.id, argument), indent=2, mark=f"- {argument.id}: ")
    condition = getattr(entry, "condition", None)
    if isinstance(condition, Condition):
        page.say(tr("in words: {words}", words=condition.words), indent=2)
        findings = [name for name in rule_base.findings if name in condition.text.split()]
        for name in findings:
            page.say(f"{name}: {rule_base.findings[name].condition.text}", indent=4)
        for name in rule_base.thresholds:
            if name in condition.text.replace("(", " ").replace(")", " ").split():
                threshold = rule_base.thresholds[name]
                page.say(f"{name}: {format_measure(threshold.amount, threshold.unit, 6)}", indent=4)
    for source in getattr(entry, "sources", ()):
        page.say(tr("source: {text}", text=source.text), indent=2)
    origin = getattr(entry, "origin", None)
    if origin is not None:
        layer = layer_words(origin.layer)
        page.say(tr("stands in {file}:{line} ({layer})", file=origin.file, line=origin.line, layer=layer), indent=2)
    _show_users(page, rule_base, rule_id)


def _show_field(page: Page, key: str, value: Any, indent: int) -> None:
    # As it is written in a rule file, so that it is found there.
    if isinstance(value, Mapping):
        page.say(f"{key}:", indent=indent)
        for name, inner in value.items():
            _show_field(page, str(name), inner, indent + 2)
    elif isinstance(value, list):
        page.say(f"{key}:", indent=indent)
        for inner in value:
            if isinstance(inner, Mapping):
                page.say("; ".join(f"{k}: {v}" for k, v in inner.items()), indent=indent + 2, mark="- ")
            else:
                page.say(str(inner), indent=indent + 2, mark="- ")
    else:
        page.say(f"{key}: {value}", indent=indent)


def _words(condition: str) -> list[str]:
    """The words of a condition."""
    return condition.replace("(", " ").replace(")", " ").replace(",", " ").split()


def _show_users(page: Page, rule_base: RuleBase, name: str) -> None:
    """Which rules use a fact, finding, threshold or decision."""
    users = []
    for section in (
        "findings",
        "preparations",
        "arguments",
        "hazards",
        "steps",
        "amounts",
        "expectations",
        "referrals",
    ):
        users += [other for other, entry in getattr(rule_base, section).items() if name in _words(entry.condition.text)]
    worked_out = {other: quantity.cases for other, quantity in rule_base.quantities.items()}
    worked_out |= {other: fact.computed for other, fact in rule_base.facts.items() if fact.computed}
    for other, cases in worked_out.items():
        conditions = [case.condition.text for case in cases if case.condition is not None]
        if any(name in _words(text) for text in conditions) or any(name in case.formula.names for case in cases):
            users.append(other)
    if users:
        page.say(tr("used by: {users}", users=", ".join(users)), indent=2)
