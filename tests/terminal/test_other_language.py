"""The whole program in a made-up language: every text is translated, and no conclusion hangs on a word."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, get_args

import pytest
import typer
import yaml
from pydantic import BaseModel

from advisor.advice.batches.entries import CaseFile
from advisor.advice.documents import advice as advice_parts
from advisor.advice.documents import common as parts
from advisor.advice.documents import diagnosis as diagnosis_parts
from advisor.journal.vocabulary import OUTCOMES, RESULTS, TEXTS
from advisor.metallurgy.calculators import COMPUTATIONS
from advisor.metallurgy.commands import COMMANDS
from advisor.metallurgy.common.tables import Tables
from advisor.present.text.advice import PARTS
from advisor.proof.prove import CHECKS
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading import entries
from advisor.rulebase.reading.entries import ArgumentEntry, ConstraintKind, FactEntry, Stance
from advisor.terminal.app import app
from advisor.terminal.kit.wheels import SYSTEMS
from advisor.terminal.rules.commands import SECTIONS
from advisor.terminal.rules.template import program_texts, rule_texts
from advisor.terminal.rules.trying import case_files
from advisor.training.syllabus import KINDS
from advisor.units.statistics import CHART_SOURCE, INTERVAL_SOURCE
from tests.batches import PYRITIC
from tests.conftest import ROOT
from tests.made_up import bare, catalogue
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Result

CASES = ROOT / "cases"
LEFT = 4
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
        for name in (*["route", "diagnose", "identify", "work", "sheet", "form", "schema", "kit", "cupel"], *GROUPS)
    ),
    *(f"rules {name} --help" for name in ["check", "try", "list", "show", "draw", "words"]),
    *(f"room {name} --help" for name in ["new", "change"]),
    *(f"train {name} --help" for name in ["start", "drills", "report"]),
    *(
        f"journal {name} --help"
        for name in ["start", "add", "names", "amend", "undo", "list", "show", "balance", "experience", "month"]
    ),
    *(f"journal {name} --help" for name in ["export", "import", "backup", "check", "path"]),
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
CONCENTRATE = (
    "dry_mass=250g volume_shares.pyrite=30% volume_shares.quartz=55% volume_shares.magnetite=10% volume_shares.gold=5%"
)
COMPUTED = (
    f"concentrate {CONCENTRATE}",
    f"charge method=iron crucible=1l {CONCENTRATE} --explain",
    "charge method=nitre dry_mass=9g volume_shares.pyrite=100% given.soda_ash=9g given.nitre=40g given.flour=5g",
    "charge mineral_masses.quartz=50g given.baking_soda=100g given.litharge=75g given.flour=4g",
    "trial trial_button=16.5g dry_mass=20g lead_wanted=30g mineral=pyrite red_lead=80g --explain",
    "cupel metals.gold=12g metals.copper=1g collector=lead material=bone_ash --explain",
    "cupel metals.gold=12g collector=bismuth material=cement",
    "roast dry_mass=250g mass_shares.pyrite=40% --explain",
    "roast dry_mass=250g mass_shares.stibnite=40%",
    "fineness in_air=12.34g in_water=11.60g scale_step=0.01g price=60 --explain",
    "fineness in_air=14g in_water=13.1g scale_step=0.1g",
    "fume agent=lead mass=30g step=lead_on_cupel release_time=60min room=30m3 --explain",
    "fume agent=sulphur_dioxide mass=30g step=sulphur_dioxide_formed release_time=60min room=30m3 shift=10h",
    "limits agent=lead air.fire.mg_m3=0.12 air.fire.time=2h blood_lead.march=48 leach.lead=6 --explain",
    "balance feed_assay=20 concentrate_assay=1500 tailing_assay=4 --explain",
    "balance feed.lot.mass=500g feed.lot.gold=2..2.2% products.bead.mass=9.9g products.bead.gold=95%",
    "usual topic=minutes grams=35g --explain",
)
OF_RULES = (
    "rules check --rules own",
    "rules list checks --rules own",
    "rules show borax",
    "rules show ours-no-iron-smelt --rules own",
    "rules show ours-no-iron-smelt --rules own --witness",
    "rules show batch_mass",
    "rules show air_limits",
    "rules show pyrite",
    "rules show bead-from-smelt",
    "rules try own --case rod-eaten-and-matte-on-the-button",
    f"route --answers {FIRST} --rules own --all",
)
IN_THE_JOURNAL = (
    f"journal start --answers {WORK} --name A --by B",
    "journal add 1 feed=100g feed_gold=12% bead=11.9g slag=120g slag_gold=40g/t outcome=clean note=xx --by B",
    "journal add 1 bead=1000g --by B",
    "journal undo --by B",
    "journal add 1 fineness=930..940permille weighed.litharge=u time.cupel=40min --by B",
    "journal amend 3 110g --why xx --by B",
    "journal show 1",
    "journal list",
    "journal balance 1",
    "journal balance",
    "journal experience",
    "journal month --output month.html",
    "journal export --json out.json",
    "journal export --csv out",
    "journal export --table out.csv",
    "journal import --json out.json --journal other.sqlite",
    "journal import --csv out",
    "journal import --json own/own.yaml --journal other.sqlite",
    "journal import --csv broken --journal other.sqlite",
    "journal backup copy.sqlite",
    "journal check",
    "journal path",
)
REFUSED = (
    "nosuch",
    "route --nosuch",
    "route x",
    "sheet --paper",
    "rules show",
    "train drills --seed x",
    "kit stick --system nosuch",
    "kit stick --python 2.7",
    "rules try own --case nosuch",
    "route --answers own/own.yaml",
    "cupel metals.gold=12g collector=nosuch",
    "trial trial_button=47g dry_mass=100g",
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
    "broken/limits.yaml": "preparations:\n  dry_more: {order: -1, title: '', first: true}\n"
    "looks:\n  look: {tells: []}\n",
    "own/own.yaml": "arguments:\n  - {id: ours-no-iron-smelt, about: route.smelt_iron, says: rule_out, kind: means,\n"
    "     when: extraction is none, reason: Xxx., source: practice}\n"
    "retire:\n  - {section: arguments, id: dry-borax-does-not-froth, reason: Xxx.}\n",
}
LIBRARY = re.compile(r"\[OPTIONS\]|python -m \S+|did not find expected node content")
"""How a place for options is written, how the program was started, and what the library of YAML says by itself."""
PATTERN = re.compile(r"\b([IHo])\1+\b")
"""Letters that fill a drawing, or number an annex."""
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
    "facts",
    "asks",
    "weighed.NAME",
    "time.STEP",
    "own",
    "march",
    "strong",
    "fair",
    "slight",
    "MATERIAL",
    "COMMAND",
    "lot",
    "out",
    "broken",
    "paragraph (d)(1)(i)",
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


def loaded(path: Path) -> Any:
    """What a YAML file holds, read by the library in C where it is there: it takes a tenth of the time."""
    return yaml.load(path.read_text(encoding="utf-8"), Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))


@pytest.fixture(scope="module")
def cited() -> frozenset[str]:
    """What is the same in every language: authors, titles and places in sources, and what cases say."""
    found: set[str] = {*UNITS, CHART_SOURCE, INTERVAL_SOURCE}
    for path in (ROOT / "rules").rglob("*.yaml"):
        found |= set(_cited(loaded(path)))
    for path in CASES.rglob("*.yaml"):
        found |= set(_strings(loaded(path)))
    # Two titles side by side are folded in their columns.
    found |= {word for path in (WORK, FIRST) for word in loaded(path)["title"].upper().split()}
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
                for one in value if isinstance(value, list) else [value]:
                    place = str(one).partition(", ")[2]
                    yield from (place, PATTERN.sub(" ", place))
            elif key == "body":
                yield from (str(value), *re.split("[ ,]+", str(value)))
            else:
                yield from _cited(value)
    elif isinstance(part, list):
        for one in part:
            yield from _cited(one)


@pytest.fixture(scope="module")
def ids(diagnosing: RuleBase) -> frozenset[str]:
    """Names of commands, parts, rules, inputs and entries: what is typed is the same in every language."""
    command = typer.main.get_command(app)
    found: set[str] = {*SYSTEMS, *SECTIONS, *RESULTS, *TEXTS, *OUTCOMES, *KINDS, *LOOSE, *PARTS, *SEVERITIES}
    found |= {word for name in _typed(command) for word in re.findall(r"[A-Za-z-]+", name)}
    for section in SECTIONS:
        found |= set(getattr(diagnosing, section))
    for fact in diagnosing.facts.values():
        found |= {fact.entry.kind, *fact.entry.options}
    for entry in (FactEntry, ArgumentEntry):
        found |= set(entry.model_fields)
    for computation in COMPUTATIONS.values():
        for one in computation.inputs(Tables(diagnosing)):
            found |= {one.name, *one.name.split("."), *one.options, *(one.units or {})}
    return frozenset(found)


@pytest.fixture(scope="module")
def keys(diagnosing: RuleBase) -> frozenset[str]:
    """What stands in a rule file as it is: its keys, what a key can say, and names of cases; shown as it is written."""
    found = {word for kind in (Stance, ConstraintKind) for word in get_args(kind)}
    found |= {*diagnosing.strengths, *case_files(), "ours-no-iron-smelt", "all"}
    for kind in (*vars(entries).values(), CaseFile):
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            found |= set(kind.model_fields)
            found |= {word for field in kind.model_fields.values() for word in get_args(field.annotation)}
    found = {one for one in found if isinstance(one, str)}
    for documents in (advice_parts, parts, diagnosis_parts):
        for kind in vars(documents).values():
            found |= set(getattr(kind, "__slots__", None) or ())
    for table in diagnosing.tables.values():
        found |= {*table.entry.columns, *table.entry.columns.values()}
        found |= {
            str(row.get(name)) for name, kind in table.entry.columns.items() for row in table.rows if kind != "text"
        }
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
    text = re.sub(r"\b\w*[_=]\w*\b|\b[a-z]+(?:\.[a-z][a-z-]*)+\b|'[^'\n]{1,40}'|\bo{2,}\b", " ", text)
    text = re.sub(r"(?:\w+\|)+\w+|\b(?=\w*\d)[0-9a-f]{6,}\b", " ", text)
    text = PATTERN.sub(" ", text)
    return re.sub(r"\badvisor(?: [a-z-]+)*", " ", text)


@pytest.mark.parametrize(
    "commands",
    [HELP, SHOWN, TYPED, COMPUTED, OF_RULES, IN_THE_JOURNAL, REFUSED],
    ids=["help", "shown", "typed", "computed", "rules", "journal", "refused"],
)
def test_no_word_is_left_untranslated(
    speaking: Preloaded, cited: frozenset[str], ids: frozenset[str], keys: frozenset[str], commands: tuple[str, ...]
) -> None:
    known = cited if commands is SHOWN else cited | ids | (keys if commands in (OF_RULES, REFUSED) else frozenset())
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


CONVERSATIONS = {
    "work": ("1", "soda_ash 201 g", "1", "soda_ash zzz", "1", "xxx", "4", "", "2", "3", "?", "u", "q", "0"),
    "room new": ("?", "nx", "", "zzz", "q"),
    "room": ("1", "xxs", "999", ""),
    "route --resume": ("1", "2", "3", "1", "", "4", "", "5", "6", "c", "", "0"),
    "identify": ("?", "s", "1", "e", "2", "3", "0"),
    "train start --learner A": ("", "1", "zzz", "?", "u", "1", "", "1", "", "q"),
}
"""What is typed at a terminal, by command."""


@pytest.mark.parametrize("command", CONVERSATIONS)
def test_no_word_is_left_untranslated_at_a_terminal(
    speaking: Preloaded, program: Program, cited: frozenset[str], made_up: Path, command: str
) -> None:
    program.home.mkdir()
    (program.home / "last-route.yaml").write_text(json.dumps({"answers": PYRITIC}), encoding="utf-8")
    if command == "room":
        (program.home / "room.yaml").write_text("title: Xxx\nanswers: {mould: cone}\n", encoding="utf-8")
    name, *more = command.split()
    with speaking.talk(program, *more, command=name, ADVISOR_WORDS=str(made_up)) as talk:
        for typed in CONVERSATIONS[command]:
            if not talk.ended:
                talk.say(typed)
        shown = talk.everything.replace(str(program.folder.parent), "")
    assert "Traceback" not in shown
    known = {*cited, *CONVERSATIONS[command], *PYRITIC["reagents"], "weighed"}
    assert bare(seen(Result(0, shown.encode(), "")), known) == []


def test_files_that_are_written_are_read_again_in_any_language(speaking: Preloaded, quick: Preloaded) -> None:
    for command in (
        f"journal start --answers {WORK} --journal both.sqlite --by B",
        "journal add 1 weighed.litharge=19..21g --journal both.sqlite --by B",
        "form room --output room-form.yaml",
    ):
        result = speaking.run(*command.split())
        assert result.status == 0, (command, result.err)
    form = speaking.program.folder / "room-form.yaml"
    form.write_text(form.read_text(encoding="utf-8").replace("  #mould:", "  mould: cone"), encoding="utf-8")
    book = speaking.program.folder / "both.sqlite"
    for process in (quick, speaking):
        begun = process.run("work", "1", "--journal", book, "--by", "B")
        assert (begun.status, begun.err.count("\n")) == (LEFT, 1), begun.err
        kept = process.run("room", "new", "--answers", form)
        assert kept.status == 0, kept.err


READ_THERE = """
from advisor.present.pages.kit import KitPage, kit_html
from advisor.rulebase.values import ValueFault, read_value
from advisor.terminal.consult.typed import read_typed
from advisor.terminal.rules import prove
from advisor.units import Range, parse_measure, unit_named
from tests.proof.generated import generated
from advisor.rulebase.loading import load_rule_base

