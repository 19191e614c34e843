"""Loads the rule base: the shipped layer, the shop's own folders, and a cache of what was already checked."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.errors import Fault, FaultyFile, InputError
from advisor.rulebase import cache
from advisor.rulebase.locations import shipped, shown_name, spoken
from advisor.rulebase.reading.origins import SHIPPED_LAYER
from advisor.rulebase.reading.yaml_reader import MOST_BYTES, Document, decode
from advisor.words import tr

if TYPE_CHECKING:
    from advisor.rulebase.gathered import ShownText
    from advisor.rulebase.model import RuleBase

Check = Callable[["RuleBase"], Iterable[Fault]]
_MOST_FILES, _MOST_LOOKED_AT = 500, 5_000
_MOST_LAYER_BYTES = 12_000_000


def rule_files(folder: Path) -> list[Path]:
    """The rule files of a folder and its sub-folders, in a fixed order.

    Raises:
        InputError: If the folder is missing, not a folder, or holds no or too many rule files.
    """
    try:
        if not folder.is_dir():
            if folder.exists():
                wrong = tr(
                    "the rules folder {folder} is a file, not a folder; name a folder that holds .yaml files",
                    folder=folder,
                )
            else:
                wrong = tr(
                    "the rules folder {folder} does not exist; name a folder that holds .yaml files", folder=folder
                )
            raise InputError(wrong)
        seen = list(islice(folder.rglob("*"), _MOST_LOOKED_AT + 1))
        found = sorted(path for path in seen if path.suffix in (".yaml", ".yml") and path.is_file())
    except OSError as problem:
        raise InputError(
            tr(
                "the rules folder {folder} cannot be read ({why}); check its permissions",
                folder=folder,
                why=problem.strerror,
            )
        ) from None
    if len(seen) > _MOST_LOOKED_AT:
        raise InputError(
            tr(
                "the rules folder {folder} holds more than {most} files and folders;"
                " name the folder with your rules only",
                folder=folder,
                most=_MOST_LOOKED_AT,
            )
        )
    if not found:
        raise InputError(
            tr("the rules folder {folder} holds no .yaml file; name the folder with your rules", folder=folder)
        )
    if len(found) > _MOST_FILES:
        raise InputError(
            tr(
                "the rules folder {folder} holds more than {most} files; name the folder with your rules only",
                folder=folder,
                most=_MOST_FILES,
            )
        )
    return found


def load_rule_base(
    own_folders: Sequence[Path] = (),
    *,
    use_cache: bool = True,
    diagnosis: bool = False,
    promises: bool = False,
    check: Check | None = None,
    base: Path | None = None,
    notify: Callable[[str], None] = lambda _: None,
) -> RuleBase:
    """The rule base with the shop's own folders laid over it.

    Args:
        own_folders: Folders of rule files; later ones lie on top.
        diagnosis: Whether to take the files of the diagnosis too; the route consultation does without them.
        use_cache: Whether files that were checked before may be taken from the cache.
        check: What those who work with the rules find wrong in them; asked once, when the rules are compiled.
        promises: Whether to keep what a proof reads; it is checked in any case, but a consultation does without.
        base: A folder with a whole rule base that takes the place of the shipped one.
        notify: Called with a sentence when there is a cache that cannot be believed.

    Raises:
        FaultyFile: With every fault in the files.
        InputError: If a folder or file cannot be read.
    """
    layers = _read_layers(own_folders, base, diagnosis=diagnosis)
    fingerprint = _fingerprint(layers)
    kind = f"{fingerprint}{' with promises' if promises else ''}{'' if check is None else ' checked'}"
    kept = cache.cache_file(kind) if use_cache else None
    made = partial(_made, layers, fingerprint, check, promises=promises)
    if kept is None:
        return _of_image(made())
    try:
        rule_base = cache.recall(kept, fingerprint)
    except cache.CacheNotOursError as problem:
        notify(str(problem))
        return _of_image(made())
    if rule_base is None:
        image = made()
        cache.keep(kept, image)
        rule_base = _of_image(image)
    return rule_base


def load_texts(own_folders: Sequence[Path] = (), *, base: Path | None = None) -> list[ShownText]:
    """Every text of the rules of both consultations, with the place that is its id and its line, for translators.

    Args:
        own_folders: Folders of rule files that lie over the shipped ones.
        base: A folder with a whole rule base that takes the place of the shipped one.

    Raises:
        FaultyFile: With every fault in the files.
        InputError: If a folder or file cannot be read.
    """
    from advisor.rulebase.compiling.compiler import compile_rule_base
    from advisor.rulebase.gathered import shown_texts
    from advisor.rulebase.reading.layers import merge

    found: dict[str, ShownText] = {}
    # What one consultation says in the words of the other stands by itself where the other is not read.
    for diagnosis in (False, True):
        merged = merge(_parsed(_read_layers(own_folders, base, diagnosis=diagnosis)))
        for text in shown_texts(merged, compile_rule_base(merged)):
            found.setdefault(text.place, text)
    return list(found.values())


def _read_layers(own_folders: Sequence[Path], base: Path | None, *, diagnosis: bool) -> _Layers:
    lowest = (SHIPPED_LAYER, shipped("rules")) if base is None else (spoken(base), base)
    folders = [lowest, *((spoken(folder), folder) for folder in own_folders)]
    return [(title, _read_layer(folder, diagnosis)) for title, folder in folders]


def _of_image(image: bytes) -> RuleBase:
    from advisor.rulebase.image import read

    rule_base = read(image)
    assert rule_base is not None
    return rule_base


_Layers = list[tuple[str, list[tuple[str, bytes]]]]


def _of_diagnosis(content: bytes) -> bool:
    """A file says in its first column that only the diagnosis uses it, so it need not be parsed to be left out."""
    return content.startswith(b"consultation:") or b"\nconsultation:" in content


def _read_layer(folder: Path, diagnosis: bool) -> list[tuple[str, bytes]]:
    contents = []
    whole = 0
    for path in rule_files(folder):
        name = shown_name(path)
        try:
            if path.stat().st_size > MOST_BYTES:
                raise InputError(
                    tr(
                        "{name} is larger than {most} MB; split it into smaller files",
                        name=name,
                        most=MOST_BYTES // 1000000,
                    )
                )
            content = path.read_bytes()
            whole += len(content)
        except OSError as problem:
            raise InputError(
                tr("{name} cannot be read ({why}); check its permissions", name=name, why=problem.strerror)
            ) from None
        if whole > _MOST_LAYER_BYTES:
            raise InputError(
                tr(
                    "the rules folder {folder} holds more than {most} MB of rules; take out what is not needed",
                    folder=folder,
                    most=_MOST_LAYER_BYTES // 1000000,
                )
            )
        if diagnosis or not _of_diagnosis(content):
            contents.append((name, content))
    return contents


def _fingerprint(layers: _Layers) -> str:
    digest = hashlib.sha256()
    for title, files in layers:
        for name, content in files:
            for part in (os.fsencode(title), os.fsencode(name), content):
                digest.update(len(part).to_bytes(8, "big"))
                digest.update(part)
    return digest.hexdigest()


def _made(layers: _Layers, fingerprint: str, check: Check | None, *, promises: bool) -> bytes:
    """The image of the rule base from the files themselves; the program works with nothing else.

    Raises:
        FaultyFile: With every fault.
    """
    from advisor.rulebase.compiling.compiler import compile_rule_base
    from advisor.rulebase.engraving import written
    from advisor.rulebase.reading.layers import merge

    rule_base = compile_rule_base(merge(_parsed(layers)), fingerprint)
    faults = [] if check is None else list(check(rule_base))
    if faults:
        raise FaultyFile(faults)
    return written(rule_base if promises else replace(rule_base, invariants={}, worse={}, kept={}))


def _parsed(layers: _Layers) -> list[tuple[str, list[Document]]]:
    from advisor.rulebase.reading.layers import merge
    from advisor.rulebase.reading.yaml_reader import parse_yaml

    faults: list[Fault] = []
    result = []
    for title, files in layers:
        documents = []
        for name, content in files:
            try:
                documents.append(parse_yaml(decode(content, name), name))
            except FaultyFile as problem:
                faults.extend(problem.faults)
        result.append((title, documents))
    if faults:
        # The files that could be read are looked at too, so that one run shows as many faults as it can.
        found = merge(result).faults
        raise FaultyFile(faults + [fault for fault in found if fault.line])
    return result
