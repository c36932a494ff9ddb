"""The pages of quizzes: a student's quizzes and attempts, a teacher's banks."""

from django.urls import path

from quizzes.views import acceptance, accommodations, blueprints, editor, pictures, rules, student, teacher

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
    path("students/<int:student>/accommodations/", accommodations.accommodations, name="accommodations"),
    path("waiting/", teacher.waiting, name="students-waiting"),
    path("banks/", teacher.banks, name="banks"),
    path("banks/add/", editor.add, name="bank-add"),
    path("banks/<int:bank>/", teacher.bank, name="bank"),
    path("banks/<int:bank>/check/", teacher.bank_check, name="bank-check"),
    path("banks/<int:bank>/publish/", teacher.publish, name="bank-publish"),
    path("banks/<int:bank>/accept/", acceptance.accept, name="bank-accept"),
    path("banks/<int:bank>/accept/take-back/", acceptance.take_back, name="bank-accept-take-back"),
    path("banks/<int:bank>/blueprint/", blueprints.blueprint, name="bank-blueprint"),
    path("banks/<int:bank>/subject/", editor.head, name="bank-subject"),
    path("banks/<int:bank>/arrange/", editor.arrange, name="bank-arrange"),
    path("banks/<int:bank>/add/rule/", editor.rule, name="rule-add"),
    path("banks/<int:bank>/rules/<slug:rule>/", editor.rule, name="rule-edit"),
    path("banks/<int:bank>/add/question/<slug:rule>/<slug:kind>/", editor.question_add, name="question-add"),
    path("banks/<int:bank>/questions/<slug:question>/", editor.question, name="question-edit"),
    path("banks/<int:bank>/questions/<slug:question>/preview/", editor.preview, name="question-preview"),
    path("banks/<int:bank>/add/value/", editor.value, name="value-add"),
    path("banks/<int:bank>/values/<slug:value>/", editor.value, name="value-edit"),
    path("banks/pictures/<slug:digest>.<slug:kind>", pictures.picture, name="bank-picture"),
]
