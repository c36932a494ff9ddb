"""One demo student takes quizzes, learns again after a miss, and shows a teacher."""

import random
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING
from uuid import uuid4

from machines.demo.days import Lived
from machines.demo.story import Chapter, Progress
from machines.sign_offs.acts import sign_off
from quizzes.attempts.acts import hand_in, start_attempt
from quizzes.banks.editions.texts import text_of
from quizzes.models import Answer, Attempt, Bank
from quizzes.questions import model_answers
from quizzes.questions.answering import read_response
from quizzes.questions.form_data import lines_of
from quizzes.relearning.acts import answer_check, open_card, recall_rule
from quizzes.relearning.opened_card import note_opened
from quizzes.relearning.queries import check_line
from shopsafe.school.models import Person

if TYPE_CHECKING:
    from machines.demo.build import Demo


class Learner:
    def __init__(self, demo: "Demo", student: Person, teacher: Person, rng: random.Random) -> None:
        self.demo, self.student, self.teacher, self.rng = demo, student, teacher, rng

    def life(self, chapters: Sequence[Chapter], *, agreed: bool) -> Lived:
        """The story of this student, chapter by chapter. Without a safety agreement no one shows at a machine."""
        for chapter in chapters:
            yield from self._take(chapter)
            if chapter.done is Progress.SHOWN and agreed:
                yield from self._show(chapter)

    def _take(self, chapter: Chapter) -> Lived:
        """The quiz of a chapter, with its misses first. The last miss is left as it is where nothing more came."""
        at = self.demo.ago(chapter.days_ago, self.rng.randint(0, 40))
        bank = Bank.objects.get(school=self.student.school_id, code=chapter.kind)
        for number in range(chapter.misses):
            yield at
            missed = self._attempt(bank, at, wrong=self.rng.randint(1, 2))
            if chapter.done is Progress.MISSED and number == chapter.misses - 1:
                return
            at += timedelta(minutes=12)
            yield at
            at = self._learn_again(missed, at) + timedelta(minutes=40)
        yield at
        self._attempt(bank, at, wrong=0)

    def _attempt(self, bank: Bank, at: datetime, wrong: int) -> Attempt:
        attempt = start_attempt(student=self.student, bank=bank.pk, at=at, seed=self.rng.getrandbits(62))
        text, lines = text_of(attempt.edition).bank, lines_of(attempt.form)
        missed = set(self.rng.sample(range(len(lines)), wrong))
        answers = []
        for place, line in enumerate(lines):
            question = text.question_by_code[line.code]
            right = model_answers.right_answer(question, line, text.value_by_code)
            sent = model_answers.wrong_answer(question, line) if place in missed else right
            response, saved_at = read_response(line, sent), at + timedelta(seconds=20 * (place + 1))
            answers.append(Answer(attempt=attempt, question=line.code, response=response, saved_at=saved_at))
        # A student's answers are saved one by one. Thousands of those would make the first start a minute longer.
        Answer.objects.bulk_create(answers)
        return hand_in(student=self.student, attempt=attempt.pk, at=at + timedelta(minutes=9))

    def _learn_again(self, missed: Attempt, at: datetime) -> datetime:
        bank = text_of(missed.edition).bank
        for code in missed.missed_rules:
            recall = bank.rule_by_code[code].recall
            opened = note_opened(self.student.pk, missed.pk, code, at)
            open_card(student=self.student, attempt=missed.pk, rule=code, opened=opened, at=at)
            answer = recall.key[0] if recall else ""
            at += timedelta(minutes=1)
            recall_rule(student=self.student, attempt=missed.pk, rule=code, word=answer, at=at)
        for code in missed.missed_rules:
            line = check_line(missed, code)
            sent = model_answers.right_answer(bank.question_by_code[line.code], line, bank.value_by_code)
            at += timedelta(minutes=1)
            answer_check(student=self.student, attempt=missed.pk, rule=code, sent=sent, at=at)
        return at

    def _show(self, chapter: Chapter) -> Lived:
        """A demonstration at each machine of the kind, the day after the quiz."""
        at = self.demo.ago(chapter.days_ago - 1, 150 + self.rng.randint(0, 40))
        for machine in self.demo.machines:
            if machine.kind.code == chapter.kind:
                yield at
                points = machine.kind.demonstration
                sign_off(student=self.student, machine=machine, by=self.teacher, ticked=points, tap=uuid4(), at=at)
                at += timedelta(minutes=6)
