"""Where the program keeps its own files, and the shop's settings."""

from __future__ import annotations

import os
from pathlib import Path

from advisor.errors import InputError

_KNOWN = ("rules",)


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


def configured_rules() -> list[Path]:
    """The shop's own folders of rules from the settings.

    Raises:
        InputError: If the settings file cannot be used.
    """
    path = settings_file()
    if not path.is_file():
        return []
    from advisor.knowledge.yaml_reader import read_document

    document = read_document(path)
    data = document.data if document.data is not None else {}
    right = "write  rules:  and below it  - /folder/with/your/rules"
    if not isinstance(data, dict):
        raise InputError(f"{path}: this is not a settings file; {right}")
    for key in data:
        if key not in _KNOWN:
            raise InputError(
                f"{path}:{document.line_of((key,))}: unknown setting '{key}'; known is: {', '.join(_KNOWN)}"
            )
    folders = data.get("rules", [])
    if isinstance(folders, str):
        folders = [folders]
    if not isinstance(folders, list) or not all(isinstance(folder, str) for folder in folders):
        raise InputError(f"{path}:{document.line_of(('rules',))}: 'rules' is not a list of folders; {right}")
    return [Path(folder).expanduser() for folder in folders]
