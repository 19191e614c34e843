"""The whole program in a made-up language: every text is translated, and no conclusion hangs on a word."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor.metallurgy.commands import COMMANDS
from advisor.terminal.rules.template import program_texts, rule_texts
from tests.conftest import ROOT
from tests.made_up import bare, catalogue
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Result

CASES = ROOT / "cases"
WORK, FIRST, FIND_OUT, STOP = (
    CASES / f"{name}.yaml"
    for name in ("bismuth-oxide-and-charcoal", "no-iron-and-a-fifth-pyrite", "mass-not-known", "mercury-in-use-today")
)
PIECE, TIED = (CASES / "diagnosis" / f"{name}.yaml" for name in ("dull-brittle-button", "pale-tough-bar"))
GROUPS = ("rules", "room", "journal", "train")
HELP = (
    "--help",
    *(
        f"{name} --help"
        for name in (*["route", "diagnose", "identify", "work", "sheet", "form", "schema", "kit"], *COMMANDS, *GROUPS)
    ),
    *(f"rules {name} --help" for name in ["check", "try", "list", "show", "draw", "words"]),
    *(f"room {name} --help" for name in ["new", "change"]),
    *(f"train {name} --help" for name in ["start", "drills", "report"]),
    *(
        f"journal {name} --help"
        for name in ["start", "add", "names", "amend", "undo", "list", "show", "balance", "experience", "month"]
    ),
    *(f"journal {name} --help" for name in ["export", "import", "backup", "check", "where"]),
)
SHOWN = (
    "",
    f"route --answers {WORK}",
    f"route --answers {WORK} --all --explain",
    f"route --answers {FIRST} --all",
    f"route --answers {FIND_OUT} --all",
    f"route --answers {STOP} --all",
    f"route --answers {WORK} --beside-lot {FIRST}",
    f"diagnose --observations {PIECE}",
    f"diagnose --observations {PIECE} --all --explain",
    f"diagnose --observations {TIED} --all",
    f"sheet --answers {WORK} --text --output -",
    f"sheet --answers {WORK} --output -",
    f"sheet --answers {STOP} --output -",
    f"sheet --observations {PIECE} --text --output -",
    "sheet --faults --output -",
    "train drills --seed 7 --count 16",
    "train drills --seed 7 --count 16 --answers",
    "train report",
    f"journal start --answers {WORK} --name A --by B",
    "journal add 1 bead=3g weighed.litharge=20g outcome=clean time.cupel=40min --by B",
    "journal names",
    "journal show 1",
    "journal list",
    "journal balance",
    "journal balance 1",
    "journal experience",
    "journal check",
    "journal undo --by B",
    "journal month --output month.html",
    "form",
    "form room",
    "rules list",
    "rules list hazards",
    "rules show gas-leak",
    "rules draw",
    *COMMANDS,
)
REFUSED = (
    "nosuch",
    "route --answers missing.yaml",
    "route --answers wrong-unit.yaml",
    "route --answers wrong-fact.yaml",
    "route --answers no-yaml.yaml",
    f"route --answers {WORK} --show nosuch",
    "form nosuch",
    "rules list nosuch",
    "rules show nosuch",
    "rules check --rules broken",
    "journal show 99",
    "journal add 1 bead=3kilo",
    "room change mould nosuch",
    "train drills --kind nosuch",
    "cupel metals.gold=-1g",
)
FILES = {
    "wrong-unit.yaml": "answers:\n  batch_mass: 3 metres\n",
    "wrong-fact.yaml": "answers:\n  nosuch: yes\n",
    "no-yaml.yaml": "answers: [1,\n",
    "broken/facts.yaml": "facts:\n  one_more: {kind: strange, asks: 3}\narguments:\n  two: {when: batch_mass is}\n",
}
LIBRARY = re.compile(
    r"Usage: .*|Try '.*' for help\.|Error:|Missing option|(?:Options|Arguments|Commands):|Show this message and exit\."
    r"|(?:Install|Show) completion[^.]*\.|customize the installation\.|\[[^]]*default: [^]]*\]|\[[^]]*required\]"
    r"|did not find expected node content"
)
"""What the libraries of the command line and of YAML say by themselves; they have no catalogue."""
FORMULA = re.compile(r"\b(?=\w*[a-z])(?:[A-Z][a-z]?\d*){2,}\b")
UNITS = ("min", "permille", "pieces", "money", "mol", "per 1000", "per g", "per kg", "per oz")


@pytest.fixture(scope="module")
def made_up(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The catalogue of the made-up language."""
    return catalogue(tmp_path_factory.mktemp("words") / "made-up.mo", [*program_texts(), *rule_texts()])


@pytest.fixture(scope="module")
def speaking(tmp_path_factory: pytest.TempPathFactory, warm_cache: Path, made_up: Path) -> Iterator[Preloaded]:
    """The program in the made-up language, the rules loaded already."""
    folder = tmp_path_factory.mktemp("speaking")
    program = Program(folder / "own home", warm_cache, folder)
    for name, text in FILES.items():
        program.write(name, text)
    with Preloaded(program, ADVISOR_WORDS=str(made_up)) as process:
        yield process


@pytest.fixture(scope="module")
def known() -> tuple[str, ...]:
    """What is the same in every language: authors, titles and places in sources, titles of cases, options."""
    found: set[str] = {*UNITS, CHART_SOURCE, INTERVAL_SOURCE, *parts_of(Advice), *parts_of(Diagnosis)}
    for path in (ROOT / "rules").rglob("*.yaml"):
        found |= set(_cited(yaml.safe_load(path.read_text(encoding="utf-8"))))
    for path in CASES.rglob("*.yaml"):
        case = yaml.safe_load(path.read_text(encoding="utf-8"))
        found |= {str(case.get("title", "")), str(case.get("title", "")).upper(), str(case.get("why", ""))}
    return tuple(one for one in found if one)


def _cited(part: Any) -> Iterator[str]:
    """Authors, titles and places of sources within a rule file."""
    if isinstance(part, Mapping):
        for key, value in part.items():
            if key in ("author", "title", "year", "publisher_or_series") and "kind" in part and "note" in part:
                yield str(value)
            elif key == "source":
                for one in value if isinstance(value, list) else [value]:
                    yield str(one).partition(", ")[2]
            else:
                yield from _cited(value)
    elif isinstance(part, list):
        for one in part:
            yield from _cited(one)


def seen(result: Result) -> str:
    """What a person reads of a run: without markup, paths, options, ids and what the library says by itself."""
    text = result.out + "\n" + result.err
    text = re.sub(r"<style>.*?</style>|<[^>]*>", " ", text, flags=re.DOTALL)
    text = LIBRARY.sub(" ", text)
    text = re.sub(r"\S*/\S*|\S+\.(?:yaml|html|sqlite|svg)\b|--[a-z-]+|\b\w*[_=]\w*\b|'[^'\n]{1,40}'", " ", text)
    return re.sub(r"\badvisor(?: [a-z-]+)*", " ", text)


@pytest.mark.parametrize("commands", [HELP, SHOWN, REFUSED], ids=["help", "shown", "refused"])
def test_no_word_is_left_untranslated(speaking: Preloaded, known: tuple[str, ...], commands: tuple[str, ...]) -> None:
    breaches = []
    for command in commands:
        result = speaking.run(*command.split())
        assert "Traceback" not in result.err, (command, result.err)
        breaches += [f"{command}: {one}" for one in bare(seen(result), known)]
    assert breaches == []
