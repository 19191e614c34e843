"""The command line. Each command imports what it needs when it runs, so that help is quick."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from copy import copy
from pathlib import Path
from typing import Annotated

import typer
from typer.models import CommandInfo

from advisor.metallurgy.commands import COMMANDS
from advisor.terminal import offered
from advisor.terminal.exit_codes import BAD_INPUT, HELP, INTERRUPTED, UNEXPECTED
from advisor.terminal.helpful import HelpfulGroup
from advisor.terminal.journal.app import journal_app
from advisor.terminal.options import (
    ByOption,
    ExplainOption,
    ForceOption,
    JournalOption,
    JsonOption,
    OutputOption,
    ResumeOption,
    RulesOption,
    SaveOption,
    TitleOption,
    WholeOption,
)
from advisor.terminal.room.app import room_app
from advisor.terminal.training.app import train_app
from advisor.words import tr

PartsOption = Annotated[
    list[str] | None,
    typer.Option(
        "--show",
        metavar="PART",
        help=tr(
            "Show this part instead of the first screen: dangers, numbers, work, why, change, ways, answers; of a "
            "diagnosis also next. Repeatable."
        ),
        autocompletion=offered.parts,
    ),
]

WELCOME = tr("""\
The advisor helps you choose how to refine tonight's gold concentrate
without mercury.

What to type next:
  advisor route                  asks about the batch and recommends a route,
                                 with plan and hazards
  advisor route --answers FILE   the same from a file, without asking
  advisor diagnose               says what went wrong and what puts it right
  advisor identify               says what a lump, grain or layer is
  advisor work                   leads through the work, one phase a screen
  advisor room                   shows your gold room, answered once
  advisor journal start          opens the journal of that batch
  advisor sheet                  writes one or two pages for the wall
  advisor train start            practises with drills
  advisor form                   prints a form to fill in away from here
  advisor rules list             shows the rules behind the advice
  advisor --help                 shows every command
  advisor help COMMAND           explains one command
