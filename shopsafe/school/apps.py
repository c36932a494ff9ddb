"""The app of people and classes."""

from django.apps import AppConfig


class SchoolConfig(AppConfig):
    name = "shopsafe.school"
    label = "school"
    verbose_name = "School"
