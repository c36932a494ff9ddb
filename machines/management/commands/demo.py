"""manage.py demo [--if-empty | --sign-ins]: loads the demo school, or says how to sign in to it."""

import contextlib
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.utils import timezone

from machines.demo.build import build, read_plan
from machines.demo.period import period_in_progress
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.models import Person, School
from shopsafe.school.refusals import Refused

ROLES = ["student", "teacher", "substitute", "office"]


class Command(TranslatedCommand):
    help = marked("Loads the demo school: invented people, a shop, a term of quizzes and sign-offs.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        which = parser.add_mutually_exclusive_group()
        which.add_argument("--if-empty", action="store_true", help=_("only into a database without any school"))
        which.add_argument(
            "--sign-ins", action="store_true", help=_("say how to sign in to the demo, and load nothing")
        )

    def handle(self, **options: Any) -> None:
        plan = read_plan(settings.DEMO)
        if options["sign_ins"]:
            self._sign_ins(plan)
            return
        if options["if_empty"] and School.objects.exists():
            self._go_on(plan)
            return
        if School.objects.filter(name=plan["school"]).exists():
            raise CommandError(_("{school} is in this database already. Nothing was changed.", school=plan["school"]))
        self.stdout.write(
            _("Loading {school}: a term of quizzes and sign-offs takes some seconds.", school=plan["school"])
        )
        demo = build(folder=settings.DEMO, shelf=settings.SHELF, at=timezone.now())
        students = Person.objects.filter(school=demo.office.school, role="student").count()
        self.stdout.write(
            _(
                "{students} students, {classes} classes, {machines} machines.",
                students=students,
                classes=len(demo.sections),
                machines=len(demo.machines),
            )
        )

    def _go_on(self, plan: dict[str, Any]) -> None:
        """A demo that is opened again finds a period in progress, as on the first day."""
        school = School.objects.filter(name=plan["school"], is_demo=True).first()
        if school is not None:
            with contextlib.suppress(Refused):  # a demo that people changed still opens
                period_in_progress(school, timezone.now())

    def _sign_ins(self, plan: dict[str, Any]) -> None:
        """One line a role: name and code, as they are typed."""
        given, family, _number = plan["class"][0]["students"][0].split("|")
        codes = {"student": (f"{given} {family}", plan["student_code"])}
        for staff_member in reversed(plan["staff"]):
            codes[staff_member["role"]] = (f"{staff_member['given']} {staff_member['family']}", staff_member["code"])
        if not School.objects.filter(name=plan["school"], is_demo=True).exists():
            return
        self.stdout.write(_("Demo shop. Not real people. Sign in with:"))
        for role in ROLES:
            name, code = codes[role]
            self.stdout.write(f"  {role:<11} {name:<18} {code}")
