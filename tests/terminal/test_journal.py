"""The journal as an operator uses it, from the plan to the bead and to the control chart."""

from __future__ import annotations

import csv
import io
import json
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from xml.etree import ElementTree

import pexpect
import pytest

from tests.batches import PYRITIC
from tests.terminal.preloaded import Preloaded
from tests.terminal.program import (
    COLUMNS,
    COMMAND,
    LINES,
    WAIT,
    Program,
    Result,
    control_characters,
    crash,
    flat,
    plain,
)

FINE, BAD_INPUT, LEFT = 0, 2, 4


@pytest.fixture
def desk(quick: Preloaded, program: Program) -> Iterator[Desk]:
    return Desk(quick, program)


class Desk:
    """Someone with the ordinary batch and a journal of their own."""

    def __init__(self, quick: Preloaded, program: Program) -> None:
        self.quick, self.program = quick, program
        self.answers = program.write("batch.json", {"title": "Invented batch", "answers": PYRITIC})
        self.file = program.home / "journal.sqlite"

    def run(self, *words: str | Path, **changed: str | None) -> Result:
        result = self.quick.run("journal", *words, at=self.program, **changed)
        assert crash(result.err) == ""
        assert control_characters(result.out + result.err) == []
        return result

    def fine(self, *words: str | Path) -> Result:
        result = self.run(*words)
        assert result.status == FINE, result.err
        return result

    def start(self, *words: str | Path) -> Result:
        return self.fine("start", "--answers", self.answers, "--by", "Ana", *words)


def test_a_batch_goes_from_advice_to_bead(desk: Desk) -> None:
    shown = desk.start().out
    assert "Batch 1 opened: Invented batch. Recorded by Ana." in flat(shown)
    assert "Bead expected:" in shown
    shown = desk.fine("add", "bead=4.61g", "weighed.litharge=20g", "note=a little matte").out
    assert "bead: 4.61 g" in shown
    shown = flat(desk.fine("amend", "3", "4.16g", "--why", "read the scale wrong", "--by", "Juan").out)
    assert "before bead: 4.61 g now bead: 4.16 g" in shown
    shown = flat(desk.fine("show", "1").out)
    assert "bead: 4.61 g" in shown
    assert "no longer stands: entry 6 by Juan: read the scale wrong" in shown
    assert "not accounted for" in shown
    assert "4.16 g" in desk.fine("list").out
    assert "No faults. 1 batch, 6 entries." in desk.fine("check").out


def test_a_weight_that_can_hardly_be_true_is_told_with_a_command_that_works_as_it_is_printed(desk: Desk) -> None:
    desk.start()
    shown = desk.fine("add", "1", "matte=1.4kg", "slag=300g").out
    assert "The plan expects" in shown
    (hint,) = [line.split() for line in shown.splitlines() if line.strip().startswith("advisor journal")]
    assert hint[:2] == ["advisor", "journal"]
    assert "no longer stands" not in desk.fine("show", "1").out
    desk.fine(*hint[2:])
    assert "no longer stands: entry 5" in flat(desk.fine("show", "1").out)
    assert "matte: 14 g" in desk.fine("add", "1", "matte=14g").out


def test_the_last_entry_is_taken_back_and_what_it_replaced_stands_again(desk: Desk) -> None:
    desk.start()
    assert "is the plan as it was given" in desk.run("undo").err
    desk.fine("add", "1", "bead=4.61g")
    desk.fine("amend", "3", "4.16g", "--why", "read the scale wrong")
    assert "before bead: 4.16 g now bead: 4.61 g" in flat(desk.fine("undo").out)
    assert "took something back already" in flat(desk.run("undo").err)
    assert "4.61 g" in desk.fine("list").out
    desk.fine("add", "1", "weighed.litharge=20g")
    assert "now weighed out: litharge: withdrawn" in flat(desk.fine("undo").out)
    desk.fine("add", "1", "weighed.litharge=21g")
    assert "No faults." in desk.fine("check").out


def test_the_work_of_another_day_is_recorded_on_that_day(desk: Desk) -> None:
    desk.start("--day", "2026-01-31")
    desk.fine("add", "1", "bead=4.6g", "--day", "2026-02-01")
    assert "2026-01-31" in desk.fine("list").out
    assert "2026-01-31" in desk.fine("balance").out
    assert "of 2026-02-01" in flat(desk.fine("show", "1").out)
    entry = json.loads(desk.fine("show", "1", "--json").raw)["entries"][-1]
    assert entry["day"] == "2026-02-01"
    assert not entry["at"].startswith("2026-02-01"), "when it was recorded stays"
    for day, says in (("2126-01-01", "has not come yet"), ("yesterday", "is not a day; write it like")):
        result = desk.run("add", "1", "note=x", "--day", day)
        assert (result.status, says in flat(result.err)) == (BAD_INPUT, True)


