"""That files of the program's own were not put there by somebody else."""

from __future__ import annotations

from pathlib import Path

from advisor.errors import InputError
from advisor.owners import put_by_another
from advisor.words import tr


def check_ours(path: Path, right: str) -> None:
    """That nothing on the way to a file was put there by another account in a place where everybody may write.

    Args:
        path: The file or folder.
        right: What to do about it, as the end of a sentence.

    Raises:
        InputError: If another account put something there.
    """
    theirs = put_by_another(path)
    if theirs is not None:
        raise InputError(
            tr(
                "{path} belongs to another account and stands where everybody may write, so it is left alone; {right}",
                path=theirs,
                right=right,
            )
        )
