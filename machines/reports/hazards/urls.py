"""Reporting a hazard, and looking at the reports."""

from django.urls import path

from machines.reports.hazards.views import looking, reporting

urlpatterns = [
    path("reports/", looking.reports, name="reports"),
    path("reports/place/", reporting.report_place, name="report-place"),
    path("machines/<int:machine>/report/", reporting.report_machine, name="report-machine"),
    path("shops/<int:shop>/report/", reporting.report_shop, name="report-shop"),
    path("reports/<int:report>/", looking.report, name="report"),
    path("reports/<int:report>/photo/", looking.report_photo, name="report-photo"),
    path("reports/<int:report>/clear/", looking.report_clear, name="report-clear"),
]
