"""The shop in use: openings, presence, runs, helpers, waiting lists, grants of supervising, and the floor's settings."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("logbook", "0002_refuse_change"),
        ("machines", "0008_prerequisite"),
        ("quizzes", "0010_check_questions_after_the_cards"),
        ("school", "0013_taps"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="EndOfRuns",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField()),
                ("tap", models.UUIDField(default=uuid.uuid4, unique=True, verbose_name="made by the page for one tap")),
                ("lifted_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="FloorSettings",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("keeps_runs", models.BooleanField(default=False, verbose_name="who is at which machine is recorded")),
                (
                    "presence_minutes",
                    models.PositiveSmallIntegerField(
                        default=15, verbose_name="a teacher confirms being here every so many"
                    ),
                ),
                ("tile_order", models.JSONField(blank=True, default=list)),
                (
                    "wall_before",
                    models.CharField(blank=True, max_length=40, verbose_name="what is along the first tiles"),
                ),
                (
                    "wall_after",
                    models.CharField(blank=True, max_length=40, verbose_name="what is along the last tiles"),
                ),
                ("closing_lines", models.JSONField(blank=True, null=True)),
                ("set_at", models.DateTimeField()),
            ],
            options={
                "verbose_name_plural": "floor settings",
            },
        ),
        migrations.CreateModel(
            name="PresenceConfirmation",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "means",
                    models.CharField(
                        choices=[
                            ("opened", "Opening the shop"),
                            ("button", "The button"),
                            ("taken over", "Taking over"),
                            ("sign-off", "A sign-off"),
                            ("start", "A start"),
                        ],
                        max_length=10,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("clock", models.DateTimeField()),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="Run",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("given_at", models.DateTimeField()),
                ("tap", models.UUIDField(default=uuid.uuid4, unique=True, verbose_name="made by the page for one tap")),
                ("started_at", models.DateTimeField(blank=True, null=True)),
                (
                    "checks",
                    models.JSONField(
                        blank=True, default=list, verbose_name="the pre-use check, line by line, as it was worded"
                    ),
                ),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["given_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="RunHelper",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True, verbose_name="the help ended before the run")),
            ],
            options={
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="ShopOpening",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("opened_at", models.DateTimeField()),
                ("tap", models.UUIDField(default=uuid.uuid4, unique=True, verbose_name="made by the page for one tap")),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "closed_how",
                    models.CharField(
                        blank=True,
                        choices=[("list", "The closing list"), ("left", "Left open until the next opening")],
                        max_length=4,
                    ),
                ),
                ("answers", models.JSONField(blank=True, default=list)),
            ],
            options={
                "ordering": ["opened_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="SupervisingGrant",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("day", models.DateField()),
                ("at", models.DateTimeField()),
                ("tap", models.UUIDField(default=uuid.uuid4, unique=True, verbose_name="made by the page for one tap")),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["day", "pk"],
            },
        ),
        migrations.CreateModel(
            name="WaitingStudent",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("joined_at", models.DateTimeField()),
                ("left_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.AddField(
            model_name="machinekind",
            name="helper_cleared",
            field=models.BooleanField(
                db_default=True, default=True, verbose_name="a helper must be cleared on the machine"
            ),
        ),
        migrations.AddField(
            model_name="machinekind",
            name="helper_role",
            field=models.CharField(blank=True, db_default="", max_length=40, verbose_name="what a helper is called"),
        ),
        migrations.AddField(
            model_name="machinekind",
            name="helpers",
            field=models.PositiveSmallIntegerField(
                db_default=0, default=0, verbose_name="how many helpers a run needs"
            ),
        ),
        migrations.AddConstraint(
            model_name="machinekind",
            constraint=models.CheckConstraint(
                condition=models.Q(("helpers__lte", 4)),
                name="run_needs_few_helpers",
                violation_error_message="Enter a number of helpers from 0 to 4.",
            ),
        ),
        migrations.AddField(
            model_name="endofruns",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="endofruns",
            name="entry",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="logbook.entry"
            ),
        ),
        migrations.AddField(
            model_name="endofruns",
            name="lifted_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="endofruns",
            name="school",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"),
        ),
        migrations.AddField(
            model_name="floorsettings",
            name="school",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"),
        ),
        migrations.AddField(
            model_name="floorsettings",
            name="set_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="floorsettings",
            name="shop",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT, related_name="floor", to="school.shop"
            ),
        ),
        migrations.AddField(
            model_name="presenceconfirmation",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="presenceconfirmation",
            name="entry",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="logbook.entry"
            ),
        ),
        migrations.AddField(
            model_name="presenceconfirmation",
            name="school",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"),
        ),
        migrations.AddField(
            model_name="run",
            name="checked_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="run",
            name="ended_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="run",
            name="entry",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="logbook.entry"
            ),
        ),
        migrations.AddField(
            model_name="run",
            name="given_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="run",
            name="machine",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="runs", to="machines.machine"
            ),
        ),
        migrations.AddField(
            model_name="run",
            name="school",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"),
        ),
        migrations.AddField(
            model_name="run",
            name="student",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="runs", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="runhelper",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="runhelper",
            name="ended_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="runhelper",
            name="entry",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="logbook.entry"
            ),
        ),
        migrations.AddField(
            model_name="runhelper",
            name="run",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="helpers", to="machines.run"
            ),
        ),
        migrations.AddField(
            model_name="runhelper",
            name="school",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"),
        ),
        migrations.AddField(
            model_name="runhelper",
            name="student",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="shopopening",
            name="closed_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="shopopening",
            name="entry",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="logbook.entry"
            ),
        ),
        migrations.AddField(
            model_name="shopopening",
            name="opened_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="shopopening",
            name="school",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"),
        ),
        migrations.AddField(
            model_name="shopopening",
            name="section",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="school.section",
            ),
        ),
        migrations.AddField(
            model_name="shopopening",
            name="shop",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="openings", to="school.shop"
            ),
        ),
        migrations.AddField(
            model_name="run",
            name="opening",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="runs", to="machines.shopopening"
            ),
        ),
        migrations.AddField(
            model_name="presenceconfirmation",
            name="opening",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="presence", to="machines.shopopening"
            ),
        ),
        migrations.AddField(
            model_name="endofruns",
            name="opening",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="ends", to="machines.shopopening"
            ),
        ),
        migrations.AddField(
            model_name="supervisinggrant",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="supervisinggrant",
            name="entry",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="logbook.entry"
            ),
        ),
        migrations.AddField(
            model_name="supervisinggrant",
            name="school",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"),
        ),
        migrations.AddField(
            model_name="supervisinggrant",
            name="section",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="supervising", to="school.section"
            ),
        ),
        migrations.AddField(
            model_name="supervisinggrant",
            name="substitute",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="supervisinggrant",
            name="withdrawn_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="waitingstudent",
            name="added_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="waitingstudent",
            name="entry",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name="+", to="logbook.entry"
            ),
        ),
        migrations.AddField(
            model_name="waitingstudent",
            name="left_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="waitingstudent",
            name="machine",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to="machines.machine"
            ),
        ),
        migrations.AddField(
            model_name="waitingstudent",
            name="opening",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="waiting", to="machines.shopopening"
            ),
        ),
        migrations.AddField(
            model_name="waitingstudent",
            name="school",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="school.school"),
        ),
        migrations.AddField(
            model_name="waitingstudent",
            name="student",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddConstraint(
            model_name="floorsettings",
            constraint=models.CheckConstraint(
                condition=models.Q(("presence_minutes__gte", 2), ("presence_minutes__lte", 60)),
                name="presence_is_confirmed_within_the_hour",
                violation_error_message="Enter a number of minutes from 2 to 60.",
            ),
        ),
        migrations.AddConstraint(
            model_name="runhelper",
            constraint=models.UniqueConstraint(
                condition=models.Q(("ended_at__isnull", True)),
                fields=("run", "student"),
                name="helper_is_named_once",
                violation_error_message="This student helps there already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="runhelper",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("ended_at__isnull", True), ("ended_by__isnull", True)),
                    models.Q(("ended_at__gte", models.F("at")), ("ended_by__isnull", False)),
                    _connector="OR",
                ),
                name="help_is_ended_by_a_person",
                violation_error_message="Help is ended once, by a person.",
            ),
        ),
        migrations.AddIndex(
            model_name="shopopening",
            index=models.Index(fields=["shop", "opened_at"], name="openings_of_shop"),
        ),
        migrations.AddConstraint(
            model_name="shopopening",
            constraint=models.UniqueConstraint(
                condition=models.Q(("closed_at__isnull", True)),
                fields=("shop",),
                name="shop_is_open_once",
                violation_error_message="This shop is open already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="shopopening",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("closed_at__isnull", True), ("closed_by__isnull", True), ("closed_how", "")),
                    models.Q(
                        ("closed_at__gte", models.F("opened_at")),
                        ("closed_by__isnull", False),
                        ("closed_how__in", ["list", "left"]),
                    ),
                    _connector="OR",
                ),
                name="opening_is_closed_by_a_person",
                violation_error_message="A shop is closed once, by a person.",
            ),
        ),
        migrations.AddIndex(
            model_name="run",
            index=models.Index(fields=["machine", "given_at"], name="runs_of_machine"),
        ),
        migrations.AddIndex(
            model_name="run",
            index=models.Index(fields=["student", "machine", "ended_at"], name="runs_of_student"),
        ),
        migrations.AddConstraint(
            model_name="run",
            constraint=models.UniqueConstraint(
                condition=models.Q(("ended_at__isnull", True)),
                fields=("machine",),
                name="one_student_at_each_machine",
                violation_error_message="A student is at this machine already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="run",
            constraint=models.UniqueConstraint(
                condition=models.Q(("ended_at__isnull", True)),
                fields=("student",),
                name="one_machine_for_each_student",
                violation_error_message="This student is at another machine.",
            ),
        ),
        migrations.AddConstraint(
            model_name="run",
            constraint=models.CheckConstraint(
                condition=models.Q(("given_by", models.F("student")), _negated=True),
                name="nobody_gives_themselves_a_machine",
                violation_error_message="Nobody gives themselves a machine.",
            ),
        ),
        migrations.AddConstraint(
            model_name="run",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("checked_by__isnull", True), ("started_at__isnull", True)),
                    ("started_at__gte", models.F("given_at")),
                    _connector="OR",
                ),
                name="run_starts_after_it_is_given",
                violation_error_message="A run starts after the machine is given.",
            ),
        ),
        migrations.AddConstraint(
            model_name="run",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("ended_at__isnull", True), ("ended_by__isnull", True)),
                    models.Q(
                        ("ended_at__gte", models.F("given_at")),
                        models.Q(
                            ("started_at__isnull", True), ("ended_at__gte", models.F("started_at")), _connector="OR"
                        ),
                    ),
                    _connector="OR",
                ),
                name="run_ends_after_it_starts",
                violation_error_message="A run ends after it starts.",
            ),
        ),
        migrations.AddConstraint(
            model_name="presenceconfirmation",
            constraint=models.CheckConstraint(
                condition=models.Q(("means__in", ["opened", "button", "taken over", "sign-off", "start"])),
                name="presence_is_confirmed_by_known_means",
                violation_error_message="Presence is confirmed by the button, a sign-off, a start or by taking over.",
            ),
        ),
        migrations.AddConstraint(
            model_name="endofruns",
            constraint=models.UniqueConstraint(
                condition=models.Q(("lifted_at__isnull", True)),
                fields=("opening",),
                name="runs_are_ended_once",
                violation_error_message="All runs were ended already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="endofruns",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("lifted_at__isnull", True), ("lifted_by__isnull", True)),
                    models.Q(("lifted_at__gte", models.F("at")), ("lifted_by__isnull", False)),
                    _connector="OR",
                ),
                name="end_of_runs_is_lifted_by_a_person",
                violation_error_message="Machines are let run again once, by a person.",
            ),
        ),
        migrations.AddConstraint(
            model_name="supervisinggrant",
            constraint=models.UniqueConstraint(
                condition=models.Q(("withdrawn_at__isnull", True)),
                fields=("section", "substitute", "day"),
                name="supervising_is_granted_once_a_day",
                violation_error_message="This substitute may supervise the class on that day already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="supervisinggrant",
            constraint=models.CheckConstraint(
                condition=models.Q(("by", models.F("substitute")), _negated=True),
                name="nobody_grants_supervising_to_themselves",
                violation_error_message="Nobody grants supervising to themselves.",
            ),
        ),
        migrations.AddConstraint(
            model_name="supervisinggrant",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("withdrawn_at__isnull", True), ("withdrawn_by__isnull", True)),
                    models.Q(("withdrawn_at__gte", models.F("at")), ("withdrawn_by__isnull", False)),
                    _connector="OR",
                ),
                name="supervising_is_withdrawn_by_a_person",
                violation_error_message="A grant is withdrawn once, by a person.",
            ),
        ),
        migrations.AddConstraint(
            model_name="waitingstudent",
            constraint=models.UniqueConstraint(
                condition=models.Q(("left_at__isnull", True)),
                fields=("opening", "machine", "student"),
                name="waits_once_for_a_machine",
                violation_error_message="This student waits for the machine already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="waitingstudent",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("left_at__isnull", True), ("left_by__isnull", True)),
                    ("left_at__gte", models.F("joined_at")),
                    _connector="OR",
                ),
                name="waiting_ends_after_it_begins",
                violation_error_message="Waiting can't end before it begins.",
            ),
        ),
    ]
