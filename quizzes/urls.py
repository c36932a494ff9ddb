"""The pages of quizzes, room by room."""

from django.urls import include, path

urlpatterns = [
    path("", include("quizzes.attempts.urls")),
    path("", include("quizzes.relearning.urls")),
    path("", include("quizzes.figures.urls")),
    path("", include("quizzes.banks.urls")),
    path("", include("quizzes.accommodations.urls")),
]