def test_the_place_of_the_journal_is_always_shown(desk: Desk) -> None:
    desk.start()
    for words in (["list"], ["show", "1"], ["balance"], ["check"], ["add", "1", "note=x"], ["experience"]):
        assert f"Journal: {desk.file}" in desk.run(*words).err
    assert desk.fine("path").lines[0] == str(desk.file)


def test_the_journal_is_named_on_the_line_or_in_the_settings(desk: Desk, tmp_path: Path) -> None:
    named = tmp_path / "stick" / "my journal.sqlite"
    desk.start("--journal", named)
    assert named.is_file()
    assert not desk.file.exists()
    desk.program.home.mkdir(exist_ok=True)
    (desk.program.home / "settings.yaml").write_text("journal: own.sqlite\noperator: Invented Operator\n")
    desk.fine("start", "--answers", desk.answers)
    assert (desk.program.home / "own.sqlite").is_file()
    assert "Invented Operator" in desk.fine("show", "1").out


@pytest.mark.parametrize("setting", ["journal: [1]", "operator: {a: b}", "jurnal: x", "- 3"])
def test_a_bad_setting_is_named_with_its_file(desk: Desk, setting: str) -> None:
    desk.program.home.mkdir(exist_ok=True)
    (desk.program.home / "settings.yaml").write_text(setting + "\n")
    result = desk.run("add", "1", "note=x")
    assert result.status == BAD_INPUT
    assert "settings.yaml" in result.err


def test_the_same_answers_twice_are_taken_for_a_slip(desk: Desk) -> None:
    desk.start()
    result = desk.run("start", "--answers", desk.answers)
    assert result.status == BAD_INPUT
    assert "was opened with these very answers" in result.err
    assert "Batch 2 opened: Second half." in desk.start("--name", "Second half").out


def test_a_plan_saved_as_json_opens_a_batch_too(desk: Desk) -> None:
    advice = desk.quick.run("route", "--answers", desk.answers, "--json", at=desk.program)
    plan = desk.program.write("plan.json", advice.raw)
    assert "Batch 1 opened: Invented batch." in desk.fine("start", "--plan", plan).out
    for content, says in (("{}", "is not advice saved"), ("x", "is not advice saved")):
        result = desk.run("start", "--plan", desk.program.write("bad.json", content))
        assert (result.status, says in result.err) == (BAD_INPUT, True)
    assert desk.run("start", "--plan", "nowhere.json").status == BAD_INPUT


def test_without_a_consultation_there_is_nothing_to_start_from(desk: Desk) -> None:
    result = desk.run("start")
    assert result.status == BAD_INPUT
    assert "there is no finished consultation" in result.err
    assert not desk.file.exists()


def test_a_route_from_a_file_at_a_terminal_is_the_last_consultation_too(desk: Desk) -> None:
    with desk.quick.talk(desk.program, "--answers", desk.answers) as talk:
        assert talk.ended
    assert "Batch 1 opened: Invented batch." in desk.fine("start").out
    sheet = desk.quick.run("sheet", "--text", "--output", "-", at=desk.program).out
    assert "last-route.yaml" not in sheet, "tomorrow another batch stands in that file"


def test_the_last_consultation_is_the_plan_when_none_is_named(desk: Desk) -> None:
    desk.program.home.mkdir(exist_ok=True)
    (desk.program.home / "last-route.yaml").write_bytes(desk.answers.read_bytes())
    assert "Batch 1 opened: Invented batch." in desk.fine("start").out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["add", "1"], "nothing is given; write"),
        (["add", "9", "bead=3g"], "there is no batch '9'"),
        (["add", "1", "bead=3g", "bead=4g"], "given twice"),
        (["add", "1", "beed=3g"], "closest"),
        (["add", "1", "note=x", "--document", "nowhere.json"], "--document goes with one"),
        (["add", "1", "diagnosis=x", "--document", "nowhere.json"], "is not a readable file"),
        (["amend", "1", "x", "--why", "y"], "is the plan as it was given"),
        (["amend", "77", "x", "--why", "y"], "there is no entry 77"),
        (["amend", "3"], "say what entry 3 should be"),
        (["amend", "3", "y"], "an amendment says why"),
        (["amend", "3", "--why", "y", "--withdraw", "z"], "say what entry 3 should be"),
        (["show", "nothing"], "there is no batch 'nothing'"),
        (["balance", "1"], "has no bead; add it"),
        (["export"], "name one place"),
        (["export", "--json", "a", "--csv", "b"], "name one place"),
        (["import", "--json", "nowhere.json"], "cannot be used"),
        (["list", "--journal", "nowhere.sqlite"], "there is no journal at"),
        (["list", "--journal", "."], "is a folder"),
    ],
)
def test_a_slip_is_one_sentence_with_status_2(desk: Desk, words: list[str], says: str) -> None:
    desk.start()
    desk.fine("add", "1", "note=first")
    before = desk.file.read_bytes()
    result = desk.run(*words)
    assert result.status == BAD_INPUT
    assert says in flat(result.err)
    assert len(result.err.splitlines()) <= 2
    assert desk.file.read_bytes() == before


