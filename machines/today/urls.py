"""The page a teacher opens first."""

from django.urls import path

from machines.today.views import office_needs, today, today_needs

urlpatterns = [
    path("today/", today, name="today"),
    path("today/needs/", today_needs, name="today-needs"),
    path("office/needs/", office_needs, name="office-needs"),
]
