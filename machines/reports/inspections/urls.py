"""Inspections, their lists, the service history, and the calendar."""

from django.urls import path

from machines.reports.inspections.views import calendars, inspections, sheets

urlpatterns = [
    path("inspections/", inspections.inspections, name="inspections"),
    path("shops/<int:shop>/inspections/start/", inspections.inspections_start, name="inspections-start"),
    path(
        "shops/<int:shop>/inspections/<slug:interval>.pdf", sheets.inspection_sheet_file, name="inspection-sheet-file"
    ),
    path("machines/<int:machine>/inspect/<slug:interval>/", inspections.inspect, name="inspect"),
    path("kinds/<int:kind>/inspection-list/", inspections.inspection_list, name="inspection-list"),
    path("machines/<int:machine>/history/", inspections.machine_history, name="machine-history"),
    path("machines/<int:machine>/service/", inspections.machine_service, name="machine-service"),
    path("shops/<int:shop>/calendar/", calendars.calendar_open, name="calendar-open"),
    path("calendars/<int:calendar>/end/", calendars.calendar_end, name="calendar-end"),
    path("calendars/<int:calendar>/<slug:key>/inspections.ics", calendars.calendar, name="calendar"),
]