""")


app = typer.Typer(
    name="advisor",
    cls=HelpfulGroup,
    help=tr("Which way to refine tonight's gold concentrate without mercury.\n\n{help}", help=HELP),
    subcommand_metavar="COMMAND",
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)
rules_app = typer.Typer(
    subcommand_metavar="COMMAND",
    cls=HelpfulGroup,
    help=tr("Read and check the rules behind the advice."),
    no_args_is_help=True,
    rich_markup_mode=None,
)
app.add_typer(rules_app, name="rules")
app.add_typer(room_app, name="room")
app.add_typer(journal_app, name="journal")
app.add_typer(train_app(HelpfulGroup), name="train")


def _version(wanted: bool) -> None:
    if wanted:
        from advisor import __version__

        typer.echo(f"advisor {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def root(
    ctx: typer.Context,
    version: Annotated[  # noqa: ARG001 - handled by its callback
        bool, typer.Option("--version", callback=_version, is_eager=True, help=tr("Show the version and leave."))
    ] = False,
) -> None:
    """Show what to type next when no command is given."""
    if ctx.invoked_subcommand is None:
        typer.echo(WELCOME, nl=False)


@app.command(
    short_help=tr("Ask about the batch and recommend a route."),
    help=tr("Ask about the batch and recommend a route, with weighed plan and hazards.\n\n{help}", help=HELP),
)
def route(
    answers: Annotated[
        Path | None,
        typer.Option(
            "--answers",
            metavar="FILE",
            help=tr(
                "Answers from a YAML or JSON file (a case serves too); nothing is asked. '-' reads standard input."
            ),
        ),
    ] = None,
    json_output: JsonOption = False,
    explain: ExplainOption = False,
    show: PartsOption = None,
    whole: WholeOption = False,
    resume: ResumeOption = False,
    save: SaveOption = None,
    title: TitleOption = None,
    beside: Annotated[
        list[str] | None,
        typer.Option(
            "--beside",
            metavar="ROUTE",
            help=tr("Lay this route beside the advised one; repeatable."),
            autocompletion=offered.routes,
        ),
    ] = None,
    beside_lot: Annotated[
        Path | None,
        typer.Option(
            "--beside-lot", metavar="FILE", help=tr("Lay another lot beside that of --answers, in one table.")
        ),
    ] = None,
    rules: RulesOption = None,
) -> None:
    """Run a route consultation."""
    from advisor.terminal.consult.consulting import Options
    from advisor.terminal.consult.route import run_route

    options = Options(
        file=answers,
        json_output=json_output,
        explain=explain,
        parts=tuple(show or ()),
        whole=whole,
        resume=resume,
        save=save,
        title=title,
        rules=rules,
    )
    if beside_lot is not None:
        from advisor.terminal.consult.lots import run_lots

        raise typer.Exit(run_lots(options, beside_lot))
    raise typer.Exit(run_route(options, beside=tuple(beside or ())))


@app.command(
    short_help=tr("What came out is wrong: cause and correction."),
    help=tr("From what you see in crucible, mould, cupel, bead or bar to the cause, and to the correction in grams."),
)
def diagnose(
    observations: Annotated[
        Path | None,
        typer.Option(
            "--observations", metavar="FILE", help=tr("Take what was seen from a file; '-' reads standard input.")
        ),
    ] = None,
    plan: Annotated[
        Path | None,
        typer.Option(
            "--plan", metavar="FILE", help=tr("The answers the batch was planned with; they are not asked again.")
        ),
    ] = None,
    json_output: JsonOption = False,
    explain: ExplainOption = False,
    show: PartsOption = None,
    whole: WholeOption = False,
    resume: ResumeOption = False,
    save: SaveOption = None,
    title: TitleOption = None,
    batch: Annotated[
        str | None,
        typer.Option(
            "--batch", metavar="BATCH", help=tr("Take the plan of this batch of the journal, and record there.")
        ),
    ] = None,
    journal: JournalOption = None,
    by: ByOption = None,
    rules: RulesOption = None,
) -> None:
    """Run a diagnosis."""
    from advisor.terminal.consult.consulting import Options
    from advisor.terminal.consult.diagnose import BatchOfJournal, run_diagnose

    options = Options(
        file=observations,
        json_output=json_output,
        explain=explain,
        parts=tuple(show or ()),
        whole=whole,
        resume=resume,
        save=save,
        title=title,
        rules=rules,
    )
    recorded = None if batch is None else BatchOfJournal(batch, journal, by)
    raise typer.Exit(run_diagnose(options, plan=plan, batch=recorded))


@app.command(
    short_help=tr("What is this? A lump, grain or layer, cold."),
    help=(
        tr(
            "From magnet, hammer, scratch, streak and weight in water to what a lump, grain or layer is, and what to "
            "do with it. All looks are cold; mercury and arsenic come first."
        )
    ),
)
def identify(
    json_output: JsonOption = False,
    explain: ExplainOption = False,
    show: PartsOption = None,
    whole: WholeOption = False,
    save: SaveOption = None,
    title: TitleOption = None,
    rules: RulesOption = None,
) -> None:
    """Run a diagnosis of a lump that nobody can name."""
    from advisor.terminal.consult.consulting import Options
    from advisor.terminal.consult.diagnose import run_diagnose

    options = Options(
        json_output=json_output,
        explain=explain,
        parts=tuple(show or ()),
        whole=whole,
        save=save,
        title=title,
        rules=rules,
    )
    raise typer.Exit(run_diagnose(options, looked_at="lump"))


@app.command(
    short_help=tr("Lead through the work, one phase a screen."),
    help=(
        tr(
            "Lead through the work of the last plan at the furnace, one phase a screen, from where it was left. What "
            "is done and noted is kept in the journal at once.\n\n{help}",
            help=HELP,
        )
    ),
)
def work(
    batch: Annotated[
        str | None,
        typer.Argument(
            metavar="[BATCH]", help=tr("A batch of the journal; without it the plan of the last consultation.")
        ),
    ] = None,
    journal: JournalOption = None,
    by: ByOption = None,
    rules: RulesOption = None,
) -> None:
    """Lead through the work."""
    from advisor.terminal.consult.lead import WorkOptions, run_work

    raise typer.Exit(run_work(WorkOptions(batch=batch, journal=journal, by=by, rules=rules)))


@app.command(
    short_help=tr("Print one or two pages for the wall."),
    help=(
        tr(
            "Write one or two pages for the wall beside the furnace: hazards and stop signs, weights, schedule, what "
            "to expect, who to call. Print the file from a browser, or with --text on any printer.\n\n{help}",
            help=HELP,
        )
    ),
)
def sheet(
    answers: Annotated[
        Path | None,
        typer.Option(
            "--answers",
            metavar="FILE",
            help=tr("Answers from a YAML or JSON file; '-' reads standard input. Without it: your last consultation."),
        ),
    ] = None,
    observations: Annotated[
        Path | None,
        typer.Option(
            "--observations", metavar="FILE", help=tr("What was seen of a piece: the sheet of its correction.")
        ),
    ] = None,
    faults: Annotated[
        bool, typer.Option("--faults", help=tr("The chart of faults in pictures, for the wall."))
    ] = False,
    output: OutputOption = None,
    force: ForceOption = False,
    text: Annotated[bool, typer.Option("--text", help=tr("Plain text: 80 columns, 66 lines a page."))] = False,
    paper: Annotated[str, typer.Option("--paper", metavar="A4|letter", help=tr("The paper of the printer."))] = "A4",
    title: TitleOption = None,
    rules: RulesOption = None,
) -> None:
    """Write the sheet for the wall."""
    from advisor.terminal.consult.sheet import SheetOptions, run_sheet

    options = SheetOptions(
        answers=answers,
        observations=observations,
        faults=faults,
        output=output,
        force=force,
        text=text,
        paper=paper,
        title=title,
        rules=rules,
    )
    raise typer.Exit(run_sheet(options))


def _add_computation(name: str, summary: str) -> None:
    """Add the command of one computation; all have the same options."""

    @app.command(name, short_help=summary, help=tr("{summary} Without inputs it shows what it takes.", summary=summary))
    def command(
        inputs: Annotated[
            list[str] | None,
            typer.Argument(metavar="[NAME=VALUE]...", help=tr("Inputs."), autocompletion=offered.inputs),
        ] = None,
        file: Annotated[
            Path | None,
            typer.Option(
                "--file", metavar="FILE", help=tr("Inputs from a YAML or JSON file; '-' reads standard input.")
            ),
        ] = None,
        json_output: JsonOption = False,
        explain: ExplainOption = False,
        rules: RulesOption = None,
    ) -> None:
        from advisor.terminal.compute import ReckoningOptions, run_calculation

        options = ReckoningOptions(words=inputs or (), file=file, json_output=json_output, explain=explain, rules=rules)
        raise typer.Exit(run_calculation(name, options))


for _name, (_, _summary) in COMMANDS.items():
    _add_computation(_name, _summary)


@app.command(
    short_help=tr("Print an empty form for the answers."),
    help=(
        tr(
            "Print an empty form of all facts, with their options and units, to fill in with any editor and to give "
            "to route --answers, diagnose --observations or room new --answers."
        )
    ),
)
def form(
    consultation: Annotated[
        str,
        typer.Argument(
            metavar="route|diagnose|room",
            help=tr("For which consultation, or for the gold room."),
            autocompletion=offered.forms,
        ),
    ] = "route",
    output: OutputOption = None,
    force: ForceOption = False,
    rules: RulesOption = None,
) -> None:
    """Print an answer form."""
    from advisor.terminal.form import run_form

    run_form(consultation, output, rules, force=force)


@app.command(
    short_help=tr("Print the JSON Schema of a document."),
    help=(
        tr(
            "Print the JSON Schema of the advice, of answer files, of worked cases, of a gold room, of a "
            "computation, of rule files, of what  rules try  finds or of two lots side by side. Those of answers, "
            "cases and rooms name every fact, so that an editor completes them."
        )
    ),
)
def schema(
    document: Annotated[
        str,
        typer.Argument(
            metavar="advice|answers|case|room|diagnosis|calculation|rules|trial|lots",
            help=tr("Which document."),
            autocompletion=offered.schemas,
        ),
    ] = "advice",
    output: OutputOption = None,
    force: ForceOption = False,
    rules: RulesOption = None,
) -> None:
    """Print a JSON Schema."""
    from advisor.terminal.schemas import give_schema

    give_schema(document, output, rules, force=force)


@app.command(
    short_help=tr("Make a folder to install from without network."),
    help=(
        tr(
            "Make a new folder to carry to a place without network: what is needed to install, a page that says how, "
            "the chart of faults, sheets and forms to print. It fetches by pip, and is the one command that uses the "
            "network."
        )
    ),
)
def kit(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help=tr("The new folder."))],
    system: Annotated[
        list[str] | None,
        typer.Option(
            "--system",
            metavar="SYSTEM",
            help=tr("For windows, linux, linux-arm, mac or mac-intel; repeatable. Without it: for this computer's."),
            autocompletion=offered.systems,
        ),
    ] = None,
    python: Annotated[
        list[str] | None,
        typer.Option(
            "--python", metavar="VERSION", help=tr("For this version, such as 3.12; repeatable. Without it: this one.")
        ),
    ] = None,
) -> None:
    """Make a kit."""
    from advisor.terminal.kit.commands import make_kit

    raise typer.Exit(make_kit(folder, system or (), python or ()))


@rules_app.command(
    "check",
    short_help=tr("Check the rules; name every fault."),
    help=tr("Check the rule base and report every fault with file and line; with --prove, prove what it promises."),
)
def rules_check(
    prove: Annotated[
        bool, typer.Option("--prove", help=tr("Prove what the rules promise over all sets of answers; needs z3."))
    ] = False,
    counterexamples: Annotated[
        Path | None,
        typer.Option("--counterexamples", metavar="DIR", help=tr("Write answers that break a promise there.")),
    ] = None,
    witnesses: Annotated[
        Path | None,
        typer.Option("--witnesses", metavar="DIR", help=tr("Write answers that show each rule at work there.")),
    ] = None,
    force: ForceOption = False,
    rules: RulesOption = None,
) -> None:
    """Check the rules."""
    from advisor.terminal.rules.commands import check

    raise typer.Exit(check(rules, prove, counterexamples, witnesses, force=force))


@rules_app.command(
    "try",
    short_help=tr("Show which worked cases your rules change."),
    help=(
        tr(
            "Decide all worked cases with your rules and without them, and show what comes out differently. A case "
            "that no longer gives what it expects is marked. Exit status: 0 the cases were decided, whatever "
            "differs; 2 faults."
        )
    ),
)
def rules_try(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help=tr("The folder with the rules to try."))],
    case: Annotated[
        str | None,
        typer.Option(
            "--case", metavar="NAME", help=tr("Show all that differs in one case."), autocompletion=offered.cases
        ),
    ] = None,
    whole: Annotated[
        bool,
        typer.Option("--whole", help=tr("FOLDER holds a whole rule base, in place of the shipped one.")),
    ] = False,
    json_output: JsonOption = False,
    rules: RulesOption = None,
) -> None:
    """Try rules on the worked cases."""
    from advisor.terminal.rules.trying import try_rules

    raise typer.Exit(try_rules(folder, rules, case, whole=whole, json_output=json_output))


@rules_app.command(
    "list",
    short_help=tr("List the rules: all sections, or one."),
    help=tr("List the rules: all sections, or one (facts, arguments, hazards, steps ...)."),
)
def rules_list(
    section: Annotated[
        str | None, typer.Argument(help=tr("The section to list."), autocompletion=offered.sections)
    ] = None,
    rules: RulesOption = None,
) -> None:
    """List rules."""
    from advisor.terminal.rules.commands import list_rules

    list_rules(section, rules)


@rules_app.command(
    "show",
    short_help=tr("Show one rule in full."),
    help=(
        tr(
            "Show one rule in full: its condition, reason, source and file; with --witness the fewest answers with "
            "which it acts, and the fewest with which it does not."
        )
    ),
)
def rules_show(
    rule_id: Annotated[
        str,
        typer.Argument(
            metavar="ID", help=tr("Id of a rule, fact, threshold, decision ..."), autocompletion=offered.rule_ids
        ),
    ],
    witness: Annotated[
        bool, typer.Option("--witness", help=tr("Show answers with which it acts, and such with which not; needs z3."))
    ] = False,
    output: Annotated[
        Path | None, typer.Option("--output", metavar="FOLDER", help=tr("Write these answers into files there."))
    ] = None,
    force: ForceOption = False,
    rules: RulesOption = None,
) -> None:
    """Show one rule."""
    from advisor.terminal.rules.commands import show

    if not witness:
        show(rule_id, rules)
        return
    from advisor.terminal.rules.witness import show_witness

    show_witness(rule_id, rules, output, force=force)


@rules_app.command(
    "draw",
    short_help=tr("Show a drawing, or write them as SVG."),
    help=tr("Show one drawing of the diagnosis, or all; with --svg write them as SVG files into a folder."),
)
def rules_draw(
    name: Annotated[
        str | None,
        typer.Argument(metavar="[NAME]", help=tr("The drawing; all if left out."), autocompletion=offered.drawings),
    ] = None,
    svg: Annotated[Path | None, typer.Option("--svg", metavar="FOLDER", help=tr("Write SVG files here."))] = None,
    force: ForceOption = False,
    rules: RulesOption = None,
) -> None:
    """Show or write drawings."""
    from advisor.terminal.rules.commands import draw

    draw(name, svg, rules, force=force)


@rules_app.command(
    "words",
    short_help=tr("Write every text, for translators."),
    help=tr(
        "Write the template for translators: every text of the program and of the rules, in the PO format of gettext. "
        "Compiled with msgfmt, a translation is named in ADVISOR_WORDS."
    ),
)
def rules_words(
    file: Annotated[Path, typer.Argument(metavar="FILE", help=tr("The file to write, such as advisor.pot."))],
    force: ForceOption = False,
    rules: RulesOption = None,
) -> None:
    """Write the template for translators."""
    from advisor.terminal.rules.template import write_template

    write_template(file, rules, force=force)


def _hasten() -> None:
    """Leave out what a run of a second need not do."""
    import atexit
    import gc
    import os

    # Little of what one run makes hangs together in circles. Looking for them takes a tenth of the time while it runs,
    # and a fifth again at its end, when all memory is given back anyway.
    gc.set_threshold(100_000)
    atexit.register(gc.freeze)
    # Otherwise the models look through everything that is installed for plugins, and they use none.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


def _say_last_words() -> None:
    """Let out what is still to be written; a reader that has left already (head, less) is no fault."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        from advisor.terminal.output import close_output

        close_output()


