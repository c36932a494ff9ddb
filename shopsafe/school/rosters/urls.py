"""Importing a class list."""

from django.urls import path

from shopsafe.school.rosters.views import roster_import

urlpatterns = [
    path("people/import/<int:section>/", roster_import, name="roster-import"),
]
