"""The shop's own rules over the shipped ones, and the cache of what was already checked."""

from __future__ import annotations

import os
import pickle
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from advisor.errors import FaultyFile, InputError
from advisor.rulebase import image, loading
from advisor.rulebase.cache import cache_file, cache_folder, keep
from advisor.rulebase.engraving import written
from advisor.rulebase.loading import load_rule_base, rule_files
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.origins import SHIPPED_LAYER, Override
from tests.rulebase.small_base import BASE

pytestmark = pytest.mark.usefixtures("cold_cache")

OWN_ARGUMENT = """\
arguments:
  - {id: our-own, about: route.roast, says: against, strength: slight, when: place is shed, reason: Smoke stays.,
     source: practice}
"""


@pytest.fixture(autouse=True)
def lower_layer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The small invented rule base in place of the shipped one."""
    folder = tmp_path / "lower"
    folder.mkdir()
    (folder / "base.yaml").write_text(BASE, encoding="utf-8")
    monkeypatch.setattr(loading, "shipped", lambda _: folder)
    return folder


def own(tmp_path: Path, text: str, name: str = "own") -> Path:
    """A shop's own folder with one rule file."""
    folder = tmp_path / name
    folder.mkdir(exist_ok=True)
    (folder / "rules.yaml").write_text(text, encoding="utf-8")
    return folder


def told(rule_base: RuleBase) -> dict[str, Any]:
    """Everything a rule base says, in a form that can be compared."""
    parts: dict[str, Any] = {
        "names": {
            section: list(getattr(rule_base, section)) for section in ("facts", "decisions", "arguments", "quantities")
        },
        "plain": [
            rule_base.title, rule_base.strengths, rule_base.groups, rule_base.stages, rule_base.sources,
            rule_base.variables, rule_base.fingerprint, rule_base.layers, rule_base.overrides,
        ],
    }  # fmt: skip
    for section in ("facts", "thresholds", "arguments", "hazards", "steps", "materials", "amounts", "checks"):
        for name, thing in getattr(rule_base, section).items():
            condition = getattr(thing, "condition", None)
            parts[f"{section} {name}"] = (
                thing.entry,
                thing.origin,
                getattr(thing, "sources", ()),
                condition and (condition.text, condition.tree, condition.words),
            )
    return parts


def cache_files() -> list[Path]:
    return sorted(cache_folder().glob("*")) if cache_folder().is_dir() else []


# --- layers ----------------------------------------------------------------------------------------


def test_without_own_folders_there_is_one_layer_and_no_override(lower_layer: Path) -> None:
    rule_base = load_rule_base()
    assert rule_base.layers == (SHIPPED_LAYER,)
    assert rule_base.overrides == ()
    assert rule_base.arguments["wet-spits"].origin.file == str(lower_layer / "base.yaml")


def test_an_own_rule_is_added_and_says_where_it_stands(tmp_path: Path) -> None:
    folder = own(tmp_path, OWN_ARGUMENT)
    rule_base = load_rule_base([folder])
    assert list(rule_base.arguments)[-1] == "our-own"
    assert rule_base.decisions["route"].arguments[-1].id == "our-own"
    origin = rule_base.arguments["our-own"].origin
    assert (origin.file, origin.line, origin.layer) == (str(folder / "rules.yaml"), 2, str(folder))
    assert rule_base.layers == (SHIPPED_LAYER, str(folder))
    assert rule_base.overrides == ()


def test_an_own_threshold_replaces_the_lower_one_everywhere_and_is_recorded(tmp_path: Path) -> None:
    folder = own(tmp_path, "thresholds:\n  share_limit: {value: 2 %, means: ours, reason: ours, source: practice}\n")
    rule_base = load_rule_base([folder])
    assert rule_base.facts["share"].breakpoints == (0.02,)
    assert rule_base.findings["rich_in_sulphide"].condition.words == "sulphide share above 2 %"
    assert rule_base.overrides == (Override("thresholds", "share_limit", str(folder), "replaced", ""),)


