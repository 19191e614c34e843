"""The one place that writes files for the person: a file of another kind is never written over."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Callable
from pathlib import Path

from advisor.document import comment
from advisor.errors import InputError
from advisor.frozen import frozen
from advisor.words import tr

_HEAD_BYTES = 20_000


@frozen
class FileKind:
    """A kind of file that the program writes.

    Attributes:
        called: What a file of this kind is called.
        knows: Whether the first bytes of a file show that it is of this kind.
        force: How the person says that a file of this kind may be written over.
    """

    called: str
    knows: Callable[[bytes], bool]
    force: str = "--force"


def _begins(*marks: str) -> Callable[[bytes], bool]:
    return lambda head: head.startswith(tuple(mark.encode() for mark in marks))


SHEET = FileKind(tr("sheet for the wall"), lambda head: b'content="advisor sheet"' in head or _is_text_sheet(head))
SCHEMA = FileKind(tr("schema of the advisor"), lambda head: b'"$id": "urn:goldroom-advisor:schema:' in head)
DRAWING = FileKind(
    tr("drawing of the advisor"), lambda head: head.startswith(b"<svg ") and b'aria-labelledby="d-' in head
)
ANSWERS = FileKind(
    tr("file of answers"), _begins("# Answers of a consultation;", f"{comment(tr('Answers of a consultation'))};")
)
MONTH = FileKind(tr("page of a month"), lambda head: b'content="advisor month"' in head)
TABLE = FileKind(tr("table of batches"), _begins("batch,day,name,"))
TEMPLATE = FileKind(tr("template for translators"), _begins('msgid ""\nmsgstr ""\n"Project-Id-Version: advisor'))
FORM = FileKind(tr("answer form"), _begins("# Answer form of the advisor", comment(tr("Answer form of the advisor"))))


_HEADS = ("Date", "Operator"), (tr("Date"), tr("Operator"))
"""What stands at the head of a sheet of text."""


def _is_text_sheet(head: bytes) -> bool:
    heads = "|".join(f"{re.escape(date)} _+ +{re.escape(who)} _+" for date, who in _HEADS)
    return re.search(f"^({heads})$".encode(), head, re.MULTILINE) is not None


def write_new(path: Path, text: str, kind: FileKind, *, force: bool = False) -> None:
    """Write a text file whole or not at all, beside what is there or over a file of the same kind.

    A link is never followed, and what else a file is called keeps its content: the new file takes the name.

    Args:
        path: Where.
        text: What.
        kind: What kind of file it is.
        force: Whether a file of this kind that is there may be written over.

    Raises:
        InputError: If something is there that must stay, or the file cannot be written.
    """
    may_replace = check_free(path, kind, force=force)
    try:
        _write(path, text, may_replace=may_replace)
    except FileExistsError:
        raise InputError(
            tr("{path} exists already; add {force} to write over it, or name another file", path=path, force=kind.force)
        ) from None
    except (OSError, UnicodeError) as problem:
        reason = getattr(problem, "strerror", None) or tr("its text holds half a letter")
        raise InputError(
            tr("{path} cannot be written ({reason}); name another file", path=path, reason=reason)
        ) from None


def check_free(path: Path, kind: FileKind, *, force: bool) -> bool:
    """Whether a file is there that may be written over; without one there is room for a new file.

    Raises:
        InputError: If something is there that must stay.
    """
    try:
        found = path.lstat()
        if stat.S_ISDIR(found.st_mode):
            raise InputError(tr("{path} cannot be written (it is a folder); name a file", path=path))
        if not stat.S_ISREG(found.st_mode):
            raise InputError(
                tr(
                    "{path} is a link or a device and no {called}, so it is left alone; name a new file",
                    path=path,
                    called=kind.called,
                )
            )
        with path.open("rb") as file:
            own = kind.knows(file.read(_HEAD_BYTES))
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as problem:
        raise InputError(
            tr("{path} cannot be looked at ({strerror}); name another file", path=path, strerror=problem.strerror)
        ) from None
    if not own:
        raise InputError(
            tr(
                "{path} is there and is no {called}, so it is left alone; name another file",
                path=path,
                called=kind.called,
            )
        )
    if not force:
        raise InputError(
            tr("{path} exists already; add {force} to write over it, or name another file", path=path, force=kind.force)
        )
    return True


def write_into(folder: Path, name: str, text: str, kind: FileKind, *, force: bool = False) -> Path:
    """Write a text file into a folder, which is made where it is missing, as ``write_new`` does.

    Returns:
        The file.

    Raises:
        InputError: If something is there that must stay, or the file cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise InputError(
            tr(
                "{folder} cannot be made a folder ({strerror}); name another folder",
                folder=folder,
                strerror=problem.strerror,
            )
        ) from None
    write_new(folder / name, text, kind, force=force)
    return folder / name


def check_folder(folder: Path, *, force: bool) -> None:
    """That a folder is new or empty, before long work whose files go there.

    Raises:
        InputError: If it is neither and the person did not say that files may be written over.
    """
    try:
        empty = not any(folder.iterdir())
    except FileNotFoundError:
        return
    except OSError as problem:
        raise InputError(
            tr("{folder} cannot be used ({strerror}); name a new folder", folder=folder, strerror=problem.strerror)
        ) from None
    if not empty and not force:
        raise InputError(
            tr(
                "{folder} holds files already; add --force to write over its answers, or name a new folder",
                folder=folder,
            )
        )


def _write(path: Path, text: str, *, may_replace: bool) -> None:
    temporary = path.with_name(f".{path.name[:100]}.{os.getpid()}.new")
    taken = False
    try:
        with temporary.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if not may_replace:
            # The name is taken first, so that a file that appears meanwhile is not written over.
            path.open("x").close()
            taken = True
        os.replace(temporary, path)
    except OSError:
        if taken:
            path.unlink(missing_ok=True)
        raise
    finally:
        temporary.unlink(missing_ok=True)
