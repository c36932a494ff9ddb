"""One spelling: the model of a student's time in a class is Enrollment. Its table keeps its name, so only the state of
the migrations changes."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("school", "0009_remove_former_sessions")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.AlterModelTable("enrolment", "school_enrolment"),
                migrations.RenameModel("Enrolment", "Enrollment"),
                migrations.AlterField(
                    "enrollment",
                    "section",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="enrollments", to="school.section"
                    ),
                ),
                migrations.AlterField(
                    "enrollment",
                    "student",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="enrollments", to="school.person"
                    ),
                ),
                migrations.AlterConstraint(
                    "enrollment",
                    "enrolment_ends_after_it_begins",
                    models.CheckConstraint(
                        name="enrolment_ends_after_it_begins",
                        condition=models.Q(until_day__isnull=True) | models.Q(until_day__gte=models.F("from_day")),
                        violation_error_message="An enrollment can't end before it begins.",
                    ),
                ),
            ],
            database_operations=[],
        )
    ]
