"""Attempts, the answers in them, and what stands between a miss and the next one."""

import uuid

from django.db import models
from django.db.models import Case, F, Q, Value, When
from django.utils.translation import gettext_lazy

from quizzes.models.banks import Bank, Edition
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person, School

VOIDED = Q(voided_at__isnull=False, voided_by__isnull=False) & ~Q(void_reason="")
NOT_VOIDED = Q(voided_at__isnull=True, voided_by__isnull=True, void_reason="")


class Attempt(models.Model):
    """One go at a quiz: perfect or not. There is no mark to set: `perfect` is worked out by the database."""

    class Purpose(models.TextChoices):
        QUIZ = "quiz", gettext_lazy("Quiz")
        REFRESHER = "refresher", gettext_lazy("Refresher")

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    student = models.ForeignKey(Person, models.PROTECT, related_name="attempts")
    bank = models.ForeignKey(Bank, models.PROTECT, related_name="attempts")
    edition = models.ForeignKey(Edition, models.PROTECT, related_name="attempts")
    purpose = models.CharField(max_length=10, choices=Purpose, default=Purpose.QUIZ)
    practice = models.BooleanField("begun before the rules were accepted: it never counts", default=False)
    seed = models.BigIntegerField("what the form was drawn with; never shown before the attempt is graded")
    form = models.JSONField("the questions and the order of their answers, and what they were drawn from")
    started_at = models.DateTimeField()
    handed_in_at = models.DateTimeField(null=True, blank=True)
    asked = models.PositiveSmallIntegerField()
    correct = models.PositiveSmallIntegerField(null=True, blank=True)
    perfect = models.GeneratedField(
        expression=Case(
            When(Q(handed_in_at__isnull=False, correct=F("asked")), then=Value(True)),
            default=Value(False),
        ),
        output_field=models.BooleanField(),
        db_persist=True,
    )
    missed_rules = models.JSONField("codes, in the order of the bank", default=list)
    missed_questions = models.JSONField("codes; never shown to the student", default=list)
    entry = models.ForeignKey(Entry, models.PROTECT, null=True, blank=True, related_name="+")
    voided_at = models.DateTimeField(null=True, blank=True)
    voided_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    void_reason = models.CharField(max_length=300, blank=True)
    paper_code = models.CharField("printed on its sheet; empty for a quiz on a screen", max_length=7, blank=True)
    printed_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")
    entered_by = models.ForeignKey(Person, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["started_at"]
        indexes = [
            models.Index(fields=["student", "bank", "handed_in_at"], name="attempt_of_student_and_bank"),
            models.Index(fields=["student", "perfect", "bank"], name="attempt_passes"),
            models.Index(fields=["bank", "started_at"], name="attempt_begun_at_bank"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "bank"],
                condition=Q(handed_in_at__isnull=True, voided_at__isnull=True),
                name="one_open_attempt",
                violation_error_message=gettext_lazy("This quiz is open already. Continue it."),
            ),
            models.UniqueConstraint(
                fields=["school", "paper_code"],
                condition=~Q(paper_code=""),
                name="paper_code_once_a_school",
                violation_error_message=gettext_lazy("Another sheet has this code. Print again."),
            ),
            models.CheckConstraint(
                name="quiz_on_paper_has_its_teacher",
                condition=Q(paper_code="", printed_by__isnull=True, entered_by__isnull=True)
                | (~Q(paper_code="") & Q(printed_by__isnull=False))
                & (Q(handed_in_at__isnull=True) | Q(entered_by__isnull=False)),
                violation_error_message=gettext_lazy("A quiz on paper is printed and entered by a teacher."),
            ),
            models.CheckConstraint(
                name="attempt_asks_something",
                condition=Q(asked__gte=1),
                violation_error_message=gettext_lazy("An attempt asks at least one question."),
            ),
            models.CheckConstraint(
                name="attempt_is_graded_when_handed_in",
                condition=Q(handed_in_at__isnull=True, correct__isnull=True)
                | Q(handed_in_at__isnull=False, correct__isnull=False, correct__lte=F("asked")),
                violation_error_message=gettext_lazy("An attempt is graded when it is handed in, and not before."),
            ),
            models.CheckConstraint(
                name="attempt_is_voided_with_a_reason",
                condition=NOT_VOIDED | VOIDED,
                violation_error_message=gettext_lazy("Say why the attempt is voided."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.student} at {self.edition}"

    @property
    def is_open(self) -> bool:
        return self.handed_in_at is None and self.voided_at is None

    @property
    def on_paper(self) -> bool:
        return self.paper_code != ""


class Answer(models.Model):
    """What a student gave for one question of a form, kept as it was given."""

    attempt = models.ForeignKey(Attempt, models.PROTECT, related_name="answers")
    question = models.CharField(max_length=80)
    response = models.JSONField()
    revision = models.PositiveIntegerField("how often this answer was saved", default=1)
    saved_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["attempt", "question"],
                name="one_answer_a_question",
                violation_error_message=gettext_lazy("This question is answered already."),
            ),
        ]

    def __str__(self) -> str:
        return f"answer to {self.question}"


class RuleRead(models.Model):
    """One card of relearning: when it was opened, recalled with the card covered, and checked by a question."""

    attempt = models.ForeignKey(Attempt, models.PROTECT, related_name="rules_read")
    rule = models.CharField(max_length=80)
    opened_at = models.DateTimeField()
    recalled_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField("how often the student tried to recall it", default=0)
    checked_at = models.DateTimeField(null=True, blank=True)
    checked_question = models.CharField("the check's question: the student has seen it", max_length=80, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["attempt", "rule"],
                name="one_card_a_rule",
                violation_error_message=gettext_lazy("This card is open already."),
            ),
            models.CheckConstraint(
                name="card_is_opened_before_it_is_recalled",
                condition=Q(recalled_at__isnull=True) | Q(recalled_at__gte=F("opened_at")),
                violation_error_message=gettext_lazy("Open the card first."),
            ),
            models.CheckConstraint(
                name="card_is_recalled_before_it_is_checked",
                condition=Q(checked_at__isnull=True)
                | (Q(recalled_at__isnull=False) & Q(checked_at__gte=F("recalled_at"))),
                violation_error_message=gettext_lazy("Recall the rule first."),
            ),
        ]

    def __str__(self) -> str:
        return f"card of {self.rule}"


class Release(models.Model):
    """A teacher lets a student try again after too many misses. It follows one missed attempt."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    attempt = models.OneToOneField(Attempt, models.PROTECT, related_name="release")
    released_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    released_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"release after {self.attempt}"
