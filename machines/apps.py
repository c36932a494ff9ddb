"""The app of machines and clearance."""

from django.apps import AppConfig

from machines import declared_incidents, declared_records, floor_words, incident_words, logbook_words
from shopsafe.logbook import sentences
from shopsafe.logbook.verification import declared


class MachinesConfig(AppConfig):
    name = "machines"
    verbose_name = "Machines"

    def ready(self) -> None:
        sentences.register(logbook_words.WORDS)
        sentences.register(floor_words.FLOOR_WORDS)
        sentences.register(incident_words.INCIDENT_WORDS)
        declared.register(declared_records.RECORDS)
        declared.register(declared_incidents.INCIDENTS)
