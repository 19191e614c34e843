"""Dangers and their signs in the fewest words, the same on the first screen and at the head of a phase."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.advice.documents.common import HazardNote, ReferralNote
from advisor.present.screens.layout import Line, labelled, listed
from advisor.words import tr

DEADLY = "reverse bold"


def danger_lines(hazards: Sequence[HazardNote], width: int) -> list[Line]:
    """What can kill, by name, and the signs at which to stop."""
    deadly = [hazard for hazard in hazards if hazard.severity == "deadly"]
    return [
        *labelled(tr("CAN KILL"), listed(_named(hazard) for hazard in deadly), width, DEADLY),
        *labelled(tr("STOP IF"), listed(hazard.sign for hazard in deadly), width, "bold"),
    ]


def _named(hazard: HazardNote) -> str:
    return hazard.called if hazard.certain else f"{hazard.called}?"


def phase_danger_lines(hazards: Sequence[HazardNote], width: int) -> list[Line]:
    """All dangers of a phase by name, those that kill first, and the signs of all of them."""
    others = [hazard for hazard in hazards if hazard.severity != "deadly"]
    return [
        *labelled(tr("CAN KILL"), listed(_named(one) for one in hazards if one.severity == "deadly"), width, DEADLY),
        *labelled(tr("CAN HURT"), listed(map(_named, others)), width),
        *labelled(tr("STOP IF"), listed(hazard.sign for hazard in hazards), width, "bold"),
    ]


def law_lines(referrals: Sequence[ReferralNote], width: int, *, named: bool) -> list[Line]:
    """Who decides by law or licence, by name or as a number of them."""
    offices = list(dict.fromkeys(note.called for note in referrals if note.certain))
    counted = tr("{count} offices and licensed places decide: see the dangers", count=len(offices))
    return labelled(tr("LAW"), listed(offices) if named else counted, width)
