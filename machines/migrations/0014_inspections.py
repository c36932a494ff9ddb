"""Inspections with their lists, service records, and calendars of due inspections."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("logbook", "0002_refuse_change"),
        ("machines", "0013_hazard_reports"),
        ("school", "0015_documents_of_students"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Inspection",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "scope",
                    models.CharField(
                        choices=[
                            ("daily", "Daily"),
                            ("weekly", "Weekly"),
                            ("term", "Each term"),
                            ("return", "Before a return to service"),
                        ],
                        max_length=6,
                    ),
                ),
                ("answers", models.JSONField(verbose_name='[{"says", "source", "answer"}]')),
                ("complete", models.BooleanField()),
                ("words", models.CharField(blank=True, max_length=300)),
                ("at", models.DateTimeField()),
                ("tap", models.UUIDField(default=uuid.uuid4, unique=True, verbose_name="made by the page for one tap")),
                ("reason", models.CharField(blank=True, max_length=300)),
                ("parts", models.CharField(blank=True, max_length=200, verbose_name="parts that were replaced")),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="logbook.entry",
                    ),
                ),
                (
                    "machine",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="inspections", to="machines.machine"
                    ),
                ),
                (
                    "school",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"
                    ),
                ),
                (
                    "tag_out",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="return_check",
                        to="machines.tagout",
                    ),
                ),
                (
                    "tagged_out_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["at", "pk"],
                "indexes": [models.Index(fields=["machine", "scope", "at"], name="inspections_of_machine")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("parts", ""),
                                ("reason", ""),
                                ("tag_out__isnull", True),
                                ("tagged_out_by__isnull", True),
                                models.Q(("scope", "return"), _negated=True),
                            ),
                            models.Q(
                                ("complete", True),
                                ("scope", "return"),
                                ("tag_out__isnull", False),
                                ("tagged_out_by__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="no_line_answered_no_returns_a_machine",
                        violation_error_message="A line that is answered no keeps the machine out of service.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("tag_out__isnull", True),
                            ("by", models.F("tagged_out_by")),
                            models.Q(("reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="second_teacher_returns_with_a_reason",
                        violation_error_message="Say why you return it instead of the teacher who tagged it out.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="InspectionCalendar",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("made_at", models.DateTimeField()),
                ("nonce", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "school",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"
                    ),
                ),
                (
                    "shop",
                    models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.shop"),
                ),
            ],
            options={
                "ordering": ["made_at", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("ended_at__isnull", True)),
                        fields=("shop", "made_by"),
                        name="one_inspection_calendar_a_person",
                        violation_error_message="You have a calendar of this shop already.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="InspectionList",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("lines", models.JSONField(verbose_name='interval → [{"says", "source"}]')),
                ("set_at", models.DateTimeField()),
                (
                    "kind",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="inspection_lists",
                        to="machines.machinekind",
                    ),
                ),
                (
                    "school",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"
                    ),
                ),
                (
                    "set_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "ordering": ["set_at", "pk"],
                "indexes": [models.Index(fields=["school", "kind", "set_at"], name="inspection_list_in_force")],
            },
        ),
        migrations.CreateModel(
            name="ServiceRecord",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("day", models.DateField()),
                ("did", models.CharField(max_length=300, verbose_name="what was done")),
                ("done_by", models.CharField(max_length=120, verbose_name="who did it")),
                ("parts", models.CharField(blank=True, max_length=200, verbose_name="parts that were replaced")),
                ("at", models.DateTimeField()),
                ("tap", models.UUIDField(default=uuid.uuid4, unique=True, verbose_name="made by the page for one tap")),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "entry",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="logbook.entry",
                    ),
                ),
                (
                    "machine",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="services", to="machines.machine"
                    ),
                ),
                (
                    "school",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"
                    ),
                ),
            ],
            options={
                "ordering": ["day", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("did", ""), _negated=True), models.Q(("done_by", ""), _negated=True)
                        ),
                        name="service_says_what_was_done_by_whom",
                        violation_error_message="Say what was done, and who did it.",
                    )
                ],
            },
        ),
    ]
