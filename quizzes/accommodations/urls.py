"""What helps one student to read and answer."""

from django.urls import path

from quizzes.accommodations.views import accommodations

urlpatterns = [
    path("students/<int:student>/accommodations/", accommodations, name="accommodations"),
]