def test_with_several_open_batches_the_batch_must_be_named(desk: Desk) -> None:
    desk.start()
    desk.start("--name", "Other")
    result = desk.run("add", "note=x")
    assert (result.status, "several batches are open: 1" in result.err) == (BAD_INPUT, True)
    desk.fine("add", "other", "bead=4g")
    assert "Batch 1" in desk.fine("add", "note=for the one that is open").out


def test_a_diagnosis_carries_its_document(desk: Desk) -> None:
    desk.start()
    mine = {"document": "fault", "version": 3, "causes": ["too cold"]}
    desk.fine("add", "1", "diagnosis=bead dull", "--document", desk.program.write("d.json", mine))
    desk.fine("add", "1", "correction=hotter", "--document", desk.program.write("c.json", [1, 2]))
    shown = json.loads(desk.fine("show", "1", "--json").raw)
    kinds = {entry["kind"]: entry["document"] for entry in shown["entries"]}
    assert kinds["diagnosis"] == mine
    assert kinds["correction"] == {"document": "correction", "version": 1, "content": [1, 2]}
    assert kinds["plan"]["answers"]["batch_mass"] == "100.0 g"
    assert kinds["advice"]["document"] == "advice"
    assert "(with a document: fault, version 3)" in flat(desk.fine("show", "1").out)


def test_what_others_wrote_cannot_steer_the_terminal(desk: Desk) -> None:
    nasty = "\x1b[2J[red]x[/red]\u202e"
    desk.start("--name", nasty)
    desk.fine("add", "1", f"note={nasty}", "--by", nasty)
    for words in (["list"], ["show", "1"], ["balance"]):
        result = desk.fine(*words)
        assert "\u202e" not in result.out
    assert "[red]x[/red]" in desk.fine("show", "1").out


def test_screens_fit_80_columns_of_plain_letters(desk: Desk) -> None:
    for turn in range(7):
        desk.start("--name", f"A rather long name of an invented shift, number {turn}")
        desk.fine("add", str(turn + 1), f"bead={4.4 + turn / 20}g", "outcome=clean")
    for words in (["list"], ["show", "1"], ["balance"], ["balance", "1"], ["names"], ["experience"]):
        result = desk.run(*words, COLUMNS="80")
        assert result.status == FINE
        assert [line for line in result.lines if len(line) > 80] == []
    chart = desk.fine("balance").out
    assert chart.isascii()
    assert "lower limit" in chart
    document = json.loads(desk.fine("balance", "--json").raw)
    assert len(document["points"]) == 7
    assert json.loads(desk.fine("balance", "1", "--json").raw)["document"] == "journal-balance"
    assert len(json.loads(desk.fine("list", "--json").raw)["batches"]) == 7
    advice = desk.quick.run("route", "--answers", desk.answers, "--all", at=desk.program)
    assert "By your own batches:" in advice.out
    assert "7 batches" in flat(advice.out)


def test_a_journal_that_cannot_be_read_does_not_stop_the_advice(desk: Desk) -> None:
    desk.program.home.mkdir(exist_ok=True)
    desk.file.write_bytes(b"rubbish" * 100)
    result = desk.quick.run("route", "--answers", desk.answers, at=desk.program)
    assert result.status == FINE
    assert "The plan goes by the rules alone." in result.err
    assert desk.file.read_bytes() == b"rubbish" * 100


