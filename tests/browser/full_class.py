"""A class of 36 at 16 machines in a copy of the demo: what the daily pages are measured with.

python -m tests.browser.full_class      grows the database of the settings
"""

import os
import uuid
from datetime import timedelta

STUDENTS, MACHINES = 36, 16
NAMES = ("Ada", "Bo", "Cleo", "Dag", "Edda", "Finn", "Gro", "Hal")
FAMILIES = ("Askeland", "Brunner", "Corrigan")


def grow() -> None:
    """Fill up the demo's first class and shop. Of the new students a third have passed the quizzes of every machine,
    a third those of some, and the others none."""
    from django.utils import timezone

    from machines.models import MachineKind
    from machines.setting_up.acts.machines import NewMachine, add_machines
    from quizzes.models import Bank
    from shopsafe.school.models import Section
    from shopsafe.school.people.acts.documents import record_document
    from shopsafe.school.people.queries import students_of
    from shopsafe.school.rosters.acts import import_roster
    from shopsafe.school.rosters.rules import read_file
    from tests.factories.machines import passed

    section = Section.objects.select_related("shop", "school", "term").order_by("pk")[0]
    teacher, now = section.teachers.order_by("pk")[0], timezone.now()
    there = list(section.shop.machines.values_list("kind", flat=True))
    kinds = MachineKind.objects.filter(school=section.school).exclude(pk__in=there).order_by("pk")
    wanted = [NewMachine(kind, 20 + place) for place, kind in enumerate(kinds[: MACHINES - len(there)])]
    add_machines(shop=section.shop, wanted=wanted, by=teacher)
    before = students_of(section)
    rows = [f"{FAMILIES[n // len(NAMES)]},{NAMES[n % len(NAMES)]},{5001 + n}" for n in range(STUDENTS - len(before))]
    sheet = read_file("class.csv", "\n".join(["Last name,First name,ID", *rows]).encode())
    import_roster(section=section, sheet=sheet, key=uuid.uuid4(), by=teacher)
    new = [student for student in students_of(section) if student not in before]
    record_document(section=section, students=new, signed_on=now.date(), by=teacher)
    banks = list(Bank.objects.filter(machine_kinds__machines__shop=section.shop).distinct().order_by("pk"))
    general = Bank.objects.get(school=section.school, code="general-shop-safety")
    for number, student in enumerate(new):
        for bank in [general, *banks[:: number % 3]] if number % 3 else []:
            passed(student, bank, now - timedelta(hours=1))


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopsafe.settings")
    import django

    django.setup()
    grow()
