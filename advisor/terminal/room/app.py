"""``advisor room``: its commands and options. What they do is imported when they run."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from advisor.terminal import offered
from advisor.terminal.helpful import HelpfulGroup
from advisor.terminal.options import RulesOption
from advisor.words import tr

room_app = typer.Typer(
    subcommand_metavar="COMMAND",
    cls=HelpfulGroup,
    help=(
        tr(
            "Your gold room, answered once: place, furnaces, vessels, gear, law, buyer, shelf and prices. Without a"
            " command it is shown, and at a terminal a number changes an answer."
        )
    ),
    short_help=tr("Show or change your gold room."),
    rich_markup_mode=None,
)


@room_app.callback(invoke_without_command=True)
def room(ctx: typer.Context, rules: RulesOption = None) -> None:
    """Show the gold room when no command is given."""
    if ctx.invoked_subcommand is None:
        from advisor.terminal.room.commands import show_room

        raise typer.Exit(show_room(rules))


@room_app.command(
    "change",
    short_help=tr("Change an answer."),
    help=tr("Change one answer:  advisor room change mould cone.  Without a value you are asked."),
)
def change(
    fact: Annotated[str, typer.Argument(metavar="FACT", help=tr("Its name."), autocompletion=offered.room_facts)],
    value: Annotated[list[str] | None, typer.Argument(metavar="[VALUE]", help=tr("What it is now."))] = None,
    rules: RulesOption = None,
) -> None:
    """Change an answer."""
    from advisor.terminal.room.commands import change_room

    raise typer.Exit(change_room(fact, " ".join(value or ()), rules))


@room_app.command(
    "new",
    short_help=tr("Answer about your gold room for the first time."),
    help=(
        tr(
            "Ask about your gold room for the first time, or take the answers from a form (advisor form room). Every"
            " answer is kept at once. A room that is there already is put aside, not lost."
        )
    ),
)
def new(
    answers: Annotated[Path | None, typer.Option("--answers", metavar="FILE", help=tr("A filled form."))] = None,
    rules: RulesOption = None,
) -> None:
    """Begin a gold room."""
    from advisor.terminal.room.commands import new_room

    raise typer.Exit(new_room(answers, rules))
