"""What the cache says is believed only where nobody else can have said it."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from advisor.rulebase.cache import CacheNotOursError, cache_file, cache_folder, keep, recall
from advisor.rulebase.engraving import written
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase
from tests.batches import PYRITIC
from tests.rulebase.small_base import compiled
from tests.terminal.program import Program, Result

pytestmark = pytest.mark.skipif(os.name == "nt", reason="there are no owners to look at")

NOBODY = 65534
STOP, FINE = 3, 0
as_root = pytest.mark.skipif(os.name != "nt" and os.geteuid() != 0, reason="only root can give a file away")

Spoil = Callable[[Path], None]


@pytest.fixture(scope="module")
def small() -> RuleBase:
    """Rules that are soon written."""
    return replace(compiled(), fingerprint="small")


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, small: RuleBase) -> Path:
    """A file of the cache that the program wrote itself."""
    monkeypatch.setenv("ADVISOR_CACHE", str(tmp_path / "cache"))
    path = cache_file(small.fingerprint)
    assert path is not None
    keep(path, written(small))
    assert recall(path, small.fingerprint) is not None
    return path


def linked_file(path: Path) -> None:
    path.rename(path.with_name("elsewhere"))
    path.symlink_to("elsewhere")


def twice_named_file(path: Path) -> None:
    path.with_name("elsewhere").hardlink_to(path)


def foreign_folder_behind_a_link(path: Path) -> None:
    there = path.parent.rename(path.parent.with_name("there"))
    os.chown(there, NOBODY, NOBODY)
    path.parent.symlink_to(there)


def foreign_link_to_our_folder(path: Path) -> None:
    there = path.parent.rename(path.parent.with_name("there"))
    path.parent.symlink_to(there)
    os.lchown(path.parent, NOBODY, NOBODY)


SPOILT: list[tuple[str, Spoil, str]] = [
    ("file for the group", lambda path: path.chmod(0o660), "can be written by other accounts"),
    ("file for all", lambda path: path.chmod(0o606), "can be written by other accounts"),
    ("folder for the group", lambda path: path.parent.chmod(0o770), "can be written by other accounts"),
    ("folder for all", lambda path: path.parent.chmod(0o703), "can be written by other accounts"),
    ("linked file", linked_file, "is a link"),
    ("twice named file", twice_named_file, "is a link"),
]
FOREIGN: list[tuple[str, Spoil, str]] = [
    ("file of another", lambda path: os.chown(path, NOBODY, -1), "belongs to another account"),
    ("folder of another", lambda path: os.chown(path.parent, NOBODY, -1), "belongs to another account"),
    ("folder of another behind a link", foreign_folder_behind_a_link, "belongs to another account"),
    ("link of another to our folder", foreign_link_to_our_folder, "belongs to another account"),
]
EVERY_WAY = [
    *(pytest.param(spoil, said, id=name) for name, spoil, said in SPOILT),
    *(pytest.param(spoil, said, id=name, marks=as_root) for name, spoil, said in FOREIGN),
]


@pytest.mark.parametrize(("spoil", "said"), EVERY_WAY)
def test_what_others_could_have_written_is_not_read(spoil: Spoil, said: str, kept: Path, small: RuleBase) -> None:
    spoil(kept)
    with pytest.raises(CacheNotOursError, match=said) as refused:
        recall(kept, small.fingerprint)
    assert str(kept.parent) in str(refused.value)
    assert "ADVISOR_CACHE" in str(refused.value)


@pytest.mark.parametrize(("spoil", "said"), [way for way in EVERY_WAY if "folder" in str(way.id)])
def test_nothing_is_written_into_a_folder_that_others_may_change(
    spoil: Spoil, said: str, kept: Path, small: RuleBase
) -> None:
    spoil(kept)
    content = kept.read_bytes()
    keep(kept, written(replace(small, fingerprint="another")))
    assert said
    assert kept.read_bytes() == content


def test_our_own_link_to_our_own_folder_is_followed(kept: Path, small: RuleBase) -> None:
    there = kept.parent.rename(kept.parent.with_name("there"))
    kept.parent.symlink_to(there)
    assert recall(kept, small.fingerprint) is not None


@contextmanager
def umask(wanted: int) -> Iterator[None]:
    before = os.umask(wanted)
    try:
        yield
    finally:
        os.umask(before)


@pytest.mark.parametrize("wanted", [0o000, 0o002, 0o022, 0o077])
def test_whatever_the_umask_is_the_cache_is_ours_alone(
    wanted: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ADVISOR_CACHE", str(tmp_path / "deep" / "down"))
    with umask(wanted):
        load_rule_base(notify=pytest.fail)
        load_rule_base(notify=pytest.fail)
    (file,) = cache_folder().iterdir()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    made = (cache_folder(), tmp_path / "deep" / "down", tmp_path / "deep")
    assert {stat.S_IMODE(folder.stat().st_mode) for folder in made} == {0o700}


def test_a_file_beside_the_images_is_never_swept_away(kept: Path, small: RuleBase) -> None:
    (kept.parent / "rules-of-mine.txt").write_text("mine")
    image = written(small)
    for number in range(12):
        keep(kept.with_name(f"rules-{number}.image"), image)
    assert (kept.parent / "rules-of-mine.txt").exists()
    assert len(list(kept.parent.glob("*.image"))) == 8


# Through the command line: an image that would turn a stop into a smelt


def poisoned(rule_base: RuleBase) -> RuleBase:
    """The rules without a word on mercury."""
    quiet = [a for a in rule_base.decisions["route"].arguments if "mercury" not in a.condition.text]
    route = replace(rule_base.decisions["route"], arguments=tuple(quiet))
    return replace(
        rule_base,
        decisions={**rule_base.decisions, "route": route},
        arguments={a.id: a for a in rule_base.arguments.values() if "mercury" not in a.condition.text},
    )


MERCURY = {**PYRITIC, "mercury_history": "now", "mercury_signs": "yes"}


@cache
def poisoned_image() -> tuple[str, bytes]:
    """What the rules are called in a cache, and such an image of them."""
    rule_base = load_rule_base()
    return f"{rule_base.fingerprint} checked", written(poisoned(rule_base))


@pytest.fixture
def hoaxed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache in which somebody has put such an image."""
    called, image = poisoned_image()
    monkeypatch.setenv("ADVISOR_CACHE", str(tmp_path / "hoax"))
    path = cache_file(called)
    assert path is not None
    keep(path, image)
    return path


