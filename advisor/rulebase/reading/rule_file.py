"""The shape of one rule file."""

from __future__ import annotations

from typing import Literal

from advisor.rulebase.drawings.entries import DrawingEntry
from advisor.rulebase.reading.act_entries import ActEntry, KindEntry
from advisor.rulebase.reading.cause_entries import CauseEntry, CorrectionEntry, PieceEntry
from advisor.rulebase.reading.entries import (
    AmountEntry,
    ArgumentEntry,
    CheckEntry,
    DecisionEntry,
    ExpectationEntry,
    FactEntry,
    FindingEntry,
    HazardEntry,
    LookEntry,
    MaterialEntry,
    MineralEntry,
    Name,
    PreparationEntry,
    QuantityEntry,
    ReferralEntry,
    RetirementEntry,
    RuleBaseEntry,
    RuleEntry,
    SourceEntry,
    SourceName,
    StepEntry,
    TableEntry,
    Text,
    ThresholdEntry,
    Written,
)
from advisor.rulebase.reading.promise_entries import InvariantEntry, KeptEntry, WorseEntry

Needed = Literal["facts", "findings", "thresholds", "decisions", "quantities", "materials", "minerals", "tables"]
"""Sections in which the program reads entries by their names."""


class RuleFile(RuleEntry):
    """One rule file: any of these sections, in any file.

    A file of ``consultation: diagnose`` is used only when what came out is diagnosed, together with all others; one
    of ``consultation: train`` only draws and marks drills. ``needs`` lists what the program asks of the rules by
    name: entries, or ``NAME.OPTION`` for an option of a fact or decision.
    """

    consultation: Literal["diagnose", "train"] | None = None
    base: RuleBaseEntry | None = None
    needs: dict[Needed, list[Written]] = {}
    sources: dict[SourceName, SourceEntry] = {}
    facts: dict[Name, FactEntry] = {}
    thresholds: dict[Name, ThresholdEntry] = {}
    findings: dict[Name, FindingEntry] = {}
    decisions: dict[Name, DecisionEntry] = {}
    arguments: list[ArgumentEntry] = []
    preparations: dict[Name, PreparationEntry] = {}
    looks: dict[Name, LookEntry] = {}
    acts: dict[Name, ActEntry] = {}
    kinds: dict[Name, KindEntry] = {}
    hazards: list[HazardEntry] = []
    steps: list[StepEntry] = []
    materials: dict[Name, MaterialEntry] = {}
    quantities: dict[Name, QuantityEntry] = {}
    amounts: list[AmountEntry] = []
    expectations: list[ExpectationEntry] = []
    referrals: list[ReferralEntry] = []
    checks: list[CheckEntry] = []
    minerals: dict[Name, MineralEntry] = {}
    tables: dict[Name, TableEntry] = {}
    groups: dict[Name, Text] = {}
    pieces: dict[Name, PieceEntry] = {}
    causes: dict[Name, CauseEntry] = {}
    corrections: dict[Name, CorrectionEntry] = {}
    drawings: dict[Name, DrawingEntry] = {}
    invariants: list[InvariantEntry] = []
    worse: list[WorseEntry] = []
    kept: list[KeptEntry] = []
    retire: list[RetirementEntry] = []
