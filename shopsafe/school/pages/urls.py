"""Text size and colors."""

from django.urls import path

from shopsafe.school.pages import look_views

urlpatterns = [
    path("look/", look_views.look, name="look"),
]
