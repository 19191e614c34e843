"""A week in a gold room, from the first consultation to the page of the month, through the real command line.

Nothing is typed twice in it: what the program knows from the room, the plan or the book it does not ask again, and
every question of a new lot is asked anew. All of it is invented.
"""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path
from typing import Any

from advisor.advice.batches.batch_file import read_batch
from advisor.rulebase.model import RuleBase
from tests.batches import PYRITIC
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import Program, Result, Talk, flat

RICH: dict[str, Any] = {
    **PYRITIC,
    "batch_mass": "20 g",
    "gold_share": "80 %",
    "sulphide_share": "1 %",
    "quartz_share": "3 %",
    "sulphide_minerals": ["pyrite"],
    "reagents": ["bismuth", "borax_anhydrous"],
}
"""A rich lot that goes straight to the cupel with bismuth. Invented."""

MATT: dict[str, Any] = {
    "look_at": "bead",
    "bead_shape": "round",
    "bead_surface": "matt",
    "bead_colour": "pale_yellow",
    "bead_underside": "clean",
    "bead_grip": "clings_a_little",
    "bead_magnet": "no",
    "bead_hammer": "cracks",
}
"""A bead of Saturday that is matt and cracks: bismuth is left in it. Invented."""

DAYS = {"Monday": "2026-03-02", "Tuesday": "2026-03-03", "Wednesday": "2026-03-04", "Thursday": "2026-03-05"}
BEADS = {"Monday": 14.4, "Tuesday": 14.5, "Wednesday": 14.3, "Thursday": 8.0}


class Person:
    """Someone at the terminal who knows the lot before them.

    Attributes:
        asked: The facts that were asked, each with the consultation in which it was.
    """

    def __init__(self, quick: Preloaded, program: Program, rule_base: RuleBase) -> None:
        self.quick, self.program, self.rule_base = quick, program, rule_base
        self.asked: list[tuple[str, str]] = []

    def run(self, *words: str | Path) -> Result:
        result = self.quick.run(*words, at=self.program)
        assert result.status == 0, result.err
        return result

    def answers_all(self, talk: Talk, knows: dict[str, Any], called: str) -> str:
        """Answer each question of a consultation by what is known of this lot; returns the first screen."""
        while not talk.ended and not flat(talk.shown).endswith("0 leave"):
            talk.say(self._answer(talk, knows, called))
        return talk.shown

    def _answer(self, talk: Talk, knows: dict[str, Any], called: str) -> str:
        shown = flat(talk.shown)
        if "Still so today?" in shown or "Right? Enter" in shown:
            return ""
        if "about your gold room" in shown:
            return "y"
        name = self._question(talk)
        self.asked.append((called, name))
        value = knows.get(name, "u")
        return (", ".join(value) or "0") if isinstance(value, list) else str(value)

    def _question(self, talk: Talk) -> str:
        facts = {name: fact for name, fact in self.rule_base.facts.items() if not fact.computed}
        line = re.search(r"\d+  ([^\n]+)\?\s*$", talk.shown)
        if line is not None:
            found = [name for name, fact in facts.items() if fact.label == line[1]]
            if found:
                return found[0]
        shown = flat(talk.shown)
        places = {shown.rfind(flat(fact.entry.ask)): name for name, fact in facts.items()}
        assert max(places) >= 0, talk.shown
        return places[max(places)]

    def of(self, called: str) -> list[str]:
        """The facts that were asked in one consultation."""
        return [name for where, name in self.asked if where == called]