def test_a_replaced_rule_keeps_its_place_in_the_order(tmp_path: Path) -> None:
    text = OWN_ARGUMENT.replace("our-own", "wet-spits")
    rule_base = load_rule_base([own(tmp_path, text)])
    assert list(rule_base.arguments) == ["wet-spits", "sulphide-wants-roast", "pot-for-melting"]
    assert rule_base.arguments["wet-spits"].entry.says == "against"


def test_an_own_folder_switches_a_rule_off_and_must_say_why(tmp_path: Path) -> None:
    folder = own(tmp_path, "retire:\n  - {section: arguments, id: wet-spits, reason: We dry everything.}\n")
    rule_base = load_rule_base([folder])
    assert "wet-spits" not in rule_base.arguments
    assert all(argument.id != "wet-spits" for argument in rule_base.decisions["route"].arguments)
    assert rule_base.overrides == (
        Override("arguments", "wet-spits", str(folder), "switched off", "We dry everything."),
    )


def test_changing_the_weights_of_the_whole_rule_base_is_recorded_too(tmp_path: Path) -> None:
    base = BASE[: BASE.index("sources:")].replace("strong: 8", "strong: 80")
    folder = own(tmp_path, base)
    rule_base = load_rule_base([folder])
    assert rule_base.arguments["sulphide-wants-roast"].weight == 80
    assert rule_base.overrides == (Override("base", "base", str(folder), "replaced", ""),)


def test_of_two_own_folders_the_later_one_lies_on_top(tmp_path: Path) -> None:
    first = own(tmp_path, OWN_ARGUMENT.replace("Smoke stays.", "First."), "first")
    second = own(tmp_path, OWN_ARGUMENT.replace("Smoke stays.", "Second."), "second")
    above = load_rule_base([first, second])
    below = load_rule_base([second, first])
    assert above.arguments["our-own"].entry.reason == "Second."
    assert below.arguments["our-own"].entry.reason == "First."
    assert above.layers == (SHIPPED_LAYER, str(first), str(second))
    assert above.overrides == (Override("arguments", "our-own", str(second), "replaced", ""),)
    assert above.fingerprint != below.fingerprint


def test_an_upper_folder_can_switch_off_what_a_middle_one_added(tmp_path: Path) -> None:
    first = own(tmp_path, OWN_ARGUMENT, "first")
    second = own(tmp_path, "retire:\n  - {section: arguments, id: our-own, reason: No.}\n", "second")
    assert "our-own" not in load_rule_base([first, second]).arguments
    with pytest.raises(FaultyFile, match="there is no such entry in arguments"):
        load_rule_base([second, first])


def test_a_name_twice_in_one_own_folder_is_a_fault_and_not_an_override(tmp_path: Path) -> None:
    folder = own(tmp_path, OWN_ARGUMENT)
    (folder / "again.yaml").write_text(OWN_ARGUMENT, encoding="utf-8")
    with pytest.raises(FaultyFile) as refused:
        load_rule_base([folder])
    (fault,) = refused.value.faults
    assert (fault.file, fault.line) == (str(folder / "rules.yaml"), 2)
    assert f"{folder / 'again.yaml'}:2" in fault.wrong


def test_a_fault_in_an_own_folder_names_its_file_and_line(tmp_path: Path) -> None:
    folder = own(tmp_path, OWN_ARGUMENT.replace("place is shed", "place is shedd"))
    with pytest.raises(FaultyFile) as refused:
        load_rule_base([folder])
    (fault,) = refused.value.faults
    assert (fault.file, fault.line) == (str(folder / "rules.yaml"), 2)
    assert "(closest: shed)" in fault.right


def test_malformed_files_of_all_layers_are_reported_at_once(tmp_path: Path) -> None:
    first, second = own(tmp_path, "a: [1", "first"), own(tmp_path, "b: &x 1", "second")
    with pytest.raises(FaultyFile) as refused:
        load_rule_base([first, second])
    assert {fault.file for fault in refused.value.faults} == {str(first / "rules.yaml"), str(second / "rules.yaml")}


