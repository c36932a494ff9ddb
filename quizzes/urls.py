"""The pages of quizzes."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