def asked(program: Program, path: Path) -> Result:
    return program.route(MERCURY, "--json", ADVISOR_CACHE=str(path.parent.parent))


def test_such_an_image_would_light_the_fire_if_it_were_believed(program: Program, hoaxed: Path) -> None:
    assert asked(program, hoaxed).status == FINE


@pytest.mark.parametrize(("spoil", "said"), EVERY_WAY)
def test_an_image_that_a_neighbour_could_have_put_there_lights_no_fire(
    spoil: Spoil, said: str, program: Program, hoaxed: Path
) -> None:
    spoil(hoaxed)
    result = asked(program, hoaxed)
    assert result.status == STOP
    assert result.json["stop"]
    assert len(result.err.splitlines()) == 1
    assert said in result.err
    assert str(hoaxed.parent) in result.err


@as_root
def test_a_folder_that_a_neighbour_made_first_is_left_alone(program: Program, tmp_path: Path) -> None:
    theirs = tmp_path / "shared" / "advisor"
    theirs.mkdir(parents=True)
    theirs.chmod(0o777)
    os.chown(theirs, NOBODY, NOBODY)
    for variable in ("ADVISOR_CACHE", "XDG_CACHE_HOME"):
        result = program.route(PYRITIC, **{"ADVISOR_CACHE": None, variable: str(tmp_path / "shared")})
        assert result.status == FINE
        assert str(theirs) in result.err
        assert "belongs to another account" in result.err
    assert list(theirs.iterdir()) == []


def test_one_run_that_loads_two_rule_bases_says_it_once(program: Program, tmp_path: Path) -> None:
    folder = tmp_path / "open" / "advisor"
    folder.mkdir(parents=True)
    folder.chmod(0o777)
    case = Path(__file__).parents[2] / "cases" / "diagnosis" / "rim-that-unfolded.yaml"
    result = program.run("diagnose", "--observations", case, ADVISOR_CACHE=str(tmp_path / "open"))
    assert result.status == FINE
    assert len(result.err.splitlines()) == 1
