"""Who of a class is here today."""

from django.urls import path

from shopsafe.school.here_today.views import here_today

urlpatterns = [
    path("classes/<int:section>/here/", here_today, name="here-today"),
]
