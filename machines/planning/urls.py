"""The plan and the rotation of a class."""

from django.urls import path

from machines.planning.views import demonstration_minutes, plan, rotation

urlpatterns = [
    path("classes/<int:section>/plan/", plan, name="plan"),
    path("classes/<int:section>/plan/minutes/", demonstration_minutes, name="demonstration-minutes"),
    path("classes/<int:section>/rotation/", rotation, name="rotation"),
]
