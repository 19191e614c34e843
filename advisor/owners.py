"""Whether somebody else could have put a file where the program looks for its own."""

from __future__ import annotations

import os
import stat
from pathlib import Path


def put_by_another(path: Path) -> Path | None:
    """What another account put on the way to a file, in a place where everybody may write; None where nothing was.

    In such a place, like the one for temporary files, anybody can make a folder first and wait for the program to
    believe or to fill it. What the administrator owns is believed. A file that is not there yet is nobody's.
    """
    # Elsewhere there are no owners to look at.
    if os.name == "nt":
        return None
    ways = [path.absolute(), Path(os.path.realpath(path))]
    for one in dict.fromkeys(step for way in ways for step in (*reversed(way.parents), way)):
        try:
            found, above = one.lstat(), one.parent.stat()
        except OSError:
            continue
        if above.st_mode & stat.S_IWOTH and found.st_uid not in (0, os.geteuid()):
            return one
    return None
