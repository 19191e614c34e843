"""The cache of compiled rule bases: where it is, and which of its files are believed.

What an image says is not checked again, so whoever could write one could turn a stop into a smelt. On systems that
know accounts an image is therefore read only if this account owns it and nobody else may write it or its folder.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING

from advisor import __version__
from advisor.rulebase.locations import cache_folder
from advisor.words import tr

if TYPE_CHECKING:
    from advisor.rulebase.model import RuleBase

_MOST_KEPT = 8
_OTHERS_MAY_WRITE = stat.S_IWGRP | stat.S_IWOTH


class CacheNotOursError(Exception):
    """Somebody else could have written here; the message says where, and what puts it right."""


def cache_file(fingerprint: str) -> Path | None:
    """The file of the cache for these rules and this very program; None where there is no place for one."""
    from advisor.rulebase.image import program_stamp

    try:
        key = hashlib.sha256(f"{fingerprint} {program_stamp()}".encode()).hexdigest()
        return cache_folder() / f"rules-{__version__}-{key[:32]}.image"
    except (OSError, RuntimeError):
        # RuntimeError: the person has no home.
        return None


def recall(path: Path, fingerprint: str) -> RuleBase | None:
    """The rule base from the cache, or None; a missing or damaged file counts as none.

    Raises:
        CacheNotOursError: If somebody else could have written the file.
    """
    from advisor.rulebase import image

    try:
        _check_folder(path.parent)
        rule_base = image.read(_own_content(path))
    except OSError:
        return None
    if rule_base is None or rule_base.fingerprint != fingerprint:
        return None
    # What is used stays, however many others were written since.
    with contextlib.suppress(OSError):
        os.utime(path)
    return rule_base


def keep(target: Path, image: bytes) -> None:
    """Write the cache; a full disk, a read-only home or a folder of others only costs time at the next start."""
    # Loaded here: few runs write, and it brings much with it.
    import tempfile

    temporary = ""
    try:
        _make_folder(target.parent)
        _check_folder(target.parent)
        # Made such that only its owner can open it, whatever the umask is.
        with tempfile.NamedTemporaryFile("wb", dir=target.parent, suffix=".new", delete=False) as file:
            temporary = file.name
            file.write(image)
        os.replace(temporary, target)
        temporary = ""
        _drop_old(target)
    except (OSError, CacheNotOursError):
        if temporary:
            with contextlib.suppress(OSError):
                os.unlink(temporary)


def _make_folder(folder: Path) -> None:
    """The folder and those above it, for this account alone; ``Path.mkdir`` would leave those above to the umask."""
    for one in (*reversed(folder.parents), folder):
        if not one.exists():
            one.mkdir(mode=0o700, exist_ok=True)


def _check_folder(folder: Path) -> None:
    """That a folder belongs to this account alone; a link is believed only if this account made it.

    Raises:
        CacheNotOursError: If it does not.
        OSError: If it is not there.
    """
    if os.name == "nt":
        return
    link, found = folder.lstat(), folder.stat()
    if link.st_uid != os.geteuid() or found.st_uid != os.geteuid():
        raise CacheNotOursError(_sentence(folder, tr("folder"), tr("belongs to another account")))
    if found.st_mode & _OTHERS_MAY_WRITE:
        raise CacheNotOursError(_sentence(folder, tr("folder"), tr("can be written by other accounts")))


def _own_content(path: Path) -> bytes:
    """The content of a file that this account alone may write; looked at once it is open, so that none takes its place.

    Raises:
        CacheNotOursError: If others may write it, or it is a link.
        OSError: If it is not there or cannot be read.
    """
    if os.name == "nt":
        return path.read_bytes()
    if path.is_symlink():
        raise CacheNotOursError(_sentence(path, tr("file"), tr("is a link to another file")))
    # Not to wait for a pipe that somebody put there.
    with open(os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK), "rb") as file:
        found = os.fstat(file.fileno())
        if found.st_uid != os.geteuid():
            raise CacheNotOursError(_sentence(path, tr("file"), tr("belongs to another account")))
        if found.st_mode & _OTHERS_MAY_WRITE:
            raise CacheNotOursError(_sentence(path, tr("file"), tr("can be written by other accounts")))
        if not stat.S_ISREG(found.st_mode) or found.st_nlink > 1:
            raise CacheNotOursError(_sentence(path, tr("file"), tr("is a link to something else")))
        return file.read()


def _sentence(path: Path, what: str, wrong: str) -> str:
    return tr(
        "the {what} {path} of the cache {wrong}, so the rules are read without it, which takes longer; "
        "remove it, or name a folder of your own in ADVISOR_CACHE",
        what=what,
        path=path,
        wrong=wrong,
    )


def _drop_old(newest: Path) -> None:
    kept = sorted(newest.parent.glob("rules-*.image"), key=lambda path: path.stat().st_mtime, reverse=True)
    for path in kept[_MOST_KEPT:]:
        path.unlink(missing_ok=True)