def test_out_and_in_again_without_loss(desk: Desk) -> None:
    desk.start()
    desk.fine("add", "1", "bead=4.61g", "note=two\nlines, and a comma")
    desk.fine("amend", "3", "4.16g", "--why", "slip")
    out = desk.program.folder
    desk.fine("export", "--json", out / "all.json")
    desk.fine("export", "--csv", out / "all")
    for place, source in (("one", ("--json", out / "all.json")), ("two", ("--csv", out / "all"))):
        copy = out / f"{place}.sqlite"
        assert "New here: 1 batch, 5 entries." in desk.fine("import", *source, "--journal", copy).out
        again = out / f"{place}.json"
        desk.fine("export", "--json", again, "--journal", copy)
        assert again.read_bytes() == (out / "all.json").read_bytes()
    desk.fine("backup", out / "copy.sqlite")
    assert desk.fine("show", "1", "--journal", out / "copy.sqlite").out == desk.fine("show", "1").out
    assert desk.run("backup", out / "copy.sqlite").status == BAD_INPUT


def week(desk: Desk) -> None:
    """Six invented batches of a January, the fourth with a quarter of its gold lost."""
    for turn, bead in enumerate((4.6, 4.7, 4.5, 3.3, 4.65, 4.6), 1):
        desk.start("--name", f"=Shift <b>{turn}</b>", "--day", f"2026-01-{4 + turn:02}")
        outcome = "again" if turn == 4 else "clean"
        words = (f"bead={bead}g", "slag=300g", "weighed.litharge=20g", f"outcome={outcome}", "note=two\nlines")
        desk.fine("add", str(turn), *words, "--day", f"2026-01-{4 + turn:02}")


def test_one_line_a_batch_opens_in_a_spreadsheet(desk: Desk) -> None:
    week(desk)
    to = desk.program.folder / "week.csv"
    assert "6 batches, one a line" in desk.fine("export", "--table", to).out
    rows = list(csv.DictReader(io.StringIO(to.read_text(encoding="utf-8"))))
    assert [row["batch"] for row in rows] == list("123456")
    assert (rows[3]["day"], rows[3]["bead_g"], rows[3]["collector_g"]) == ("2026-01-08", "3.3", "20")
    assert (rows[3]["outcome"], rows[3]["signal"], rows[0]["signal"]) == ("again", "yes", "no")
    assert float(rows[3]["gold_in_g"]) - float(rows[3]["gold_out_g"]) == pytest.approx(float(rows[3]["unaccounted_g"]))
    assert rows[0]["name"].startswith("'="), "a spreadsheet takes it for text"
    assert all(len(cell) < 32_000 for row in rows for cell in row.values())
    assert desk.run("export", "--table", to).status == BAD_INPUT


def test_the_page_of_a_month_tells_the_owner_all_of_it(desk: Desk) -> None:
    week(desk)
    desk.start("--name", "February", "--day", "2026-02-03")
    shown = flat(desk.fine("month", "2026-01").out)
    assert "6 batches in 2026-01. Batch 4: the difference is more than scale and assays explain" in shown
    page = (desk.program.folder / "month-2026-01.html").read_text(encoding="utf-8")
    document = json.loads(desk.fine("month", "2026-01", "--json").raw)
    assert [line["batch"] for line in document["lines"]] == [1, 2, 3, 4, 5, 6]
    assert document["gold_in_g"] - document["gold_out_g"] == pytest.approx(
        document["unaccounted_g"]["likely"], rel=1e-3
    )
    assert [(one["what"], one["mass_g"]) for one in document["kept"]] == [("slag", 300.0), ("cupels", None)] * 6
    assert all(one["gold_g"]["likely"] > 0 and not one["assayed"] for one in document["kept"])
    assert "=Shift &lt;b&gt;4&lt;/b&gt;" in page
    assert "February" not in page
    assert page.count("SIGNAL") == 1
    picture = ElementTree.fromstring(page[page.index("<svg") : page.index("</svg>") + len("</svg>")])
    titles = [one.text or "" for one in picture.iter("{http://www.w3.org/2000/svg}title")]
    assert [title.split(",")[0] for title in titles[1:]] == [f"batch {number}" for number in range(1, 7)]
    assert len([one for one in picture.iter() if one.tag.endswith("circle")]) == 5
    result = desk.run("month", "2026-01")
    assert (result.status, "exists already" in result.err) == (BAD_INPUT, True)
    desk.fine("month", "2026-01", "--force")
    assert desk.run("month", "January").status == BAD_INPUT


def test_a_damaged_journal_is_found_by_check(desk: Desk) -> None:
    desk.start()
    whole = bytearray(desk.file.read_bytes())
    whole[8192 : 8192 + 4000] = b"\xff" * 4000
    desk.file.write_bytes(bytes(whole))
    result = desk.run("check")
    assert result.status == BAD_INPUT
    assert "backup" in result.err


