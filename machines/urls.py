"""The pages of machines, room by room, and of the logbook, since only this floor knows every kind of entry."""

from django.urls import include, path

urlpatterns = [
    path("", include("machines.setting_up.urls")),
    path("", include("machines.prints.urls")),
    path("", include("machines.bench.urls")),
    path("", include("machines.today.urls")),
    path("", include("machines.register.urls")),
    path("", include("machines.holds.urls")),
    path("", include("machines.sign_offs.urls")),
    path("", include("machines.tag_outs.urls")),
    path("", include("machines.planning.urls")),
    path("", include("machines.reports.hazards.urls")),
    path("", include("machines.reports.inspections.urls")),
    path("", include("machines.incidents.urls")),
    path("", include("machines.floor.urls")),
    path("", include("machines.records.urls")),
]
