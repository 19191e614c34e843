"""The template for translators: every text of the program and of the rules, in the PO format of gettext."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import advisor
from advisor.frozen import frozen
from advisor.journal.vocabulary import OUTCOMES, RESULTS
from advisor.rulebase.loading import load_texts
from advisor.terminal.output import notice
from advisor.terminal.settings import configured_rules
from advisor.terminal.setup import rule_base_for
from advisor.terminal.writing import TEMPLATE, write_new
from advisor.words import IDS, tr

CALLED = ("tr", "tr_many", "typed_words")
"""What a text is passed to, in Python."""
_HEAD = """\
msgid ""
msgstr ""
"Project-Id-Version: advisor {version}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=UTF-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"Language: \\n"
"Plural-Forms: nplurals=INTEGER; plural=EXPRESSION;\\n"
"""


@frozen
class Text:
    """One text to be translated.

    Attributes:
        place: File and line where it stands.
        text: The text, its places named in braces.
        many: The text for several; empty where there is but one form.
        context: For a text of the rules its id, which is where it stands there; empty for one of the program.
    """

    place: str
    text: str
    many: str = ""
    context: str = ""


def write_template(file: Path, rules: Sequence[Path] | None, *, force: bool = False) -> None:
    """Write the template.

    Raises:
        InputError: If the rules cannot be read, or something is there that must stay.
    """
    texts = [*program_texts(), *rule_texts(tuple(rules) if rules else tuple(configured_rules()))]
    write_new(file, template(texts), TEMPLATE, force=force)
    notice(tr("The template is in {file}: {count} texts.", file=file, count=len(_merged(texts))))


def program_texts() -> Iterator[Text]:
    """Every text that the program passes to ``tr`` and its like, in files of Python and in templates of pages."""
    root = Path(advisor.__file__).parent
    for path in sorted(root.rglob("*.py")):
        yield from _called(ast.parse(path.read_text(encoding="utf-8")), f"advisor/{path.relative_to(root).as_posix()}")
    # Templates take long to load.
    from jinja2 import nodes

    from advisor.present.pages.html import environment

    for path in sorted(root.rglob("*.j2")):
        place = f"advisor/{path.relative_to(root).as_posix()}"
        for call in environment().parse(path.read_text(encoding="utf-8")).find_all(nodes.Call):
            if isinstance(call.node, nodes.Name) and call.node.name in ("tr", "tr_many"):
                said = [one.value for one in call.args if isinstance(one, nodes.Const)]
                yield Text(f"{place}:{call.lineno}", *said[: 1 + (call.node.name == "tr_many")])


def _called(tree: ast.Module, place: str) -> Iterator[Text]:
    for call in ast.walk(tree):
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in CALLED:
            said = [one.value for one in call.args if isinstance(one, ast.Constant) and isinstance(one.value, str)]
            if said:
                yield Text(f"{place}:{call.lineno}", *said[: 1 + (call.func.id == "tr_many")])


def rule_texts(rules: Sequence[Path] = ()) -> Iterator[Text]:
    """Every text of the rules, a shop's own included; its context is where it stands among them.

    Ids that are said as words stand in a context of their own: materials, ways, strengths and what the journal records.

    Raises:
        FaultyFile: With every fault in the files.
    """
    said: set[tuple[str, str]] = set()
    for one in load_texts(rules):
        place = f"{one.file}:{one.line}"
        yield Text(place, one.text, context=one.place)
        section, name, *more = one.place.split(".")
        said |= {(place, name)} if section == "materials" else set()
        said |= {(place, more[1])} if section == "decisions" and more[0] == "options" else set()
    said |= {("rules/base.yaml", name) for name in rule_base_for(rules).strengths}
    said |= {("advisor/journal/vocabulary.py", name) for name in (*RESULTS, *OUTCOMES)}
    for place, name in sorted(said):
        yield Text(place, name.replace("_", " "), context=IDS)


def template(texts: Iterable[Text]) -> str:
    """Texts in the PO format; one that stands in several places comes once, with all of them."""
    head = _HEAD.format(version=advisor.__version__)
    return "\n".join([head, *(_entry(same) for same in _merged(texts).values())])


def _merged(texts: Iterable[Text]) -> dict[tuple[str, str], list[Text]]:
    found: dict[tuple[str, str], list[Text]] = {}
    for text in texts:
        found.setdefault((text.context, text.text), []).append(text)
    return found


def _entry(same: Sequence[Text]) -> str:
    first, many = same[0], next((one.many for one in same if one.many), "")
    lines = [f"#: {place}" for place in dict.fromkeys(one.place for one in same)]
    lines += ["#, python-brace-format"] if "{" in first.text and not first.context else []
    lines += [f"msgctxt {_quoted(first.context)}"] if first.context else []
    lines.append(f"msgid {_quoted(first.text)}")
    lines += [f"msgid_plural {_quoted(many)}", 'msgstr[0] ""', 'msgstr[1] ""'] if many else ['msgstr ""']
    return "\n".join([*lines, ""])


def _quoted(text: str) -> str:
    """A text as the PO format writes it, each line in quotes of its own."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\t", "\\t").replace("\r", "\\r")
    lines = [f'"{line}"' for line in escaped.replace("\n", "\\n\n").split("\n") if line]
    return lines[0] if len(lines) == 1 else "\n".join(['""', *lines])
