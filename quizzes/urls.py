"""The pages of quizzes: a student's quizzes and attempts, a teacher's banks."""

from django.urls import path

from quizzes.accommodations.views import accommodations
from quizzes.attempts.paper.views import enter, hand_in, key, paper_quiz, paper_quizzes, sheet
from quizzes.attempts.views import student as views_student
from quizzes.attempts.views.student import check, quiz, quizzes, result, save, start
from quizzes.attempts.views.teacher import release, void, waiting
from quizzes.banks.editions.views import accept, take_back, value_own
from quizzes.banks.editor import quiz_settings
from quizzes.banks.editor.views import add, arrange, head, preview, question, question_add, rule, value
from quizzes.banks.files.views import bank_file, bank_import, bank_import_look
from quizzes.banks.pictures.views import picture
from quizzes.banks.views import rule_pages
from quizzes.banks.views.teacher import bank, bank_check, banks, publish
from quizzes.relearning.views import card, covered

urlpatterns = [
    path("quizzes/", quizzes, name="quizzes"),
    path("quizzes/<int:bank>/", quiz, name="quiz"),
    path("quizzes/<int:bank>/start/", start, name="attempt-start"),
    path("attempts/<uuid:attempt>/", check, name="attempt-check"),
    path("attempts/<uuid:attempt>/questions/<int:number>/", views_student.question, name="attempt-question"),
    path("attempts/<uuid:attempt>/questions/<int:number>/save/", save, name="answer-save"),
    path("attempts/<uuid:attempt>/hand-in/", views_student.hand_in, name="attempt-hand-in"),
    path("attempts/<uuid:attempt>/result/", result, name="attempt-result"),
    path("attempts/<uuid:attempt>/cards/<int:number>/", card, name="relearn-card"),
    path("attempts/<uuid:attempt>/cards/<int:number>/covered/", covered, name="relearn-recall"),
    path("quizzes-on-paper/", paper_quizzes, name="paper-quizzes"),
    path("attempts/<uuid:attempt>/paper/", paper_quiz, name="paper-quiz"),
    path("attempts/<uuid:attempt>/paper/sheet.pdf", sheet, name="paper-quiz-sheet"),
    path("attempts/<uuid:attempt>/paper/key.pdf", key, name="paper-quiz-key"),
    path("attempts/<uuid:attempt>/paper/enter/", enter, name="paper-quiz-enter"),
    path("attempts/<uuid:attempt>/paper/hand-in/", hand_in, name="paper-quiz-hand-in"),
    path("attempts/<uuid:attempt>/release/", release, name="student-release"),
    path("attempts/<uuid:attempt>/void/", void, name="attempt-void"),
    path("rules/", rule_pages.banks, name="rules"),
    path("rules/<int:bank>/", rule_pages.bank, name="rules-of-bank"),
    path("students/<int:student>/accommodations/", accommodations, name="accommodations"),
    path("waiting/", waiting, name="students-waiting"),
    path("banks/", banks, name="banks"),
    path("banks/import/", bank_import, name="bank-import"),
    path("banks/import/<uuid:upload>/", bank_import_look, name="bank-import-look"),
    path("banks/<int:bank>/file/", bank_file, name="bank-file"),
    path("banks/add/", add, name="bank-add"),
    path("banks/<int:bank>/", bank, name="bank"),
    path("banks/<int:bank>/check/", bank_check, name="bank-check"),
    path("banks/<int:bank>/publish/", publish, name="bank-publish"),
    path("banks/<int:bank>/accept/", accept, name="bank-accept"),
    path("banks/<int:bank>/own/<slug:value>/", value_own, name="value-own"),
    path("banks/<int:bank>/accept/take-back/", take_back, name="bank-accept-take-back"),
    path("banks/<int:bank>/blueprint/", quiz_settings.blueprint, name="bank-blueprint"),
    path("banks/<int:bank>/subject/", head, name="bank-subject"),
    path("banks/<int:bank>/arrange/", arrange, name="bank-arrange"),
    path("banks/<int:bank>/add/rule/", rule, name="rule-add"),
    path("banks/<int:bank>/rules/<slug:rule>/", rule, name="rule-edit"),
    path("banks/<int:bank>/add/question/<slug:rule>/<slug:kind>/", question_add, name="question-add"),
    path("banks/<int:bank>/questions/<slug:question>/", question, name="question-edit"),
    path("banks/<int:bank>/questions/<slug:question>/preview/", preview, name="question-preview"),
    path("banks/<int:bank>/add/value/", value, name="value-add"),
    path("banks/<int:bank>/values/<slug:value>/", value, name="value-edit"),
    path("banks/pictures/<slug:digest>.<slug:kind>", picture, name="bank-picture"),
]
