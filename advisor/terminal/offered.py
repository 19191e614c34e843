"""What a shell offers to complete: names from the rules and the cases. Nothing is offered where they cannot be read."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import typer


def _completion(names: Callable[[], Iterable[str]]) -> Callable[[str], list[str]]:
    def offered(incomplete: str) -> list[str]:
        from advisor.errors import AdvisorError

        try:
            return sorted(name for name in names() if name.startswith(incomplete))
        except (AdvisorError, OSError):
            return []

    return offered


def _of_rules(*sections: str) -> Iterable[str]:
    from advisor.terminal.setup import rule_base_for

    rule_base = rule_base_for(None, diagnosis=True, promises=True)
    return {name for section in sections for name in getattr(rule_base, section)}


def _sections() -> Iterable[str]:
    from advisor.terminal.rules.commands import SECTIONS

    return SECTIONS


def _routes() -> Iterable[str]:
    from advisor.terminal.setup import rule_base_for

    return rule_base_for(None).decisions["route"].options


def _cases() -> Iterable[str]:
    from advisor.terminal.rules.trying import case_files

    return case_files()


def _schemas() -> Iterable[str]:
    from advisor.terminal.schemas import MAKERS

    return MAKERS


def _parts() -> Iterable[str]:
    from advisor.present.text.advice import PARTS
    from advisor.present.text.diagnosis import PARTS as OF_DIAGNOSIS

    return {*PARTS, *OF_DIAGNOSIS}


def _forms() -> Iterable[str]:
    from advisor.terminal.form import KINDS

    return KINDS


def _systems() -> Iterable[str]:
    from advisor.terminal.kit.wheels import SYSTEMS

    return SYSTEMS


def _room_facts() -> Iterable[str]:
    from advisor.advice.batches.own_room import facts_of_room
    from advisor.terminal.setup import rule_base_for

    return facts_of_room(rule_base_for(None))


def inputs(ctx: typer.Context, incomplete: str) -> list[str]:
    """The inputs of the computation that is typed, each with its sign of equality."""

    def names() -> Iterable[str]:
        from advisor.metallurgy.calculators import COMPUTATIONS
        from advisor.metallurgy.common.tables import Tables
        from advisor.terminal.setup import rule_base_for

        return [f"{one.name}=" for one in COMPUTATIONS[str(ctx.info_name)].inputs(Tables(rule_base_for(None)))]

    return _completion(names)(incomplete)


rule_ids = _completion(lambda: _of_rules(*_sections()))
drawings = _completion(lambda: _of_rules("drawings"))
sections = _completion(_sections)
routes = _completion(_routes)
cases = _completion(_cases)
schemas = _completion(_schemas)
forms = _completion(_forms)
parts = _completion(_parts)
systems = _completion(_systems)
room_facts = _completion(_room_facts)
