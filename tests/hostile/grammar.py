"""Conditions and formulas by the grammar, with wrong words among the right ones."""

from __future__ import annotations

import random

from tests.hostile.mutate import NUMBERS, WORDS

YES_NO = ("wet", "rich_in_sulphide", "hot_enough")
OPTIONS = {"place": ("outdoors", "shed", "none"), "route": ("melt", "stop"), "shelf": ("soda", "nitre", "lead")}
QUANTITIES = {"mass": "g", "share": "%", "heat": "C", "pots": "", "price": "money/kg"}
NAMES = (*QUANTITIES, "dry_mass", "share_limit", "soda", "lead")
"""The names of the small rule base of the tests."""


def _amount(r: random.Random, unit: str) -> str:
    number = r.choice(NUMBERS) if r.random() < 0.03 else r.choice(("1", "2", "5", "10", "7.5", "50", "99.9"))
    if unit == "":
        number = r.choice("123")
    return f"{number} {unit if r.random() < 0.97 else r.choice(WORDS)}".strip()


def test_of(r: random.Random) -> str:
    """One test."""
    kind = r.randrange(6)
    if kind == 0:
        return r.choice(YES_NO)
    name = r.choice(list(OPTIONS))
    mine = OPTIONS[name] if r.random() < 0.97 else ("melt", "soda", "x")
    some = f"({', '.join(r.choice(mine) for _ in range(r.randint(1, 4)))})"
    if kind in (1, 2) and name != "shelf":
        if kind == 1:
            return f"{name} {r.choice(('is', 'is not'))} {r.choice(mine)}"
        return f"{name} {r.choice(('in', 'not in'))} {some}"
    if kind <= 3:
        one, lists = r.choice(mine), ("any of", "all of", "none of")
        tests = (f"has {one}", f"lacks {one}", "has any", "has none", *(f"has {how} {some}" for how in lists))
        return f"shelf {r.choice(tests)}" if name == "shelf" else r.choice(YES_NO)
    name, unit = r.choice(list(QUANTITIES.items()))
    if kind == 4:
        low, high = (f"{limit} {unit}".rstrip() for limit in (r.choice("1234"), r.choice("456")))
        return f"{name} between {low} and {high}"
    limit = f"{name}_limit" if name in ("share", "heat") and r.random() < 0.3 else _amount(r, unit)
    return f"{name} {r.choice(['<', '<=', '>', '>=', '='])} {limit}"


def condition(r: random.Random, depth: int = 4) -> str:
    """A condition, most often a right one."""
    if r.random() < 0.01:
        return deep(r)
    kind = r.randrange(5)
    if depth <= 0 or kind < 2:
        text = test_of(r)
    elif kind == 2:
        text = f"not {condition(r, depth - 1)}" if r.random() < 0.5 else f"not ({condition(r, depth - 1)})"
    else:
        joint = r.choice((" and ", " or "))
        text = joint.join(f"({condition(r, depth - 1)})" for _ in range(r.randint(2, 4)))
    return wrong(r, text) if r.random() < 0.01 else text


def formula(r: random.Random, depth: int = 4) -> str:
    """A formula, sometimes a right one."""
    if r.random() < 0.03:
        return deep(r)
    kind = r.randrange(4)
    if depth <= 0 or kind == 0:
        return r.choice(NAMES) if r.random() < 0.6 else _amount(r, r.choice(("", "", "g", "%")))
    if kind == 1:
        return f"{r.choice(('least', 'most'))}({formula(r, depth - 1)}, {formula(r, depth - 1)})"
    text = f"({formula(r, depth - 1)}) {r.choice('+-*/')} ({formula(r, depth - 1)})"
    return wrong(r, text) if r.random() < 0.03 else text


def mass(r: random.Random) -> str:
    """A formula that gives grams, so that it is worked out and not only refused."""
    grams = ("mass", "dry_mass", "soda", "5 g", "1e14 g", "0 g")
    shares = ("share", "1", "0", "1e300", "100 %", "share - 5 %", "share_limit", "share / share", "1e-300")
    text = r.choice(grams)
    for _ in range(r.randrange(6)):
        operator = r.choice("+-*/")
        other = r.choice(grams if operator in "+-" else shares)
        text = f"({text}) {operator} ({other})"
    return text


def wrong(r: random.Random, text: str) -> str:
    """A text with a word too many, too few or another one."""
    words = text.split(" ")
    at = r.randrange(len(words))
    words[at : at + r.randrange(2)] = [r.choice((*WORDS, "(", ")", ",", "-", "°", "/", "é", "'", "¬"))] * r.choice(
        (0, 1, 2)
    )
    return " ".join(words)


def deep(r: random.Random) -> str:
    """What nests or repeats far too much."""
    many = r.choice((10, 39, 41, 200, 900))
    return r.choice(
        (
            "(" * many + "wet" + ")" * many,
            "not " * many + "wet",
            " and ".join(["wet"] * many),
            " or ".join(f"mass > {n} g and share < {n % 90} %" for n in range(1, min(many, 40))),
            "+".join(["mass"] * many),
            "-" * many + "1",
            "least(" * many + "1",
            "1" * many,
            "1 " * many,
            "mass" * many,
            "(" * many,
            "share " + "°" * many,
        )
    )[:2100]
