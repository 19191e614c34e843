"""The compiled rule base as bytes, so that a start neither parses nor validates nor compiles what it did before.

Reading an image runs nothing that stands in it: it can only make objects of the classes a rule base is made of. Its
values are not validated again, so an image is read only by the very program that wrote it (``program_stamp``), and
only when its digest shows that no byte has changed.
"""

from __future__ import annotations

import hashlib
import io
import pickle
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

from pydantic import VERSION, BaseModel

from advisor import __version__
from advisor.frozen import is_frozen
from advisor.rulebase.language.conditions import Condition
from advisor.rulebase.model import RuleBase

_PACKAGE = Path(__file__).resolve().parent.parent
_MADE_OF = ("rulebase", "units")
"""The packages whose classes a rule base is made of, and whose code decides what it says."""

_DIGEST_BYTES = hashlib.sha256().digest_size


def program_stamp() -> str:
    """What tells this very program from every other: its files with size and time, and what it runs on.

    Raises:
        OSError: If the program's own files cannot be listed.
    """
    digest = hashlib.sha256(f"{__version__} {VERSION} {sys.version}".encode())
    for path in sorted(path for package in _MADE_OF for path in (_PACKAGE / package).rglob("*.py")):
        seen = path.stat()
        digest.update(f"{path.relative_to(_PACKAGE)} {seen.st_size} {seen.st_mtime_ns}\n".encode())
    return digest.hexdigest()


def written(rule_base: RuleBase) -> bytes:
    """The image of a rule base, its digest before it."""
    file = io.BytesIO()
    _Writer(file, protocol=5).dump(rule_base)
    content = file.getvalue()
    return hashlib.sha256(content).digest() + content


def read(image: bytes) -> RuleBase | None:
    """The rule base of an image; None when it is damaged or holds anything else."""
    digest, content = image[:_DIGEST_BYTES], image[_DIGEST_BYTES:]
    if hashlib.sha256(content).digest() != digest:
        return None
    try:
        found = _Reader(io.BytesIO(content)).load()
    except Exception:  # whatever a foreign file makes it stumble over, the rule files are there
        return None
    return found if isinstance(found, RuleBase) else None


_set = object.__setattr__
_FIELDS: dict[type[BaseModel], set[str]] = {}
"""All fields of each kind of entry; one set serves every entry, since an entry never changes."""


def entry_of(kind: type[BaseModel], values: dict[str, Any]) -> BaseModel:
    """An entry from values that were validated when the image was written."""
    entry = kind.__new__(kind)
    _set(entry, "__dict__", values)
    _set(entry, "__pydantic_fields_set__", _FIELDS.get(kind) or _FIELDS.setdefault(kind, set(values)))
    _set(entry, "__pydantic_extra__", None)
    _set(entry, "__pydantic_private__", None)
    return entry


class _Writer(pickle.Pickler):
    """Writes entries and conditions as the call that makes them, as frozen objects are written anyway."""

    def reducer_override(self, thing: Any) -> Any:
        if isinstance(thing, BaseModel):
            return entry_of, (type(thing), thing.__dict__)
        if isinstance(thing, Condition):
            return Condition, (thing.text, thing.tree)
        return NotImplemented


class _Reader(pickle.Unpickler):
    """Makes nothing but what a rule base is made of."""

    def find_class(self, module: str, name: str) -> Callable[..., Any]:
        if (module, name) == (__name__, entry_of.__name__):
            return entry_of
        parts = module.split(".")
        if parts[0] == "advisor" and parts[1:2] and parts[1] in _MADE_OF:
            found = getattr(import_module(module), name, None)
            if isinstance(found, type) and found.__module__ == module and _may_be_made(found):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no part of a rule base")


def _may_be_made(kind: type) -> bool:
    return kind is Condition or is_frozen(kind) or issubclass(kind, BaseModel)
