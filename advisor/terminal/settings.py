"""Where the program keeps its own files, and the shop's settings."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from advisor.errors import InputError

_KNOWN = ("rules", "journal", "operator")
_RULES_RIGHT = "write  rules:  and below it  - /folder/with/your/rules"


def home_folder() -> Path:
    """The folder for settings and unfinished consultations: ``ADVISOR_HOME`` if set, else the user's own."""
    named = os.environ.get("ADVISOR_HOME")
    if named:
        return Path(named)
    import typer

    return Path(typer.get_app_dir("advisor"))


def settings_file() -> Path:
    """The settings file; it need not exist."""
    return home_folder() / "settings.yaml"


def room_file() -> Path:
    """Where the gold room is kept; it need not exist."""
    return home_folder() / "room.yaml"


def configured_rules() -> list[Path]:
    """The shop's own folders of rules from the settings.

    Raises:
        InputError: If the settings file cannot be used.
    """
    folders, where = _setting("rules", [])
    if isinstance(folders, str):
        folders = [folders]
    if not isinstance(folders, list) or not all(isinstance(folder, str) for folder in folders):
        raise InputError(f"{where}: 'rules' is not a list of folders; {_RULES_RIGHT}")
    return [_at_home(Path(folder)) for folder in folders]


def journal_file(named: Path | None = None) -> Path:
    """The journal: the file named, else the one in the settings, else one in the program's own folder.

    Raises:
        InputError: If the settings file cannot be used.
    """
    if named is not None:
        return _at_home(named)
    written, where = _setting("journal", None)
    if written is None:
        return home_folder() / "journal.sqlite"
    if not isinstance(written, str) or not written.strip():
        raise InputError(f"{where}: 'journal' is not a file; write  journal: /folder/journal.sqlite")
    # A path without a folder is meant from the settings file, wherever the program is started.
    return home_folder() / _at_home(Path(written))


def _at_home(path: Path) -> Path:
    """A path with ``~`` written out.

    Raises:
        InputError: If it names the home of somebody who is not known here.
    """
    try:
        return path.expanduser()
    except RuntimeError:
        raise InputError(f"{path}: there is no such home folder; write the whole path") from None


def configured_operator() -> str | None:
    """Who works here, from the settings.

    Raises:
        InputError: If the settings file cannot be used.
    """
    written, where = _setting("operator", None)
    if written is not None and (not isinstance(written, str) or not written.strip()):
        raise InputError(f"{where}: 'operator' is not a name; write  operator: NAME")
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
        raise InputError(f"{path}: this is not a settings file; {_RULES_RIGHT}")
    for key in data:
        if key not in _KNOWN:
            raise InputError(
                f"{path}:{document.line_of((key,))}: unknown setting '{key}'; known is: {', '.join(_KNOWN)}"
            )
    return data.get(name, otherwise), f"{path}:{document.line_of((name,))}"