def test_a_newer_journal_asks_for_a_newer_program(desk: Desk) -> None:
    desk.start()
    with closing(sqlite3.connect(desk.file)) as connection:
        connection.execute("PRAGMA user_version = 99")
    result = desk.run("list")
    assert (result.status, "update the program" in result.err) == (BAD_INPUT, True)


def test_help_names_every_command_and_fits(desk: Desk) -> None:
    shown = desk.run("--help", COLUMNS="80")
    for command in ("start", "add", "amend", "list", "show", "balance", "export", "import", "backup", "check", "path"):
        assert any(line.split()[:1] == [command] for line in shown.lines)
    assert [line for line in shown.lines if len(line) > 80] == []


# Asked at a terminal


class Asking:
    """``journal add`` at a terminal of 80 columns."""

    def __init__(self, program: Program, *words: str) -> None:
        self.process = pexpect.spawn(
            COMMAND[0],
            [*COMMAND[1:], "journal", *words],
            env=program.environment(NO_COLOR="1"),
            cwd=str(program.folder),
            dimensions=(LINES, COLUMNS),
            encoding="utf-8",
            timeout=WAIT,
        )
        self.process.delaybeforesend = None
        self.shown = self.wait()

    def wait(self) -> str:
        self.process.expect([r"\r\n> $", pexpect.EOF])
        return flat(plain(self.process.before or ""))

    def say(self, typed: str) -> str:
        self.process.sendline(typed)
        self.shown = self.wait()
        return self.shown

    def status(self) -> int | None:
        self.process.close(force=True)
        return self.process.exitstatus


def test_what_is_asked_to_be_weighed_is_what_the_plan_says_and_only_what_the_work_gives_is_asked(desk: Desk) -> None:
    rich = {**PYRITIC, "gold_share": "80 %", "sulphide_share": "1 %", "quartz_share": "3 %", "batch_mass": "20 g"}
    answers = desk.program.write("rich.json", {"answers": {**rich, "reagents": ["bismuth", "borax_anhydrous"]}})
    desk.fine("start", "--answers", answers, "--name", "Rich")
    asking = Asking(desk.program, "add", "1")
    asked = [asking.shown]
    while "Anything to note?" not in asking.shown:
        asked.append(asking.say(""))
    assert re.search(r"The plan asks for 40 g \(\d+ to \d+ g\)", asked[0])
    everything = " ".join(asked)
    assert "Bead or bar?" in everything
    for none_of_it in ("Metal button?", "Slag?", "Matte?", "iron rod?"):
        assert none_of_it not in everything
    asking.say("")


def test_results_are_asked_one_at_a_time_and_kept_at_once(desk: Desk) -> None:
    desk.start()
    asking = Asking(desk.program, "add", "--by", "Ana")
    assert "was weighed out? The plan asks for" in asking.shown
    assert "Not understood: weighed." in asking.say("3 ml")
    assert "Is it right? Enter = yes" in asking.say("100g")
    assert "Recorded as entry 3: 100 g" in asking.say("")
    assert "Now recorded: 100 g. Enter keeps it." in asking.say("b")
    assert "Recorded as entry 4: 90 g" in asking.say("90g")
    assert "Recorded as entry 5: not known" in asking.say("u")
    assert "in grams" in asking.say("?")
    while "Bead or bar?" not in asking.shown:
        asking.say("")
    assert "The plan expects" in asking.shown
    assert "more than all that went in" in asking.say("4610") or "The plan expects" in asking.shown
    assert "Is it right? Enter = yes" in asking.shown
    assert "Recorded as entry 6: 4.61 g" in asking.say("4.61")
    assert "Left. 3 recorded and kept." in asking.say("q")
    assert asking.status() == LEFT
    shown = flat(desk.fine("show", "1").out)
    assert "corrected while it was entered" in shown
    assert "bead: 4.61 g" in shown


def test_the_end_of_the_questions_asks_for_a_note(desk: Desk) -> None:
    desk.start()
    asking = Asking(desk.program, "add", "1")
    while "Anything to note?" not in asking.shown:
        asking.say("2" if "clean: the bead" in asking.shown else "")
    assert "Done." in asking.say("thick slag")
    assert asking.status() == FINE
    shown = flat(desk.fine("show", "1").out)
    assert "outcome: again" in shown
    assert "note: thick slag" in shown


def test_an_amendment_asks_why(desk: Desk) -> None:
    desk.start()
    desk.fine("add", "1", "bead=4.61g")
    asking = Asking(desk.program, "amend", "3", "4.16g")
    assert "Why is entry 3 corrected?" in asking.shown
    assert "Entry 4 now stands for entry 3" in asking.say("read the scale wrong")
    assert asking.status() == FINE
