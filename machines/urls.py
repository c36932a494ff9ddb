"""The pages of machines, and of the logbook, since only this floor knows every kind of entry."""

from django.urls import path

from machines.views import evidence, logbook

urlpatterns = [
    path("logbook/", logbook.logbook, name="logbook"),
    path("logbook/verify/", logbook.verify_logbook, name="logbook-verify"),
    path("logbook/<int:seq>/", logbook.entry, name="logbook-entry"),
    path("students/<int:student>/evidence/", evidence.evidence, name="evidence"),
]
