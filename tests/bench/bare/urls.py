"""Our addresses, and before them the pages of the bare site."""

from django.urls import include, path

from shopsafe.urls import handler500  # noqa: F401  Django asks this file for it
from tests.bench.bare import views

urlpatterns = [
    path("bare/<uuid:attempt>/<str:question>/save/", views.save),
    path("bare/<uuid:attempt>/hand-in/", views.hand_in),
    path("bare/<int:machine>/sign-off/<int:student>/", views.sign_off),
    path("bare/sign-in/", views.sign_in),
    path("bare/<int:shop>/floor/", views.floor),
    path("bare/<int:shop>/floor/ready/", views.floor_ready),
    path("", include("shopsafe.urls")),
]
