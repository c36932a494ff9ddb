"""The cards of missed rules, and the check questions after them."""

from django.urls import path

from quizzes.relearning.views import card, check, covered

urlpatterns = [
    path("attempts/<uuid:attempt>/cards/<int:number>/", card, name="relearn-card"),
    path("attempts/<uuid:attempt>/cards/<int:number>/covered/", covered, name="relearn-recall"),
    path("attempts/<uuid:attempt>/cards/<int:number>/question/", check, name="relearn-check"),
]
