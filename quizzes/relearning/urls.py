"""The cards of missed rules."""

from django.urls import path

from quizzes.relearning.views import card, covered

urlpatterns = [
    path("attempts/<uuid:attempt>/cards/<int:number>/", card, name="relearn-card"),
    path("attempts/<uuid:attempt>/cards/<int:number>/covered/", covered, name="relearn-recall"),
]
