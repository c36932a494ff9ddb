"""A student's own page of machines."""

from django.urls import path

from machines.bench.views import bench

urlpatterns = [
    path("bench/", bench, name="bench"),
]
