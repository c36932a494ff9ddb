"""Quizzes and attempts: a student answers, a teacher releases, voids, and enters paper."""

from django.urls import path

from quizzes.attempts.paper.views import enter, hand_in, key, paper_quiz, sheet
from quizzes.attempts.regrading.views import key_correct
from quizzes.attempts.views import student
from quizzes.attempts.views.student import check, save, start
from quizzes.attempts.views.teacher import release, void, waiting

urlpatterns = [
    path("quizzes/<int:bank>/start/", start, name="attempt-start"),
    path("attempts/<uuid:attempt>/", check, name="attempt-check"),
    path("attempts/<uuid:attempt>/questions/<int:number>/", student.question, name="attempt-question"),
    path("attempts/<uuid:attempt>/questions/<int:number>/save/", save, name="answer-save"),
    path("attempts/<uuid:attempt>/hand-in/", student.hand_in, name="attempt-hand-in"),
    path("attempts/<uuid:attempt>/paper/", paper_quiz, name="paper-quiz"),
    path("attempts/<uuid:attempt>/paper/sheet.pdf", sheet, name="paper-quiz-sheet"),
    path("attempts/<uuid:attempt>/paper/key.pdf", key, name="paper-quiz-key"),
    path("attempts/<uuid:attempt>/paper/enter/", enter, name="paper-quiz-enter"),
    path("attempts/<uuid:attempt>/paper/hand-in/", hand_in, name="paper-quiz-hand-in"),
    path("attempts/<uuid:attempt>/release/", release, name="student-release"),
    path("attempts/<uuid:attempt>/void/", void, name="attempt-void"),
    path("waiting/", waiting, name="students-waiting"),
    path("banks/<int:bank>/questions/<slug:question>/correct-key/", key_correct, name="key-correct"),
]
