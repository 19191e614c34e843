"""A conversation without the program around it: what it asks of the engine."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from rich.console import Console

from advisor.advice.batches.batch_file import BatchFile
from advisor.engine.conclude import Conclusions, conclude
from advisor.engine.state import Answers
from advisor.present.text.question import Place
from advisor.rulebase.model import Fact, RuleBase
from advisor.terminal.consult import conversation
from advisor.terminal.consult.conversation import Consultation
from advisor.terminal.consult.keeping import Keeper
from advisor.terminal.kinds import ROUTE, LeftError
from tests.batches import PYRITIC

ANSWER = "the answer of the ordinary batch"
Talk = Callable[..., tuple[Consultation, list[Answers]]]


@pytest.fixture
def talk(tmp_path: Path, shipped: RuleBase, monkeypatch: pytest.MonkeyPatch) -> Talk:
    """Types words into a consultation that is left with the last; gives it, and what was concluded in turn."""

    def typed(*words: str) -> tuple[Consultation, list[Answers]]:
        concluded: list[Answers] = []

        def counted(rule_base: RuleBase, answers: Answers) -> Conclusions:
            concluded.append(dict(answers))
            return conclude(rule_base, answers)

        def shown(
            _console: Console, _conclusions: Conclusions, fact: Fact, _place: Place, _present: str | None
        ) -> None:
            questions.append(fact)

        def line(_: Console) -> str:
            word = next(waiting)
            if word != ANSWER:
                return word
            answer = PYRITIC[questions[-1].name]
            return ", ".join(answer) if isinstance(answer, list) else str(answer)

        questions: list[Fact] = []
        waiting = iter(words)
        monkeypatch.setattr(conversation, "conclude", counted)
        monkeypatch.setattr(conversation, "print_question", shown)
        monkeypatch.setattr(conversation, "typed_line", line)
        keeper = Keeper(ROUTE, shipped, BatchFile(None, {}), tmp_path / "kept.yaml")
        consultation = Consultation(Console(file=io.StringIO(), width=80), keeper)
        with pytest.raises(LeftError):
            consultation.run()
        return consultation, concluded

    return typed


def test_each_answer_is_concluded_once(talk: Talk) -> None:
    consultation, concluded = talk(ANSWER, ANSWER, ANSWER, ANSWER, "q")
    assert len(consultation.answers) == 4
    assert [len(answers) for answers in concluded] == [0, 1, 2, 3, 4]


def test_what_is_only_asked_about_concludes_nothing(talk: Talk) -> None:
    _, concluded = talk("?", "s", "c", "what is this", "q")
    assert concluded == [{}]


def test_a_changed_answer_is_concluded_once_more(talk: Talk) -> None:
    consultation, concluded = talk(ANSWER, "b", ANSWER, "q")
    assert len(consultation.answers) == 1
    assert [len(answers) for answers in concluded] == [0, 1, 1]
    assert consultation.conclusions.answers == consultation.answers
