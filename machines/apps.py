"""The app of machines and clearance."""

from django.apps import AppConfig

from machines.declared.incidents import INCIDENTS
from machines.declared.records import RECORDS
from machines.words.floor import FLOOR_WORDS
from machines.words.incidents import INCIDENT_WORDS
from machines.words.logbook import WORDS
from shopsafe.logbook import sentences
from shopsafe.logbook.verification import declared


class MachinesConfig(AppConfig):
    name = "machines"
    verbose_name = "Machines"

    def ready(self) -> None:
        sentences.register(WORDS)
        sentences.register(FLOOR_WORDS)
        sentences.register(INCIDENT_WORDS)
        declared.register(RECORDS)
        declared.register(INCIDENTS)
