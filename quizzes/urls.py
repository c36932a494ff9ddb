"""The pages of quizzes: a student's quizzes and attempts, a teacher's banks."""

from django.urls import path

from quizzes.views import pictures, rules, student, teacher

urlpatterns = [
    path("quizzes/", student.quizzes, name="quizzes"),
    path("quizzes/<int:bank>/", student.quiz, name="quiz"),
    path("quizzes/<int:bank>/start/", student.start, name="attempt-start"),
    path("attempts/<uuid:attempt>/", student.check, name="attempt-check"),
    path("attempts/<uuid:attempt>/questions/<int:number>/", student.question, name="attempt-question"),
    path("attempts/<uuid:attempt>/questions/<int:number>/save/", student.save, name="answer-save"),
    path("attempts/<uuid:attempt>/hand-in/", student.hand_in, name="attempt-hand-in"),
    path("attempts/<uuid:attempt>/result/", student.result, name="attempt-result"),
    path("attempts/<uuid:attempt>/cards/<int:number>/", student.card, name="relearn-card"),
    path("attempts/<uuid:attempt>/cards/<int:number>/covered/", student.covered, name="relearn-recall"),
    path("attempts/<uuid:attempt>/release/", teacher.release, name="student-release"),
    path("attempts/<uuid:attempt>/void/", teacher.void, name="attempt-void"),
    path("rules/", rules.banks, name="rules"),
    path("rules/<int:bank>/", rules.bank, name="rules-of-bank"),
    path("waiting/", teacher.waiting, name="students-waiting"),
    path("banks/", teacher.banks, name="banks"),
    path("banks/<int:bank>/", teacher.bank, name="bank"),
    path("banks/<int:bank>/publish/", teacher.publish, name="bank-publish"),
    path("banks/<int:bank>/blueprint/", teacher.blueprint, name="bank-blueprint"),
    path("banks/pictures/<slug:digest>.<slug:kind>", pictures.picture, name="bank-picture"),
]
