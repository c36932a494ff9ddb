"""The page a teacher opens first."""

from django.urls import path

from machines.today.views import today, today_needs

urlpatterns = [
    path("today/", today, name="today"),
    path("today/needs/", today_needs, name="today-needs"),
]
