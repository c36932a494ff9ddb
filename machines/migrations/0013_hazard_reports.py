"""Hazard reports and their photos."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("logbook", "0002_refuse_change"),
        ("machines", "0012_demonstration_times"),
        ("school", "0013_taps"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="HazardReport",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("guard", "A guard or cover is missing, loose or open"),
                            ("broken", "A blade or part is broken or cracked"),
                            ("abrasive", "A belt, disc or wheel is torn or chipped"),
                            ("cord", "A cord, plug or switch is damaged"),
                            ("smoke", "Smoke, sparks or a burning smell"),
                            ("will-not-stop", "It doesn’t stop when it should"),
                            ("inspection", "A line of its inspection was answered no"),
                            ("will-not-start", "It doesn’t start"),
                            ("noise", "A strange noise or shaking"),
                            ("floor", "Something on the floor"),
                            ("behavior", "Someone works unsafely"),
                            ("other", "Something else"),
                        ],
                        max_length=16,
                        verbose_name="what was seen",
                    ),
                ),
                ("words", models.CharField(blank=True, max_length=300)),
                (
                    "effect",
                    models.CharField(
                        choices=[
                            ("keep off until the teacher looks", "Keep off until the teacher looks"),
                            ("flag", "For the teacher to look at"),
                        ],
                        max_length=36,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("tap", models.UUIDField(default=uuid.uuid4, unique=True, verbose_name="made by the page for one tap")),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("found", models.CharField(blank=True, max_length=300, verbose_name="what the teacher found")),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hazard_reports",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "ended_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
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
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hazard_reports",
                        to="machines.machine",
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
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="hazard_reports", to="school.shop"
                    ),
                ),
                (
                    "tag_out",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports",
                        to="machines.tagout",
                    ),
                ),
            ],
            options={
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="ReportPhoto",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("digest", models.CharField(max_length=64, verbose_name="SHA-256 of the bytes, in hex")),
                ("content", models.BinaryField(verbose_name="WebP")),
                (
                    "report",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="photo", to="machines.hazardreport"
                    ),
                ),
                (
                    "school",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"
                    ),
                ),
            ],
        ),
        migrations.AddIndex(
            model_name="hazardreport",
            index=models.Index(fields=["machine", "ended_at"], name="open_report_of_machine"),
        ),
        migrations.AddConstraint(
            model_name="hazardreport",
            constraint=models.CheckConstraint(
                condition=models.Q(("machine__isnull", False), ("effect", "flag"), _connector="OR"),
                name="only_a_machine_is_kept_off",
                violation_error_message="Only a machine can be kept off.",
            ),
        ),
        migrations.AddConstraint(
            model_name="hazardreport",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("ended_at__isnull", True), ("ended_by__isnull", True), ("found", ""), ("tag_out__isnull", True)
                    ),
                    models.Q(
                        ("ended_at__isnull", False),
                        ("ended_by__isnull", False),
                        models.Q(models.Q(("found", ""), _negated=True), ("tag_out__isnull", False), _connector="OR"),
                    ),
                    _connector="OR",
                ),
                name="report_is_ended_by_a_teacher_with_words_or_a_tag_out",
                violation_error_message="Say what you found.",
            ),
        ),
    ]
