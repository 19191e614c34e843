"""The whole program in a made-up language: every text is translated, and no conclusion hangs on a word."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
import typer
import yaml

from advisor.journal.vocabulary import OUTCOMES, RESULTS, TEXTS
from advisor.metallurgy.calculators import COMPUTATIONS
from advisor.metallurgy.commands import COMMANDS
from advisor.metallurgy.common.tables import Tables
from advisor.present.text.advice import PARTS
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.entries import ArgumentEntry, FactEntry
from advisor.terminal.app import app
from advisor.terminal.rules.commands import SECTIONS
from advisor.terminal.rules.template import program_texts, rule_texts
from advisor.training.syllabus import KINDS
from advisor.units.statistics import CHART_SOURCE, INTERVAL_SOURCE
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
)
TYPED = (
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
"""What names what is typed beside what it says."""
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
    r"Usage: .*|\[OPTIONS\]|Try '.*' for help\.|Error:|Missing option|(?:Options|Arguments|Commands):"
    r"|Show this message and exit\."
    r"|(?:Install|Show) completion[^.]*\.|customize the installation\.|\[[^]]*default: [^]]*\]|\[[^]]*required\]"
    r"|did not find expected node content"
)
"""What the libraries of the command line and of YAML say by themselves; they have no catalogue."""
IDS_OF_DOCUMENTS = (
    *("id", "route", "collector", "outcome", "state", "says", "chosen", "kind", "fact", "stage", "severity"),
    *("decision", "hazard", "effect", "basis", "truth", "origin", "strength", "phase", "document", "says", "sure"),
)
SEVERITIES = ("deadly", "grave", "moderate")
LOOSE = (
    "NAME",
    "STEP",
    "FILE",
    "VALUE",
    "title",
    "room",
    "answers",
    "slip",
    "undone",
    "withdrawn",
    "facts",
    "asks",
    "weighed.NAME",
    "time.STEP",
)
"""Names of keys and of places where something is typed, and a reason that is recorded."""
UNITS = ("min", "permille", "pieces", "money", "mol", "per 1000", "per g", "per kg", "per oz", "grain", "tola")


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
def cited() -> frozenset[str]:
    """What is the same in every language: authors, titles and places in sources, and what cases say."""
    found: set[str] = {*UNITS, CHART_SOURCE, INTERVAL_SOURCE}
    for path in (ROOT / "rules").rglob("*.yaml"):
        found |= set(_cited(yaml.safe_load(path.read_text(encoding="utf-8"))))
    for path in CASES.rglob("*.yaml"):
        found |= set(_strings(yaml.safe_load(path.read_text(encoding="utf-8"))))
    # Two titles side by side are folded in their columns.
    found |= {word for path in (WORK, FIRST) for word in yaml.safe_load(path.read_text())["title"].upper().split()}
    return frozenset(one for one in found if one)


def _strings(part: Any) -> Iterator[str]:
    """Sentences of a case, which somebody typed."""
    if isinstance(part, str) and " " in part:
        yield from (part, part.upper())
    elif isinstance(part, Mapping | list):
        for one in part.values() if isinstance(part, Mapping) else part:
            yield from _strings(one)


def _cited(part: Any) -> Iterator[str]:
    """Authors, titles and places of sources within a rule file."""
    if isinstance(part, Mapping):
        for key, value in part.items():
            if key == "sources" and isinstance(value, Mapping):
                for source in value.values():
                    yield from (str(said) for name, said in source.items() if name not in ("kind", "note"))
            elif key == "source":
                yield from (str(one).partition(", ")[2] for one in (value if isinstance(value, list) else [value]))
            else:
                yield from _cited(value)
    elif isinstance(part, list):
        for one in part:
            yield from _cited(one)


@pytest.fixture(scope="module")
def ids(diagnosing: RuleBase) -> frozenset[str]:
    """Names of commands, parts, rules, inputs and entries: what is typed is the same in every language."""
    command = typer.main.get_command(app)
    found: set[str] = {*SECTIONS, *RESULTS, *TEXTS, *OUTCOMES, *KINDS, *LOOSE, *PARTS, *SEVERITIES}
    found |= {word for name in _typed(command) for word in re.findall(r"[A-Za-z-]+", name)}
    for section in SECTIONS:
        found |= set(getattr(diagnosing, section))
    for fact in diagnosing.facts.values():
        found |= {fact.entry.kind, *fact.entry.options}
    for entry in (FactEntry, ArgumentEntry):
        found |= set(entry.model_fields)
    for computation in COMPUTATIONS.values():
        for one in computation.inputs(Tables(diagnosing)):
            found |= {one.name, *one.name.split("."), *one.options}
    return frozenset(found)


def _typed(command: Any) -> Iterator[str]:
    """Names of commands, and what stands for arguments and values."""
    for parameter in command.params:
        yield parameter.metavar or parameter.name or ""
    for name, inner in getattr(command, "commands", {}).items():
        yield name
        yield from _typed(inner)


def seen(result: Result) -> str:
    """What a person reads of a run: without markup, paths, options, ids and what libraries say by themselves."""
    text = re.sub(r"<style>.*?</style>|<[^>]*>", " ", f"{result.out}\n{result.err}", flags=re.DOTALL)
    text = LIBRARY.sub(" ", text)
    text = re.sub(r"\bRxlx\s+\S+\s+xn\b", " ", text)
    text = re.sub(r"(?<!\S)(?:/|rules/|cases/)\S*|\S+\.(?:yaml|html|sqlite|svg)\b|--[a-z-]+|\bFILE\b", " ", text)
    text = re.sub(r"\b\w*[_=]\w*\b|\b[a-z]+(?:\.[a-z]+)+\b|'[^'\n]{1,40}'|\bo{2,}\b", " ", text)
    text = re.sub(r"(?:\w+\|)+\w+|\b(?=\w*\d)[0-9a-f]{6,}\b|\b([IHo])\1+\b", " ", text)
    return re.sub(r"\badvisor(?: [a-z-]+)*", " ", text)


@pytest.mark.parametrize("commands", [HELP, SHOWN, TYPED, REFUSED], ids=["help", "shown", "typed", "refused"])
def test_no_word_is_left_untranslated(
    speaking: Preloaded, cited: frozenset[str], ids: frozenset[str], commands: tuple[str, ...]
) -> None:
    known = cited if commands is SHOWN else cited | ids
    breaches = []
    for command in commands:
        result = speaking.run(*command.split())
        assert "Traceback" not in result.err, (command, result.err)
        breaches += [f"{command}: {one}" for one in bare(seen(result), known)]
    assert breaches == []


def test_a_sentence_that_was_left_bare_is_found(speaking: Preloaded, cited: frozenset[str]) -> None:
    shown = speaking.run("route", "--answers", str(STOP))
    bared = Result(shown.status, shown.raw + b"\nNothing is lit before.\n", shown.err)
    assert [one.partition(":")[0] for one in bare(seen(bared), cited)] == ["Nothing", "lit", "before"]


def concluded(written: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """What hangs on no word in a document: its numbers, what is true, and its ids."""
    if isinstance(written, dict):
        for key, value in written.items():
            yield f"{path} has", key
            if key in IDS_OF_DOCUMENTS and isinstance(value, str) and "side_by_side" not in path:
                yield f"{path}.{key}", value
            yield from concluded(value, f"{path}.{key}")
    elif isinstance(written, list):
        for place, value in enumerate(written):
            yield from concluded(value, f"{path}.{place}")
    elif not isinstance(written, str):
        yield path, written


@pytest.mark.parametrize(
    "command",
    [
        *(f"route --answers {path} --json" for path in (WORK, FIRST, FIND_OUT, STOP)),
        *(f"diagnose --observations {path} --json" for path in (PIECE, TIED)),
    ],
)
def test_conclusions_are_the_same_in_every_language(speaking: Preloaded, quick: Preloaded, command: str) -> None:
    there, here = speaking.run(*command.split()), quick.run(*command.split())
    assert there.status == here.status
    assert there.out != here.out
    assert list(concluded(there.written_json)) == list(concluded(here.written_json))


def test_a_conversation_takes_answers_in_both_languages(
    speaking: Preloaded, program: Program, cited: frozenset[str], made_up: Path
) -> None:
    with speaking.talk(program, ADVISOR_WORDS=str(made_up)) as talk:
        for typed in ("?", "not known", "nxt knxwn", "u", "s", "1", "c", "", "zzz", "q"):
            if not talk.ended:
                talk.say(typed)
        shown = Result(0, talk.everything.encode(), "")
    assert "not" not in talk.everything.replace("not known", "").split()
    assert bare(seen(shown), {*cited, "not known"}) == []
