"""Counts of answers, kept as attempts are handed in, so that a page of figures reads no attempt. They name no one."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from quizzes.models.attempts import Attempt
from quizzes.models.banks import Bank, Edition
from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person, School


class AnswerCount(models.Model):
    """How many students gave this answer to this question, in one month, with this score on their form.

    What was picked, the score and the time are kept of first attempts alone; of later ones, whether it was right.
    """

    bank = models.ForeignKey(Bank, models.PROTECT, related_name="answer_counts")
    question = models.CharField(max_length=80)
    wording = models.CharField("digest of the question as asked", max_length=16)
    month = models.PositiveIntegerField("as 202609, by the school's time zone")
    first = models.BooleanField("on the student's first attempt at the bank")
    after_study = models.BooleanField("on the attempt after studying its rule")
    met_before = models.BooleanField("the student had met the question before")
    picked = models.CharField("the answer, by places in the bank; empty on later attempts", max_length=40, blank=True)
    right = models.BooleanField()
    asked = models.PositiveSmallIntegerField("questions on the form; 0 on later attempts")
    correct = models.PositiveSmallIntegerField("right ones among them; 0 on later attempts")
    students = models.PositiveIntegerField()
    timed = models.PositiveIntegerField("those whose time is known", default=0)
    log_time = models.BigIntegerField("Σ of the natural log of seconds, in thousandths", default=0)
    log_time_squared = models.BigIntegerField("Σ of its square, in millionths", default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=[
                    "bank",
                    "question",
                    "wording",
                    "month",
                    "first",
                    "after_study",
                    "met_before",
                    "picked",
                    "right",
                    "asked",
                    "correct",
                ],
                name="one_count_an_answer",
                violation_error_message=gettext_lazy("This answer is counted already."),
            ),
            models.CheckConstraint(
                name="answer_is_right_within_its_form",
                condition=Q(correct__lte=F("asked")),
                violation_error_message=gettext_lazy("No more answers are right than were asked."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.students} × {self.picked or self.right} to {self.question}"


class RuleCount(models.Model):
    """How many students met a rule in one month on a first attempt, and how many missed it."""

    bank = models.ForeignKey(Bank, models.PROTECT, related_name="rule_counts")
    rule = models.CharField(max_length=80)
    month = models.PositiveIntegerField("as 202609, by the school's time zone")
    met = models.PositiveIntegerField()
    missed = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["bank", "rule", "month"],
                name="one_count_a_rule",
                violation_error_message=gettext_lazy("This rule is counted already."),
            ),
            models.CheckConstraint(
                name="rule_is_missed_only_where_met",
                condition=Q(missed__lte=F("met")),
                violation_error_message=gettext_lazy("No more students missed a rule than met it."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.missed} of {self.met} missed {self.rule}"


class ScoreCount(models.Model):
    """How many first attempts in one month had so many right of so many asked."""

    bank = models.ForeignKey(Bank, models.PROTECT, related_name="score_counts")
    month = models.PositiveIntegerField("as 202609, by the school's time zone")
    asked = models.PositiveSmallIntegerField()
    correct = models.PositiveSmallIntegerField()
    students = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["bank", "month", "asked", "correct"],
                name="one_count_a_score",
                violation_error_message=gettext_lazy("This score is counted already."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.students} × {self.correct} of {self.asked}"


class AddedCounts(models.Model):
    """Counts from a file, of students of another school or year. A file is added once."""

    bank = models.ForeignKey(Bank, models.PROTECT, related_name="added_counts")
    digest = models.CharField("SHA-256 of the file, in hex", max_length=64)
    students = models.PositiveIntegerField("first attempts in it")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["bank", "digest"],
                name="counts_file_once_a_bank",
                violation_error_message=gettext_lazy("The figures of this file are in already."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.students} first attempts added to {self.bank}"


class CountedAttempt(models.Model):
    """An attempt that the counts hold. It goes with its attempt; the counts stay, since they name no one."""

    attempt = models.OneToOneField(Attempt, models.CASCADE, primary_key=True, related_name="counted")

    def __str__(self) -> str:
        return f"counted: {self.attempt_id}"


class KeyCorrection(models.Model):
    """A teacher found that the key of a question was wrong, and corrected it by a new edition."""

    school = models.ForeignKey(School, models.PROTECT, related_name="+")
    bank = models.ForeignKey(Bank, models.PROTECT, related_name="key_corrections")
    edition = models.ForeignKey(Edition, models.PROTECT, related_name="+")  # the first with the new key
    question = models.CharField(max_length=80)
    wording = models.CharField("digest of the question with the wrong key", max_length=16)
    key_before = models.CharField("as picked by students, by places in the bank", max_length=40)
    key_after = models.CharField("by the same places", max_length=40)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    reason = models.CharField(max_length=300)
    entry = models.ForeignKey(Entry, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                name="key_is_corrected_with_a_reason",
                condition=~Q(reason="") & ~Q(key_before=F("key_after")),
                violation_error_message=gettext_lazy("Say why the key is corrected."),
            ),
        ]

    def __str__(self) -> str:
        return f"key of {self.question} corrected"


class Regrade(models.Model):
    """An attempt graded again by a corrected key: a new attempt beside the old one, which stays as it was.

    It goes with its attempts; the logbook has both.
    """

    correction = models.ForeignKey(KeyCorrection, models.PROTECT, related_name="regrades")
    original = models.ForeignKey(Attempt, models.CASCADE, related_name="regrades")
    attempt = models.OneToOneField(Attempt, models.CASCADE, related_name="regrade_of")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["correction", "original"],
                name="one_regrade_a_correction",
                violation_error_message=gettext_lazy("This attempt was graded again already."),
            ),
        ]

    def __str__(self) -> str:
        return f"regrade of {self.original_id}"
