"""The app of machines and clearance."""

from django.apps import AppConfig


class MachinesConfig(AppConfig):
    name = "machines"
    verbose_name = "Machines"
