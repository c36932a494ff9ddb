"""The pages of holds."""

from django.urls import path

from machines.holds.views import teacher
from machines.holds.views.student import own_hold, own_hold_rule

urlpatterns = [
    path("classes/<int:section>/register/<int:student>/hold/", teacher.hold_place, name="hold-place"),
    path("classes/<int:section>/register/<int:student>/horseplay/", teacher.hold_horseplay, name="hold-horseplay"),
    path("holds/<int:hold>/", own_hold, name="own-hold"),
    path("holds/<int:hold>/rules/<int:number>/", own_hold_rule, name="own-hold-rule"),
    path("holds/<int:hold>/lift/", teacher.hold_lift, name="hold-lift"),
]