def test_rules_are_found_in_sub_folders_and_under_both_endings(tmp_path: Path) -> None:
    folder = own(tmp_path, OWN_ARGUMENT)
    (folder / "deep" / "deeper").mkdir(parents=True)
    for path in (folder / "deep" / "deeper" / "b.yml", folder / "deep" / "a.yaml", folder / "notes.txt"):
        path.write_text("", encoding="utf-8")
    assert rule_files(folder) == [
        folder / "deep" / "a.yaml",
        folder / "deep" / "deeper" / "b.yml",
        folder / "rules.yaml",
    ]


def test_how_rules_are_spread_over_files_does_not_matter(lower_layer: Path) -> None:
    whole = load_rule_base()
    breakpoint = BASE.index("findings:")
    (lower_layer / "base.yaml").write_text(BASE[:breakpoint], encoding="utf-8")
    (lower_layer / "rest.yaml").write_text(BASE[breakpoint:], encoding="utf-8")
    spread = load_rule_base()
    assert list(spread.arguments) == list(whole.arguments)
    assert [a.condition.words for a in spread.arguments.values()] == [
        a.condition.words for a in whole.arguments.values()
    ]


@pytest.mark.parametrize(
    ("make", "wrong"),
    [
        (lambda _: None, "does not exist; name a folder"),
        (lambda path: path.write_text(""), "is a file, not a folder"),
        (lambda path: path.mkdir(), "holds no .yaml file"),
    ],
)
def test_an_own_folder_that_holds_no_rules_is_refused(tmp_path: Path, make: Any, wrong: str) -> None:
    make(tmp_path / "own")
    with pytest.raises(InputError, match=wrong):
        load_rule_base([tmp_path / "own"])


def test_a_folder_full_of_other_things_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loading, "_MOST_FILES", 2)
    folder = own(tmp_path, OWN_ARGUMENT)
    for name in ("a.yaml", "b.yaml"):
        (folder / name).write_text("", encoding="utf-8")
    with pytest.raises(InputError, match="holds more than 2 files"):
        load_rule_base([folder])


def test_an_own_file_that_is_not_text_or_too_large_is_refused(tmp_path: Path) -> None:
    folder = own(tmp_path, "")
    (folder / "rules.yaml").write_bytes(b"a: caf\xe9")
    with pytest.raises(InputError, match=r"rules\.yaml:1: this is not UTF-8 text"):
        load_rule_base([folder])
    with (folder / "rules.yaml").open("wb") as file:
        file.truncate(5_000_000)
    with pytest.raises(InputError, match="larger than 4 MB"):
        load_rule_base([folder])


# --- the cache -------------------------------------------------------------------------------------