facts = load_rule_base(diagnosis=True).facts
assert read_typed(facts["mercury_test"], "nx").value == read_value(facts["mercury_test"], "no") == "not_done"
assert read_typed(facts["slag_panned"], "nx").value == "no_metal"
assert parse_measure("5 tx 10 g", unit_named("g")) == parse_measure("5 to 10 g", unit_named("g")) == Range(5, 7.5, 10)
for fact, typed in (("mercury_test", "txstxd"), ("dryness", "nxt drx"), ("lead_rules", "nx"), ("lead_rules", "xxs")):
    try:
        raise AssertionError((fact, typed, read_typed(facts[fact], typed)))
    except ValueFault as fault:
        print(fault)
for rules in (generated(24, 3, facts=4, decisions=2, options=3, wild=1.0), generated(14, 1, facts=6, ordered=False)):
    prove.run_proof(rules, rules, prove.Wanted())
prints, forms = {"print/faults.html": "Xxx"}, {"forms/route.yaml": "Xxx"}
print(kit_html(KitPage("0.1", "wheels", "name", ("windows",), ("3.12",), prints, forms)))
"""
"""What is not reached from the command line in seconds, or not without a network."""


def test_words_that_are_typed_and_the_proof_and_the_page_of_a_kit_are_in_the_language(
    cited: frozenset[str], made_up: Path, program: Program
) -> None:
    done = subprocess.run(
        [sys.executable, "-c", READ_THERE],
        env=program.environment(ADVISOR_WORDS=str(made_up)),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "prxvxd" in done.stdout
    typed = {
        *CHECKS,
        "Invented.",
        "lacks this",
        "this",
        "that",
        "red",
        "green",
        "blue",
        "yes",
        "windows",
        "wheels",
        "Scripts",
        "bin",
    }
    typed |= {"install", "pip", "-m venv", "venv", "USERPROFILE", "name", "and"}
    shown = re.sub(r"\b[a-z]+\.[a-z]\S*( [a-z0-9 ]+:)?|\b[a-z-]+-?\d+\b", " ", done.stdout)
    assert bare(seen(Result(0, shown.encode(), "")), {*cited, *typed}) == []
