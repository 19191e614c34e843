"""A group of commands that helps after a wrong turn."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import typer
from typer.core import TyperGroup

from advisor.words import tr


def _tamed(work: Callable[..., Any], *args: Any, **more: Any) -> Any:
    from advisor.present.text.letters import tame

    try:
        return work(*args, **more)
    except BrokenPipeError:
        # The reader of a pipe (head, less) has what it wanted; that is no fault.
        from advisor.terminal.output import close_output

        close_output()
        raise typer.Exit from None
    except Exception as problem:
        if hasattr(problem, "format_message") and isinstance(getattr(problem, "message", None), str):
            problem.message = tame(problem.message)  # type: ignore[attr-defined]
        raise


def _in_words_of_the_trade(argument: Any) -> None:
    """Let help name an argument as it is typed, without the type it has in Python."""
    argument.display_type_rich = lambda **_: None
    if argument.metavar is not None:
        argument.get_usage_pieces = lambda _: [argument.metavar]


class HelpfulGroup(TyperGroup):
    """A group that names the closest command after a wrong turn, and explains a command after ``help``."""

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command of a name; None where there is none."""
        command = super().get_command(ctx, cmd_name)
        for parameter in command.params if command is not None else ():
            if parameter.param_type_name == "argument":
                _in_words_of_the_trade(parameter)
        return command

    def make_context(self, *args: Any, **more: Any) -> Any:
        """Read the command line; what was typed wrong is said back without anything a terminal would obey."""
        return _tamed(super().make_context, *args, **more)

    def invoke(self, ctx: Any) -> Any:
        """Run the command; its own wrong words are said back in the same way."""
        return _tamed(super().invoke, ctx)

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command, or say which one was probably meant; ``help NAME`` is ``NAME --help``."""
        if args and args[0] == "help":
            if not args[1:]:
                import typer

                typer.echo(ctx.get_help())
                raise typer.Exit
            return self.resolve_command(ctx, [*args[1:], "--help"])
        if args and self.get_command(ctx, args[0]) is None and not args[0].startswith("-"):
            from difflib import get_close_matches

            known = self.list_commands(ctx)
            near = get_close_matches(args[0], known, n=1, cutoff=0.5)
            hint = (
                tr("Did you mean '{command_path} {near}'?", command_path=ctx.command_path, near=near[0])
                if near
                else tr("Known are: {known}.", known=", ".join(known))
            )
            ctx.fail(tr("There is no command '{args}'. {hint}", args=args[0], hint=hint))
        return super().resolve_command(ctx, args)
