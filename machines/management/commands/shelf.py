"""manage.py shelf: adds new starter banks and machine types to every school, and offers corrections of the others."""

from typing import Any

from django.conf import settings

from machines.setting_up.acts.kinds import load_kinds
from quizzes.banks.corrections.acts import offer_corrections
from quizzes.banks.editions.starter_banks import load_shelf
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.models import School


class Command(TranslatedCommand):
    help = marked(
        "Add new starter banks to every school, and offer corrections of those it has. Existing ones do not change."
    )

    def handle(self, **options: Any) -> None:
        for school in School.objects.order_by("pk"):
            banks = load_shelf(school=school, shelf=settings.SHELF)
            load_kinds(school=school, by=None)
            if banks:
                self.stdout.write(f"{school}: {', '.join(bank.subject for bank in banks)}.")
            if offers := offer_corrections(school=school, shelf=settings.SHELF):
                subjects = ", ".join(offer.bank.subject for offer in offers)
                self.stdout.write(
                    _("{school}: corrections to decide about on Today: {subjects}.", school=school, subjects=subjects)
                )
