"""The pages of machines, and of the logbook, since only this floor knows every kind of entry."""

from django.urls import path, re_path

from machines.views import evidence, logbook, prints

urlpatterns = [
    path("prints/", prints.prints, name="prints"),
    path("prints/<int:shop>/wall-card/", prints.print_wall_card, name="print-wall-card"),
    path("prints/<int:shop>/wall-chart/", prints.print_wall_chart, name="print-wall-chart"),
    path("prints/<int:shop>/<str:code>/take-down/", prints.print_take_down, name="print-take-down"),
    # A QR code in capitals is one size smaller, so both cases lead here.
    re_path(r"^[cC]/(?P<code>[0-9A-Za-z]{4}-?[0-9A-Za-z]{2})/?$", prints.print_check, name="print-check"),
    path("logbook/", logbook.logbook, name="logbook"),
    path("logbook/verify/", logbook.verify_logbook, name="logbook-verify"),
    path("logbook/<int:seq>/", logbook.entry, name="logbook-entry"),
    path("students/<int:student>/evidence/", evidence.evidence, name="evidence"),
]
