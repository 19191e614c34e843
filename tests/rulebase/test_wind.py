"""One rule about the wind: work with it at your side; to get away, go upwind."""

from __future__ import annotations

import re

from tests.conftest import ROOT

AWAY = re.compile(r"\b(go|goes|going|walk|step|move|stop|back|away|off|out|line|everybody|all of you)\b", re.IGNORECASE)
STANDS_OTHERWISE = re.compile(
    r"wind (comes |is )?(from )?(behind|(on|at|from|in) your (back|face))|wind from the side", re.IGNORECASE
)
EXPLAINED = "wind square on your back makes an eddy"


def sentences() -> list[str]:
    """The sentences of rules and program that speak of the wind, with their files."""
    found = []
    for path in (*sorted((ROOT / "rules").rglob("*.yaml")), *sorted((ROOT / "advisor").rglob("*.py"))):
        text = " ".join(path.read_text(encoding="utf-8").split())
        found += [f"{path.name}: {one}" for one in re.split(r"(?<=[.:;?])\s", text) if "wind" in one.lower()]
    return found


def test_who_works_has_the_wind_at_their_side() -> None:
    said = sentences()
    assert [one for one in said if STANDS_OTHERWISE.search(one) and EXPLAINED not in one] == []
    assert sum("wind at your side" in one for one in said) > 5


def test_upwind_is_where_one_goes_to_get_away() -> None:
    upwind = [one for one in sentences() if "upwind" in one.lower()]
    assert [one for one in upwind if not AWAY.search(one)] == []
    assert len(upwind) > 3
