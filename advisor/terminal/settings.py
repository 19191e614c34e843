"""Where the program keeps its own files, and the shop's settings.

Settings stand in the folder for settings; what is recorded (journal, gold room, training, consultations) in the folder
for data. ``ADVISOR_HOME`` puts both into one. What an earlier version kept among the settings is moved when it is first
used.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from advisor.errors import InputError
from advisor.places import check_ours
from advisor.words import tr

_KNOWN = ("rules", "journal", "operator")
_OWN_HOME = tr("name a folder of your own in ADVISOR_HOME")
_RULES_RIGHT = tr("write  rules:  and below it  - /folder/with/your/rules")


def config_folder() -> Path:
    """The folder for settings: ``ADVISOR_HOME`` if set, else the user's own."""
    named = os.environ.get("ADVISOR_HOME")
    if named:
        return Path(named)
    import typer

    return Path(typer.get_app_dir("advisor"))


def data_folder() -> Path:
    """The folder for what is recorded: ``ADVISOR_HOME`` if set, else the user's own folder for data."""
    if os.environ.get("ADVISOR_HOME") or sys.platform in ("darwin", "win32"):
        # There one folder holds both.
        return config_folder()
    named = os.environ.get("XDG_DATA_HOME", "")
    base = Path(named) if named.startswith("/") else Path(os.path.expanduser("~/.local/share"))
    return base / "advisor"


def record(name: str) -> Path:
    """A file or folder of records; it need not exist. One that lies among the settings is moved first.

    Where it cannot be moved it stays, and is used where it lies.

    Raises:
        InputError: If another account could have put it there.
    """
    new, old = data_folder() / name, config_folder() / name
    for place in dict.fromkeys((new, old)):
        check_ours(place, _OWN_HOME)
    # Whether it is there is looked at first at the new place, where it nearly always is.
    if new == old or _exists(new) or not _exists(old):
        return new
    try:
        new.parent.mkdir(parents=True, exist_ok=True)
        if new.suffix == ".sqlite":
            _move_journal(old, new)
        else:
            os.replace(old, new)
    except OSError:
        return old if _exists(old) else new
    # Loaded here: nearly no run moves anything.
    from advisor.terminal.output import notice

    notice(tr("Moved {old} to {new}: what is recorded has a folder of its own.", old=old, new=new))
    return new


def _exists(path: Path) -> bool:
    try:
        return path.exists()
    except OSError:
        return False


def _move_journal(old: Path, new: Path) -> None:
    """Move a journal while nobody else writes in it, so that unfinished writing is set right first.

    Raises:
        OSError: If it cannot be moved now.
    """
    import sqlite3
    from contextlib import closing

    try:
        with closing(sqlite3.connect(old, isolation_level=None, timeout=30)) as connection:
            connection.execute("BEGIN EXCLUSIVE")
            os.replace(old, new)
    except sqlite3.Error as problem:
        raise OSError(str(problem)) from None


def settings_file() -> Path:
    """The settings file; it need not exist.

    Raises:
        InputError: If another account could have put it there.
    """
    path = config_folder() / "settings.yaml"
    check_ours(path, _OWN_HOME)
    return path


def room_file() -> Path:
    """Where the gold room is kept; it need not exist."""
    return record("room.yaml")


def configured_rules() -> list[Path]:
    """The shop's own folders of rules from the settings.

    Raises:
        InputError: If the settings file cannot be used.
    """
    folders, where = _setting("rules", [])
    if isinstance(folders, str):
        folders = [folders]
    if not isinstance(folders, list) or not all(isinstance(folder, str) for folder in folders):
        raise InputError(
            tr("{where}: 'rules' is not a list of folders; {rules_right}", where=where, rules_right=_RULES_RIGHT)
        )
    return [_at_home(Path(folder)) for folder in folders]


def journal_file(named: Path | None = None) -> Path:
    """The journal: the file named, else the one in the settings, else one in the folder for data.

    Raises:
        InputError: If the settings file cannot be used.
    """
    if named is not None:
        return _at_home(named)
    written, where = _setting("journal", None)
    if written is None:
        return record("journal.sqlite")
    if not isinstance(written, str) or not written.strip():
        raise InputError(tr("{where}: 'journal' is not a file; write  journal: /folder/journal.sqlite", where=where))
    # A path without a folder is meant from the settings file, wherever the program is started.
    return config_folder() / _at_home(Path(written))


def _at_home(path: Path) -> Path:
    """A path with ``~`` written out.

    Raises:
        InputError: If it names the home of somebody who is not known here.
    """
    try:
        return path.expanduser()
    except RuntimeError:
        raise InputError(tr("{path}: there is no such home folder; write the whole path", path=path)) from None


def configured_operator() -> str | None:
    """Who works here, from the settings.

    Raises:
        InputError: If the settings file cannot be used.
    """
    written, where = _setting("operator", None)
    if written is not None and (not isinstance(written, str) or not written.strip()):
        raise InputError(tr("{where}: 'operator' is not a name; write  operator: NAME", where=where))
    return written


def _setting(name: str, otherwise: Any) -> tuple[Any, str]:
    """One setting, and where it stands.

    Raises:
        InputError: If the settings file cannot be used.
    """
    path = settings_file()
    if not path.is_file():
        return otherwise, str(path)
    from advisor.rulebase.reading.yaml_reader import read_document

    document = read_document(path)
    data = document.data if document.data is not None else {}
    if not isinstance(data, dict):
        raise InputError(tr("{path}: this is not a settings file; {rules_right}", path=path, rules_right=_RULES_RIGHT))
    for key in data:
        if key not in _KNOWN:
            raise InputError(
                tr(
                    "{path}:{line_of}: unknown setting '{key}'; known is: {known}",
                    path=path,
                    line_of=document.line_of((key,)),
                    key=key,
                    known=", ".join(_KNOWN),
                )
            )
    return data.get(name, otherwise), f"{path}:{document.line_of((name,))}"
