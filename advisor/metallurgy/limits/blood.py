"""Lead in blood against the rules that take somebody from lead work and let them return."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from statistics import fmean

from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.metallurgy.common.bounds import within
from advisor.metallurgy.common.rows import Rows, from_row, text
from advisor.words import tr


@frozen
class BloodRule:
    """One rule of one law.

    Attributes:
        body: Who set it.
        year: When.
        rule: ``one``, ``mean``, ``mean_but_last`` or ``return_two``.
        tests: How many tests it looks at.
        value: The level, in µg to the decilitre.
        says: The rule in words.
        source: Where it was read.
    """

    body: str
    year: str
    rule: str
    tests: float
    value: float
    says: str
    source: str

    @classmethod
    def by_rule(cls, rows: Rows) -> dict[str, BloodRule]:
        """From the table ``blood_lead_limits``."""
        return {text(row, "rule"): from_row(cls, row) for row in rows}


@frozen
class BloodFinding:
    """What the tests of one person say.

    Attributes:
        last: The last test, in µg/dl.
        mean: Mean of the last tests, as many as the rule looks at; None where there are fewer.
        confirm: Whether one test calls for a second one at once.
        leave: Whether the rules take this person from lead work.
        may_return: Whether the rules let one who was taken from it return; None where nobody was.
    """

    last: float
    mean: float | None
    confirm: bool
    leave: bool
    may_return: bool | None


def blood_finding(tests: Sequence[float], rules: Mapping[str, BloodRule], *, removed: bool) -> BloodFinding:
    """Judge the tests of one person.

    Args:
        tests: Lead in blood, in µg/dl, the oldest first.
        rules: The rules by name.
        removed: Whether this person was already taken from lead work.

    Returns:
        The finding. 62 alone calls for a second test and counts as leaving until it is there; 55, 52, 45 (mean
        50.7) means leaving; 58, 56, 39 does not, since the last is below 40; after a removal 39 and 38 let return,
        40 and 38 do not.

    Raises:
        InputError: If there is no test or one cannot be.

    Source: 29 CFR 1910.1025, paragraph (k)(1).
    """
    if not tests:
        raise InputError(tr("no test of lead in blood is given"))
    for value in tests:
        within(tr("lead in blood"), value, "µg/dl", 0, 1000)
    last, one, mean_rule = tests[-1], rules["one"], rules["mean"]
    recent = tests[-int(mean_rule.tests) :]
    mean = fmean(recent) if len(recent) == mean_rule.tests else None
    by_one = last >= one.value
    # All tests given may be those of six months; the law takes the mean over the longer of the two.
    means = [value for value in (mean, fmean(tests) if len(tests) > mean_rule.tests else None) if value is not None]
    by_mean = any(value >= mean_rule.value for value in means) and last >= rules["mean_but_last"].value
    back = rules["return_two"]
    latest = tests[-int(back.tests) :]
    may_return = len(latest) == back.tests and all(value < back.value for value in latest) if removed else None
    confirmed = by_one and len(tests) > 1 and tests[-2] >= one.value
    return BloodFinding(last, mean, by_one and not confirmed, by_one or by_mean, may_return)
