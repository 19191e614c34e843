"""The words of the command line: help, and what was typed wrong, in the program's own sentences and language."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any

import typer
from typer.core import TyperGroup

from advisor.terminal.exit_codes import INTERRUPTED
from advisor.words import tr

_SAID_BY_LIBRARY = {
    "Options": tr("Options"),
    "Arguments": tr("Arguments"),
    "Commands": tr("Commands"),
    "Show this message and exit.": tr("Show this message and leave."),
    "Install completion for the current shell.": tr("Install completion for the current shell."),
    "Show completion for the current shell, to copy it or customize the installation.": tr(
        "Show completion for the current shell, to copy it or to fit the installation."
    ),
}
"""What the library of the command line says by itself, in the language of this run."""
_AFTER_HELP = re.compile(r"\[([^\[\]]+)\]$")
_DEFAULT = "default: "


class _Formatter(typer.Context.formatter_class):  # type: ignore[misc,valid-type]
    """Lays help out as the library does, in the language of this run."""

    def write_usage(self, prog: str, args: str = "", prefix: str | None = None) -> None:
        super().write_usage(prog, args, tr("Usage: ") if prefix is None else prefix)

    def write_heading(self, heading: str) -> None:
        super().write_heading(_SAID_BY_LIBRARY.get(heading, heading))

    def write_dl(self, rows: Iterable[tuple[str, str]], *widths: Any, **more: Any) -> None:
        super().write_dl([(name, _help(text)) for name, text in rows], *widths, **more)


def _help(text: str) -> str:
    """The help of one option or argument; what stands in brackets behind it comes from the library."""
    whole = _SAID_BY_LIBRARY.get(text, text)
    return _AFTER_HELP.sub(lambda found: f"[{'; '.join(map(_condition, found[1].split('; ')))}]", whole)


def _condition(said: str) -> str:
    if said.startswith(_DEFAULT):
        return tr("default: {value}", value=said.removeprefix(_DEFAULT))
    return tr("required") if said == "required" else said


class _Context(typer.Context):
    formatter_class = _Formatter


def _in_own_words(work: Callable[[], Any], group: Any = None) -> Any:
    """Read or run a command; what was typed wrong is one sentence, as every other fault is.

    Args:
        work: What to do.
        group: The context of the group whose command is run.

    Raises:
        InputError: If what was typed cannot be used.
    """
    try:
        return work()
    except BrokenPipeError:
        # The reader of a pipe (head, less) has what it wanted; that is no fault.
        from advisor.terminal.output import close_output

        close_output()
        raise typer.Exit from None
    except KeyboardInterrupt:
        # The library would say so in its own words.
        raise typer.Exit(INTERRUPTED) from None
    except Exception as problem:
        # The classes stand in another module in each version of the library.
        kinds = {one.__name__ for one in type(problem).__mro__}
        if "UsageError" not in kinds or "NoArgsIsHelpError" in kinds:
            raise
        from advisor.errors import InputError

        raise InputError(_what_is_wrong(problem, kinds, _named(getattr(problem, "ctx", None), group))) from None


def _named(ctx: Any, group: Any) -> str:
    """The command that was typed, by its own context or else by that of its group."""
    if ctx is not None or group is None:
        return ctx.command_path if ctx is not None else "advisor"
    return f"{group.command_path} {group.invoked_subcommand or ''}".rstrip()


def _what_is_wrong(problem: Any, kinds: set[str], command: str) -> str:
    """What was typed wrong, in a sentence, by the kinds of fault that the library tells apart."""
    see = f"{command} --help"
    if "NoSuchOption" in kinds:
        from advisor.rulebase.language.formulas import closest

        option, known = problem.option_name, list(problem.possibilities or ())
        return tr(
            "there is no option '{option}'{near}; see  {see}", option=option, near=closest(option, known), see=see
        )
    if "BadOptionUsage" in kinds:
        return tr("'{option}' is not used like this; see  {see}", option=problem.option_name, see=see)
    if "BadParameter" in kinds and problem.param is not None:
        one = problem.param
        name = one.opts[0] if one.param_type_name == "option" else one.metavar or one.name
        if "MissingParameter" in kinds:
            return tr("'{name}' is missing; see  {see}", name=name, see=see)
        return tr("'{name}' takes {wanted}; see  {see}", name=name, wanted=_number_wanted(one), see=see)
    return tr("more was typed than there is a use for; see  {see}", see=see)


def _number_wanted(one: Any) -> str:
    """Which whole numbers an option or argument takes; of all that is typed the library itself reads only these."""
    # Where its limits stand hangs on the version of the library.
    least, most = (getattr(one, end, getattr(getattr(one, "type", None), end, None)) for end in ("min", "max"))
    if least is None or most is None:
        return tr("a whole number") if least is None else tr("a whole number, {least} or more", least=least)
    return tr("a whole number from {least} to {most}", least=least, most=most)


def _in_words_of_the_trade(argument: Any) -> None:
    """Let help name an argument as it is typed, without the type it has in Python."""
    argument.display_type_rich = lambda **_: None
    if argument.metavar is not None:
        argument.get_usage_pieces = lambda _: [argument.metavar]


class HelpfulGroup(TyperGroup):
    """A group that names the closest command after a wrong turn, and explains a command after ``help``."""

    context_class = _Context

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command of a name; None where there is none."""
        command = super().get_command(ctx, cmd_name)
        if command is not None:
            command.context_class = _Context
        for parameter in command.params if command is not None else ():
            if parameter.param_type_name == "argument":
                _in_words_of_the_trade(parameter)
        return command

    def make_context(self, *args: Any, **more: Any) -> Any:
        """Read the command line.

        Raises:
            InputError: If what was typed cannot be used.
        """
        return _in_own_words(lambda: super(HelpfulGroup, self).make_context(*args, **more))

    def invoke(self, ctx: Any) -> Any:
        """Run the command.

        Raises:
            InputError: If what was typed for it cannot be used.
        """
        return _in_own_words(lambda: super(HelpfulGroup, self).invoke(ctx), ctx)

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command, or say which one was probably meant; ``help NAME`` is ``NAME --help``.

        Raises:
            InputError: If there is no such command.
        """
        if args and args[0] == "help":
            if not args[1:]:
                typer.echo(ctx.get_help())
                raise typer.Exit
            return self.resolve_command(ctx, [*args[1:], "--help"])
        if args and self.get_command(ctx, args[0]) is None and not args[0].startswith("-"):
            from difflib import get_close_matches

            from advisor.errors import InputError

            known = self.list_commands(ctx)
            near = get_close_matches(args[0], known, n=1, cutoff=0.5)
            hint = (
                tr("Did you mean '{command_path} {near}'?", command_path=ctx.command_path, near=near[0])
                if near
                else tr("Known are: {known}.", known=", ".join(known))
            )
            raise InputError(tr("There is no command '{args}'. {hint}", args=args[0], hint=hint))
        return super().resolve_command(ctx, args)
