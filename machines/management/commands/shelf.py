"""manage.py shelf: puts what is new on the shelf into every school: banks as drafts, and the kinds of machine."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from machines.setting_up.acts.kinds import load_kinds
from quizzes.banks.editions.starter_banks import load_shelf
from shopsafe.school.models import School


class Command(BaseCommand):
    help = "Puts what is new on the shelf into every school. What a school has already stays as it is."

    def handle(self, **options: Any) -> None:
        for school in School.objects.order_by("pk"):
            banks = load_shelf(school=school, shelf=settings.SHELF)
            load_kinds(school=school, by=None)
            if banks:
                self.stdout.write(f"{school}: {', '.join(bank.subject for bank in banks)}.")
