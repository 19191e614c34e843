"""A group of commands that helps after a wrong turn."""

from __future__ import annotations

from typing import Any

from typer.core import TyperGroup


class HelpfulGroup(TyperGroup):
    """A group that names the closest command after a wrong turn."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command, or say which one was probably meant."""
        if args and self.get_command(ctx, args[0]) is None and not args[0].startswith("-"):
            from difflib import get_close_matches

            known = self.list_commands(ctx)
            near = get_close_matches(args[0], known, n=1, cutoff=0.5)
            hint = f"Did you mean '{ctx.command_path} {near[0]}'?" if near else f"Known are: {', '.join(known)}."
            ctx.fail(f"There is no command '{args[0]}'. {hint}")
        return super().resolve_command(ctx, args)
