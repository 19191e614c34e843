"""What one look tells is asked in one go: of a count of grains all the shares that can still matter."""

from __future__ import annotations

from advisor.engine.ask.questions import open_questions
from advisor.engine.conclude import Conclusions


def asked_together(conclusions: Conclusions, name: str) -> list[str]:
    """The facts to ask in one go, in the order of the look that tells them; the fact alone where no look does.

    Args:
        conclusions: What follows from the answers.
        name: The fact to ask for now.
    """
    look = next(
        (look for look in conclusions.rule_base.looks.values() if look.entry.in_one_go and name in look.entry.tells),
        None,
    )
    if look is None or name in conclusions.answers:
        return [name]
    asked = {question.fact for question in open_questions(conclusions)} | {name}
    return [fact for fact in look.entry.tells if fact in asked]
