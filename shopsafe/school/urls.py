"""Where people sign in and classes are looked after, room by room."""

from django.urls import include, path

urlpatterns = [
    path("", include("shopsafe.school.signing_in.urls")),
    path("", include("shopsafe.school.pages.urls")),
    path("", include("shopsafe.school.rosters.urls")),
    path("", include("shopsafe.school.here_today.urls")),
    path("", include("shopsafe.school.people.urls")),
    path("", include("shopsafe.school.timetable.urls")),
    path("", include("shopsafe.school.places.urls")),
]
