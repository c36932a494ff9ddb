"""The page a teacher opens first."""

from django.urls import path

from machines.today.views import today

urlpatterns = [
    path("today/", today, name="today"),
]
