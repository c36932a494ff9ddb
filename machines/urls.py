"""The pages of machines."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
