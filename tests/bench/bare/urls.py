"""Our addresses, and before them the pages of the bare site."""

from django.urls import include, path

from shopsafe.urls import handler500  # noqa: F401  Django asks this file for it
from tests.bench.bare import views

urlpatterns = [
    path("bare/<uuid:attempt>/<str:question>/save/", views.save),
    path("bare/<int:shop>/floor/", views.floor),
    path("bare/<int:shop>/floor/ready/", views.floor_ready),
    path("", include("shopsafe.urls")),
]
