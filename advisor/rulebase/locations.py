"""Where the shipped rules and cases are, in an installed package and in a checkout."""

from __future__ import annotations

import os
from pathlib import Path

from advisor.errors import AdvisorError
from advisor.words import tr

_PACKAGE = Path(__file__).resolve().parent.parent


def shipped(folder: str) -> Path:
    """The shipped folder ``rules`` or ``cases``.

    Raises:
        AdvisorError: If the installation is incomplete.
    """
    for candidate in (_PACKAGE / "_data" / folder, _PACKAGE.parent / folder):
        if candidate.is_dir():
            return candidate
    raise AdvisorError(
        tr("the folder '{folder}' is missing from this installation; install the advisor again", folder=folder)
    )


def shown_name(path: Path) -> str:
    """A path for people: shipped files as ``rules/...``, others as they are."""
    for folder in ("rules", "cases"):
        try:
            root = shipped(folder)
        except AdvisorError:
            continue
        if path.is_relative_to(root):
            return f"{folder}/{spoken(path.relative_to(root))}"
    return spoken(path)


def spoken(path: Path) -> str:
    """A path as text that can be shown and stored; a name in another encoding gets question marks."""
    return str(path).encode("utf-8", "replace").decode("utf-8")


def cache_folder() -> Path:
    """The folder of the cache: ``ADVISOR_CACHE`` if set, else the user's cache folder."""
    named = os.environ.get("ADVISOR_CACHE") or os.environ.get("XDG_CACHE_HOME")
    if named:
        return Path(named) / "advisor"
    if os.name == "nt" and os.environ.get("LOCALAPPDATA"):
        return Path(os.environ["LOCALAPPDATA"]) / "advisor" / "cache"
    return Path.home() / ".cache" / "advisor"