@pytest.fixture
def parsed(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Grows by one whenever the files are parsed and not taken from the cache."""
    calls: list[int] = []
    real = loading._parsed

    def counted(layers: Any) -> Any:
        calls.append(1)
        return real(layers)

    monkeypatch.setattr(loading, "_parsed", counted)
    return calls


def test_from_the_cache_comes_the_same_rule_base(tmp_path: Path, parsed: list[int]) -> None:
    folder = own(tmp_path, OWN_ARGUMENT)
    fresh = load_rule_base([folder])
    cached = load_rule_base([folder])
    assert len(parsed) == 1
    assert told(cached) == told(fresh)
    assert told(load_rule_base([folder], use_cache=False)) == told(fresh)
    assert len(parsed) == 2


def test_any_change_in_any_file_is_seen_at_once(tmp_path: Path, lower_layer: Path, parsed: list[int]) -> None:
    folder = own(tmp_path, OWN_ARGUMENT)
    seen = {load_rule_base([folder]).fingerprint, load_rule_base().fingerprint}
    own(tmp_path, OWN_ARGUMENT.replace("Smoke stays.", "Smoke goes."))
    changed = load_rule_base([folder])
    assert changed.arguments["our-own"].entry.reason == "Smoke goes."
    (folder / "rules.yaml").rename(folder / "renamed.yaml")
    renamed = load_rule_base([folder])
    assert renamed.arguments["our-own"].origin.file == str(folder / "renamed.yaml")
    (lower_layer / "base.yaml").write_text(BASE + "\n# A remark.\n", encoding="utf-8")
    seen |= {changed.fingerprint, renamed.fingerprint, load_rule_base([folder]).fingerprint}
    assert len(seen) == len(parsed) == 5


def test_without_the_cache_nothing_is_written() -> None:
    load_rule_base(use_cache=False)
    assert cache_files() == []


def test_faulty_rules_are_never_cached(tmp_path: Path) -> None:
    folder = own(tmp_path, OWN_ARGUMENT.replace("place is shed", "nothing"))
    for _ in range(2):
        with pytest.raises(FaultyFile):
            load_rule_base([folder])
    assert cache_files() == []


def _payload(thing: Any) -> Any:
    """Damage that keeps the digest right: a file written with intent, or by another program."""

    def damage(path: Path) -> None:
        content = thing if isinstance(thing, bytes) else pickle.dumps(thing)
        path.write_bytes(image.sealed(content, pickle.dumps([]), pickle.dumps(({}, {}))))

    return damage


class _Runs:
    """What an image must never do when it is read."""

    def __reduce__(self) -> Any:
        return os.mkdir, ("was-run",)


def _one_byte(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)


@pytest.mark.parametrize(
    "damage",
    [
        pytest.param(lambda path: path.write_bytes(b""), id="empty"),
        pytest.param(lambda path: path.write_bytes(path.read_bytes()[:-100]), id="cut short"),
        pytest.param(_one_byte, id="one bit"),
        pytest.param(lambda path: path.write_bytes(os.urandom(2000)), id="noise"),
        pytest.param(lambda path: path.write_text("[" * 100_000), id="text"),
        pytest.param(lambda path: (path.unlink(), path.mkdir()), id="a folder in its place"),
        pytest.param(_payload([]), id="a list"),
        pytest.param(_payload(None), id="nothing"),
        pytest.param(_payload(b"\x80\x05"), id="cut short with its digest"),
        pytest.param(_payload(b"("), id="a mark and no more"),
        pytest.param(_payload(_Runs()), id="something to run"),
        pytest.param(_payload(Path("elsewhere")), id="objects of other programs"),
        pytest.param(_payload(Override("arguments", "x", "y", "z", "")), id="another object of a rule base"),
    ],
)
def test_a_damaged_cache_file_is_passed_over(
    damage: Any, parsed: list[int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    fresh = told(load_rule_base())
    (path,) = cache_files()
    damage(path)
    assert told(load_rule_base()) == fresh
    assert len(parsed) == 2
    assert not (tmp_path / "was-run").exists()
    if path.is_file():
        assert told(load_rule_base()) == fresh
        assert len(parsed) == 2, "the damaged file was not mended"


@pytest.mark.parametrize("part", [1, 2], ids=["told of rules", "texts"])
@pytest.mark.parametrize("foreign", [b"", pickle.dumps(_Runs()), b"\x80\x05"], ids=["nothing", "to run", "cut short"])
def test_a_foreign_part_that_is_read_later_is_one_sentence_then(
    part: int, foreign: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody of this account put them there with intent, for the digest is right."""
    monkeypatch.chdir(tmp_path)
    load_rule_base()
    (path,) = cache_files()
    parts = image.parts_of(path.read_bytes())
    assert parts is not None
    path.write_bytes(image.sealed(*(foreign if number == part else bytes(one) for number, one in enumerate(parts))))
    rule_base = load_rule_base()
    with pytest.raises(InputError, match=r"cannot be read; delete the folder"):
        print(next(iter(rule_base.hazards.values())).entry.title)
    assert not (tmp_path / "was-run").exists()


def test_a_file_of_the_cache_serves_no_other_rules(tmp_path: Path, parsed: list[int]) -> None:
    load_rule_base()
    (other,) = cache_files()
    content = other.read_bytes()
    folder = own(tmp_path, OWN_ARGUMENT)
    load_rule_base([folder])
    (path,) = set(cache_files()) - {other}
    path.write_bytes(content)
    assert "our-own" in load_rule_base([folder]).arguments
    assert len(parsed) == 3


def test_a_cache_of_another_program_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """So a less strict one cannot hide a fault, or its line."""
    text = (
        "arguments:\n- id: our-own\n  about: route.roast\n  says: rule_out\n  kind: means\n"
        "  when: nothing\n  reason: r\n"
    )
    folder = own(tmp_path, text + "  source: practice\n")
    with monkeypatch.context() as lax:
        lax.setattr(image, "program_stamp", lambda: "a less strict program")
        layers = [
            (SHIPPED_LAYER, loading._read_layer(loading.shipped("rules"), False)),
            (str(folder), loading._read_layer(folder, False)),
        ]
        fingerprint = loading._fingerprint(layers)
        lenient = replace(load_rule_base(use_cache=False), fingerprint=fingerprint)
        path = cache_file(fingerprint)
        assert path is not None
        keep(path, written(lenient))
        assert load_rule_base([folder]).fingerprint == fingerprint
    with pytest.raises(FaultyFile) as refused:
        load_rule_base([folder])
    assert [fault.line for fault in refused.value.faults] == [6]


def test_every_file_of_the_program_that_makes_a_rule_base_is_in_its_stamp(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for package in image._MADE_OF:
        (tmp_path / package).mkdir()
        (tmp_path / package / "one.py").write_text("1")
    monkeypatch.setattr(image, "_PACKAGE", tmp_path)
    stamps = {image.program_stamp()}
    for package in image._MADE_OF:
        (tmp_path / package / "one.py").write_text("12")
        stamps.add(image.program_stamp())
    (tmp_path / package / "two.py").write_text("")
    stamps.add(image.program_stamp())
    os.utime(tmp_path / package / "two.py", ns=(1, 1))
    stamps.add(image.program_stamp())
    assert len(stamps) == len(image._MADE_OF) + 3
    assert image.program_stamp() in stamps


def test_a_cache_folder_that_cannot_be_made_only_costs_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, parsed: list[int]
) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("ADVISOR_CACHE", str(tmp_path / "file"))
    assert told(load_rule_base()) == told(load_rule_base())
    assert len(parsed) == 2


@pytest.mark.parametrize("failing", ["replace", "write"])
def test_a_full_disk_only_costs_time_and_leaves_no_litter(
    failing: str, monkeypatch: pytest.MonkeyPatch, parsed: list[int]
) -> None:
    def full(*_: Any, **__: Any) -> None:
        raise OSError(28, "No space left on device")

    if failing == "replace":
        monkeypatch.setattr(os, "replace", full)
    else:
        monkeypatch.setattr(tempfile, "NamedTemporaryFile", full)
    assert told(load_rule_base()) == told(load_rule_base())
    assert len(parsed) == 2
    assert cache_files() == []


def test_what_is_used_stays_in_the_cache_however_many_others_are_written(tmp_path: Path, parsed: list[int]) -> None:
    load_rule_base()
    for number in range(10):
        load_rule_base([own(tmp_path, OWN_ARGUMENT.replace("Smoke", f"Smoke {number}"))])
        assert load_rule_base().title == "Invented rules"
    assert len(parsed) == 11


def test_a_person_without_a_home_only_waits(monkeypatch: pytest.MonkeyPatch, parsed: list[int]) -> None:
    for name in ("ADVISOR_CACHE", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)

    def homeless() -> Path:
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.setattr(Path, "home", homeless)
    assert told(load_rule_base()) == told(load_rule_base())
    assert len(parsed) == 2


def test_old_cache_files_are_swept_away(tmp_path: Path) -> None:
    for number in range(12):
        load_rule_base([own(tmp_path, OWN_ARGUMENT.replace("Smoke", f"Smoke {number}"))])
    assert len(cache_files()) == 8


def test_the_cache_lies_where_the_settings_say(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("ADVISOR_CACHE", str(tmp_path / "one"))
    assert cache_folder() == tmp_path / "one" / "advisor"
    monkeypatch.delenv("ADVISOR_CACHE")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "two"))
    assert cache_folder() == tmp_path / "two" / "advisor"
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    if os.name != "nt":
        assert cache_folder() == tmp_path / ".cache" / "advisor"