def test_a_week_from_the_first_question_to_the_page_of_the_month(
    quick: Preloaded, program: Program, shipped: RuleBase, diagnosing: RuleBase
) -> None:
    person = Person(quick, program, shipped)
    book = ("journal", "add")

    # Monday: the first consultation; the batch is opened from it without a file, and what it weighs is recorded.
    with quick.talk(program, "--title", "Monday") as talk:
        screen = person.answers_all(talk, RICH, "Monday")
        assert "CUPEL" in screen
        talk.say("0")
    assert "Batch 1 opened: Monday" in person.run("journal", "start", "--day", DAYS["Monday"]).out
    person.run(*book, "feed=20g", "weighed.bismuth=40g", "bead=14.4g", "outcome=clean", "--day", DAYS["Monday"])

    # Tuesday to Thursday: files; Thursday something is spilt, and it is called "again".
    for day in ("Tuesday", "Wednesday", "Thursday"):
        answers = program.write(f"{day}.json", {"title": day, "answers": RICH})
        person.run("journal", "start", "--answers", answers, "--day", DAYS[day])
        outcome = "again" if day == "Thursday" else "clean"
        words = ("feed=20g", "weighed.bismuth=40g", f"bead={BEADS[day]}g", f"outcome={outcome}")
        person.run(*book, *words, "--day", DAYS[day])
    (thursday,) = [
        point
        for point in json.loads(person.run("journal", "balance", "--json").raw)["points"]
        if point["name"] == "Thursday"
    ]
    assert thursday["signal"]
    balance = flat(person.run("journal", "balance").out)
    assert "No signal" not in balance
    assert "Batch 4: the difference is more than scale and assays explain" in balance

    # Friday: the plan's hundred grams are mistyped, told, and taken back by the command that is printed.
    answers = program.write("Friday.json", {"title": "Friday", "answers": RICH})
    person.run("journal", "start", "--answers", answers)
    told = person.run(*book, "5", "feed=20g", "weighed.bismuth=400g")
    assert "The plan asks for" in told.out
    person.run("journal", "undo")
    person.run(*book, "5", "weighed.bismuth=42g", "bead=14.6g", "outcome=clean")

    # Saturday: the room is known, the bead is matt; the diagnosis asks nothing that room, plan or book answers.
    answers = program.write("Saturday.json", {"title": "Saturday", "answers": RICH})
    person.run("journal", "start", "--answers", answers)
    person.run(*book, "6", "feed=20g", "weighed.bismuth=40g", "bead=14g")
    looker = Person(quick, program, diagnosing)
    with quick.talk(program, "--batch", "6", command="diagnose") as talk:
        screen = looker.answers_all(talk, MATT, "Saturday")
        assert "ollector is left" in flat(screen), screen
        known = {*RICH, "work_done", "collector_used", "cupel_used", "bead_weighed"}
        assert not known & set(looker.of("Saturday")), "nothing that is known is asked again"
        before = (program.home / "last-route.yaml").read_bytes()
        # The next batch: the room goes along, every question of the lot is asked anew.
        talk.say("8")
        screen = person.answers_all(talk, {**RICH, "batch_mass": "21 g"}, "next")
        weighed = next(line for line in screen.splitlines() if line.startswith("bismuth"))
        assert re.search(r"bismuth, metal +\d+(\.\d+)? g, from batch 6", weighed), weighed
        if not talk.ended:
            talk.say("0")
    lot = {name for name, fact in shipped.facts.items() if fact.entry.belongs_to == "lot"}
    room = {name for name, fact in shipped.facts.items() if fact.entry.belongs_to == "room"}
    assert set(person.of("Monday")) & lot <= set(person.of("next"))
    assert not room & set(person.of("next"))
    for called in ("Monday", "next"):
        assert len(person.of(called)) == len(set(person.of(called))), "nothing is asked twice"
    earlier = list(program.home.glob("earlier-route-*.yaml"))
    assert before in [path.read_bytes() for path in earlier], "what was saved stays"

    # Sheet, JSON and book take the changed amount from there, without a word typed.
    last = read_batch(program.home / "last-route.yaml", shipped)
    ((way, lessons),) = last.learned.items()
    assert (way.route, list(lessons), lessons["bismuth"].source) == ("cupel_direct", ["bismuth"], "batch 6")
    advice = json.loads(quick.run("route", "--answers", program.home / "last-route.yaml", "--json", at=program).raw)
    amount = advice["amounts"]["bismuth"]
    assert amount["learned"]["source"] == "batch 6"
    assert f"{amount['likely_g']:g} g" in weighed
    assert "From batch 6." in flat(quick.run("sheet", "--text", "--output", "-", at=program).out)
    started = flat(person.run("journal", "start").out)
    assert "Batch 7 opened: next after Saturday" in started
    planned = json.loads(person.run("journal", "show", "7", "--json").raw)["entries"][0]["document"]
    assert planned["weights"]["bismuth"]["mass_g"]["likely"] == amount["likely_g"]
    person.run(*book, "7", "feed=21g", f"weighed.bismuth={amount['likely_g']}g", "bead=15.1g", "outcome=clean")

    # Sunday: the week in the books.
    assert "No faults. 7 batches" in person.run("journal", "check").out
    person.run("journal", "export", "--table", program.folder / "week.csv")
    rows = list(csv.DictReader(io.StringIO((program.folder / "week.csv").read_text(encoding="utf-8"))))
    assert [row["name"] for row in rows] == [*DAYS, "Friday", "Saturday", "next after Saturday"]
    person.run("journal", "month", "2026-03")
    page = (program.folder / "month-2026-03.html").read_text(encoding="utf-8")
    assert all(day in page for day in DAYS)
    assert page.count("SIGNAL") == 1
    assert "<svg" in page


def test_a_diagnosis_may_be_piped_in_after_a_route(quick: Preloaded, program: Program) -> None:
    program.home.mkdir(parents=True, exist_ok=True)
    (program.home / "last-route.yaml").write_text(json.dumps({"answers": RICH}))
    for typed in ("2\nbead\n", "1\nbead\nmatt\n", "2\n"):
        result = quick.run("diagnose", stdin=typed, at=program)
        assert "cannot be written" not in result.err
        assert "Traceback" not in result.err
        assert result.status == 4, "the end of the pipe leaves; the answers are kept"
