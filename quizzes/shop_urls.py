"""The pages of quizzes that show the student's shop. Each is handed a ShopContext by `shopsafe/urls.py`."""

from django.urls import path

from quizzes.attempts.paper.views import paper_quizzes
from quizzes.attempts.views.student import quiz, quizzes, result
from quizzes.banks.views import rule_pages

urlpatterns = [
    path("quizzes/", quizzes, name="quizzes"),
    path("quizzes/<int:bank>/", quiz, name="quiz"),
    path("attempts/<uuid:attempt>/result/", result, name="attempt-result"),
    path("quizzes-on-paper/", paper_quizzes, name="paper-quizzes"),
    path("rules/", rule_pages.banks, name="rules"),
]
