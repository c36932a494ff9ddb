"""Incidents, near misses and misuse."""

from django.urls import path

from machines.incidents.views import more, reports

urlpatterns = [
    path("incidents/", reports.incidents, name="incidents"),
    path("incidents/settings/", more.incident_settings, name="incident-settings"),
    path("shops/<int:shop>/incidents/new/", reports.incident_open, name="incident-open"),
    path("incidents/<int:incident>/", reports.incident, name="incident"),
    path("incidents/<int:incident>/report/", reports.incident_report, name="incident-report"),
    path("incidents/<int:incident>/photos/", more.incident_photo_add, name="incident-photo-add"),
    path("incidents/<int:incident>/photos/<uuid:photo>/", more.incident_photo, name="incident-photo"),
    path("incidents/<int:incident>/follow-ups/", more.follow_up_add, name="follow-up-add"),
    path("incidents/<int:incident>/file/", more.incident_file, name="incident-file"),
    path("follow-ups/<int:follow_up>/done/", more.follow_up_done, name="follow-up-done"),
]
