"""A safety agreement is one kind of document. The table keeps its name and its rows; it gains the kind."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("school", "0014_timetable")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.AlterModelTable("safetyagreement", "school_safetyagreement"),
                migrations.RenameModel("SafetyAgreement", "StudentDocument"),
            ],
            database_operations=[],
        ),
        migrations.AlterField(
            model_name="studentdocument",
            name="student",
            field=models.ForeignKey(on_delete=models.deletion.PROTECT, related_name="documents", to="school.person"),
        ),
        migrations.AlterField(
            model_name="studentdocument",
            name="signed_on",
            field=models.DateField(verbose_name="the date of the document"),
        ),
        migrations.AddField(
            model_name="studentdocument",
            name="kind",
            field=models.CharField(max_length=40, default="agreement", db_default="agreement"),
        ),
        migrations.RemoveConstraint(model_name="studentdocument", name="agreement_once_a_year"),
        migrations.RemoveConstraint(model_name="studentdocument", name="agreement_is_taken_back_with_a_reason"),
        migrations.AddConstraint(
            model_name="studentdocument",
            constraint=models.UniqueConstraint(
                fields=["student", "year"],
                condition=models.Q(taken_back_at__isnull=True, kind="agreement"),
                name="agreement_once_a_year",
                violation_error_message="This student's agreement for the year is recorded already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="studentdocument",
            constraint=models.UniqueConstraint(
                fields=["student", "kind", "signed_on"],
                condition=models.Q(taken_back_at__isnull=True) & ~models.Q(kind="agreement"),
                name="document_once_a_date",
                violation_error_message="This student's document of that date is recorded already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="studentdocument",
            constraint=models.CheckConstraint(
                condition=models.Q(taken_back_at__isnull=True, taken_back_by__isnull=True, taken_back_reason="")
                | (
                    models.Q(taken_back_at__gte=models.F("recorded_at"), taken_back_by__isnull=False)
                    & ~models.Q(taken_back_reason="")
                ),
                name="agreement_is_taken_back_with_a_reason",
                violation_error_message="Say why the document is taken back.",
            ),
        ),
    ]