def _with_what_is_typed(typed: Sequence[str]) -> typer.Typer:
    """The program with no command but the one that is typed, since each takes its time to build; else with all."""
    named = typed[0] if typed else ""
    alone = copy(app)
    alone.registered_commands = [one for one in app.registered_commands if _name_of(one) == named]
    alone.registered_groups = [one for one in app.registered_groups if one.name == named]
    return alone if alone.registered_commands or alone.registered_groups else app


def _name_of(command: CommandInfo) -> str:
    assert command.callback is not None
    return command.name or command.callback.__name__.replace("_", "-")


def main() -> None:
    """Run the program; every fault a person can correct is one sentence, never a traceback."""
    from advisor.errors import AdvisorError, InputError
    from advisor.words import fault

    _hasten()
    if sys.stdout is None:
        from advisor.terminal.output import say_fault

        # Whoever cannot see an advice must not be told that it was given.
        say_fault(tr("standard output is closed, so nothing was done; send it to a file, or leave it open"))
        sys.exit(UNEXPECTED)
    try:
        try:
            if fault():
                raise InputError(fault())
            _with_what_is_typed(sys.argv[1:])()
        finally:
            _say_last_words()
    except AdvisorError as problem:
        from advisor.terminal.output import say_fault

        say_fault(str(problem))
        sys.exit(BAD_INPUT)
    except OSError as problem:
        from advisor.terminal.output import close_output, fault_of_system, say_fault

        close_output()
        say_fault(fault_of_system(problem))
        sys.exit(UNEXPECTED)
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)
