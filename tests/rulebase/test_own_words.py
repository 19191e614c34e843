"""What the books say is told in our own words, or stands in quotation marks with its source."""

from __future__ import annotations

import pytest

from tests.rulebase.own_words import mark, prose, runs, shingles, unquoted, words_of

TAKEN = (
    "06ddfa9f6 13cf52237 ebb396171",
    "16669c98b 2bc5adc51",
    "1b41bc537 180bf089a dc91d7ec8 d1f94c240 743e39d09 d51746258 efe597208 3d55ebe2c 2cb9ccb4c d5137be1e 294805f3b",
    "1eb7404ba",
    "21fad5363 2db0bbdba",
    "255ff70b7 f3e14fd7a b90e4be25",
    "28492eb08",
    "297ad7a2a 0f9e1b250 6123d8e5c bd2d42305 3c125badb 7de5f2a57",
    "2b7b90e0d",
    "2dba89ba3 4e442180e",
    "32cc434cc f414dc1ad 124c02dbe c03f5b24b 7855372f3",
    "3ab17bbca b78d36459 30cf4d9b1",
    "57a67bafe bc9111ce3 ec2323c0c cc45c758e f2c7d1f5f",
    "57a67bafe bc9111ce3",
    "63bd6d185 e13fa006b",
    "7314eedcc cc41f39dc 2cbf93d90 ba0e4835d 5c2287cf3",
    "780b85c62",
    "823aee4d3",
    "89f71d6fe 3182865ea fdedcd9e6 146ec32ef 40ef90b22",
    "8bd9e92da 36190ba53 a9754b843",
    "9374d3d81",
    "997c6f06e",
    "a45731699",
    "aa8658ef7 3fea0a037",
    "ac1908af5 c990599a2",
    "ac37d5ea7 aa9a2f131 0c26fc69a",
    "b53883461 b934c87ea",
    "b8c6aa81d 839158dac 1ae25c509 a0b349b38",
    "b90e4be25",
    "bc6ddf39d",
    "bf6d1420d ad1387e6b cc0ea6399 846567782 76141ee4a 51a91d9e9 3054af9f9 c16b07b28 f270e46a3 fd29d92d0 e999f7d7a",
    "c2b42954d da130c3a2",
    "c7134f83e",
    "c8cc16b53 591c920f8 5a2d659b9 6a3716545 dd5eef32d",
    "cba14aecb b84e95772 17ce1041c 06ddfa9f6 13cf52237 ebb396171",
    "d2798fe38",
    "d7e227d49 7ee360217 f8d0708da 4327066ad e488358c4",
    "d98d3b692",
    "dd75cb499 9367db424 309eb81ae",
    "dea0df533 96ffd321f ad94b6fb3 5ee9134ed 48a69818e cda48b515 f3fe13a8a 59bdb5484 59384ffe2",
    "e7bbc2111",
    "e91780a89",
    "e999f7d7a",
    "ebb396171 90f80dd70",
    "f040864d6 7659e163d 7a39bf17c 6ce1bdfc3",
    "f8bd29989",
    "fc72aab59 1449c8379 1187538bc d47adc96f",
)
"""Marks of the runs that once stood here word by word as in Beringer 1904 or in the Agricola of 1912: a line each."""

BOOK = set(shingles(words_of("Let the pot stand, until its wall is dull again, and lift it by the rim.")))


def test_no_run_that_was_taken_from_a_book_comes_back() -> None:
    taken = {one for run in TAKEN for one in run.split()}
    back = [
        f"{where}: {' '.join(shingle)}"
        for where, text in prose()
        for words in unquoted(text)
        for shingle in shingles(words)
        if mark(shingle) in taken
    ]
    assert back == []


def test_all_rules_and_cases_are_compared() -> None:
    read = {where.split(".yaml")[0] for where, _ in prose()}
    assert {"rules/amounts", "rules/diagnosis/steps/melts", "cases/diagnosis/rim-that-unfolded"} <= read
    assert {"cases/nitre-within-the-old-limits", "rules/metallurgy/charge"} <= read


@pytest.mark.parametrize(
    ("text", "shared"),
    [
        ("First let the pot stand until its wall\nis dull.", ["let the pot stand until its wall is dull"]),
        ("It waits until its wall is dull again.", []),
        ('The book: "let the pot stand, until its wall is dull again". We wait.', []),
        (
            "Let the pot stand until its wall. Pause. Wall is dull again and lift it by.",
            ["let the pot stand until its wall", "wall is dull again and lift it by"],
        ),
    ],
)
def test_seven_words_in_the_order_of_a_book_are_a_run_unless_they_are_quoted(text: str, shared: list[str]) -> None:
    assert [" ".join(run.words) for run in runs(text, "here", BOOK)] == shared


def test_a_mark_knows_its_run_again_however_it_is_printed() -> None:
    as_printed, as_written = (
        shingles(words_of("The pot's wall, cold\nor hot, is RED.")),
        shingles(words_of("the pots wall - cold or hot - is red")),
    )
    assert [mark(one) for one in as_printed] == [mark(one) for one in as_written]
    assert len({mark(one) for one in as_printed}) == len(as_printed) == 2
