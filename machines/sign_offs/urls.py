"""The machine pages and sign-offs."""

from django.urls import path

from machines.sign_offs.views import groups, machines, not_yet, sign_offs

urlpatterns = [
    path("machines/", machines.machines, name="machines"),
    path("machines/<int:machine>/", machines.machine, name="machine"),
    path("machines/<int:machine>/sign-off/", groups.sign_off_group, name="sign-off-group"),
    path("machines/<int:machine>/sign-off/<int:student>/", sign_offs.sign_off, name="sign-off"),
    path("machines/<int:machine>/sign-off/<int:student>/not-yet/", not_yet.not_yet, name="not-yet"),
    path("not-yet/<int:not_yet>/undo/", not_yet.not_yet_undo, name="not-yet-undo"),
    path("sign-offs/<int:sign_off>/undo/", sign_offs.sign_off_undo, name="sign-off-undo"),
    path("sign-offs/<int:sign_off>/withdraw/", sign_offs.sign_off_withdraw, name="sign-off-withdraw"),
]
