"""Our addresses, and before them the one page of the bare site."""

from django.urls import include, path

from shopsafe.urls import handler500  # noqa: F401  Django asks this file for it
from tests.bench.bare import views

urlpatterns = [
    path("bare/<uuid:attempt>/<str:question>/save/", views.save),
    path("", include("shopsafe.urls")),
]
