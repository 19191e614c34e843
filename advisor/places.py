"""Whether somebody else could have put a file where the program looks for its own."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from advisor.errors import InputError


def check_ours(path: Path, right: str) -> None:
    """That nothing on the way to a file was put there by another account in a place where everybody may write.

    In such a place, like the one for temporary files, anybody can make a folder first and wait for the program to
    believe or to fill it. What the administrator owns is believed. A file that is not there yet is nobody's.

    Args:
        path: The file or folder.
        right: What to do about it, as the end of a sentence.

    Raises:
        InputError: If another account put something there.
    """
    # Elsewhere there are no owners to look at.
    if os.name == "nt":
        return
    ways = [path.absolute(), Path(os.path.realpath(path))]
    for one in dict.fromkeys(step for way in ways for step in (*reversed(way.parents), way)):
        try:
            found, above = one.lstat(), one.parent.stat()
        except OSError:
            continue
        if above.st_mode & stat.S_IWOTH and found.st_uid not in (0, os.geteuid()):
            raise InputError(
                f"{one} belongs to another account and stands where everybody may write, so it is left alone; {right}"
            )
