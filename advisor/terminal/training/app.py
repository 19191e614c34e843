"""``advisor train``: its commands and options. What they do is imported when they run, so that help is quick."""

from __future__ import annotations

from typing import Annotated

import typer
from typer.core import TyperGroup

from advisor.terminal.options import JsonOption, RulesOption
from advisor.words import tr

PRIVACY = tr(
    "Each learner's record is a file of its own that only your account may open; one learner's run never "
    "opens another's. Whoever works under the same account of the computer can still read it: file "
    "permissions keep other accounts out, nothing more."
)

KindOption = Annotated[
    list[str] | None,
    typer.Option(
        "--kind",
        metavar="KIND",
        help=tr("Only this kind: route, collector, first, danger, control, weigh, picture, cause, remedy; repeatable."),
    ),
]
CountOption = Annotated[int, typer.Option("--count", metavar="N", min=1, max=200, help=tr("How many drills."))]


def train_app(group: type[TyperGroup]) -> typer.Typer:
    """The commands under ``advisor train``.

    Args:
        group: The class of groups that names the closest command after a wrong turn.
    """
    app = typer.Typer(
        subcommand_metavar="COMMAND",
        cls=group,
        help=tr("Practise with drills that the rules themselves examine.\n\n{privacy}", privacy=PRIVACY),
        no_args_is_help=True,
        rich_markup_mode=None,
    )
    app.command("start", short_help=tr("Practise: one drill after another."), help=_START)(start)
    app.command("drills", short_help=tr("Print a set of drills for a class."), help=_DRILLS)(drills)
    app.command("report", short_help=tr("Who is ready for what."), help=_REPORT)(report)
    return app


_START = tr(
    "One drill after another; what you did not know comes back. Type the number of your answer; ? explains, "
    "u means not known, q leaves. Every answer is kept at once."
)
_DRILLS = tr(
    "Print drills on paper: the questions, or with --answers the sheet for the trainer. The same seed, "
    "count, kinds and rules give the same drills on every computer; the code in the heading shows it."
)
_REPORT = tr("For the trainer: what each learner is ready for, and what is missing. {privacy}", privacy=PRIVACY)


def start(
    learner: Annotated[str | None, typer.Option("--learner", metavar="NAME", help=tr("Your name."))] = None,
    kind: KindOption = None,
    seed: Annotated[
        int | None,
        typer.Option("--seed", metavar="N", min=0, help=tr("Take the drills of this set, the same for a whole class.")),
    ] = None,
    count: CountOption = 10,
    rules: RulesOption = None,
) -> None:
    """Practise."""
    from advisor.terminal.training.session import run_start

    raise typer.Exit(run_start(learner, kind or [], seed, count, rules))


def drills(
    seed: Annotated[int, typer.Option("--seed", metavar="N", min=0, help=tr("The number of the set."))],
    count: CountOption = 10,
    kind: KindOption = None,
    answers: Annotated[bool, typer.Option("--answers", help=tr("Print the answers, with why, instead."))] = False,
    rules: RulesOption = None,
) -> None:
    """Print a set of drills."""
    from advisor.terminal.training.session import run_drills

    raise typer.Exit(run_drills(seed, count, kind or [], answers, rules))


def report(
    json_output: JsonOption = False,
    rules: RulesOption = None,
) -> None:
    """Show who is ready for what."""
    from advisor.terminal.training.session import run_report

    raise typer.Exit(run_report(json_output, rules))
