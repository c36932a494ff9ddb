"""Call three fields by nouns. The columns of the database keep their names: nothing is altered there."""

from django.db import migrations, models

ENDED_WITH_WORDS = "report_is_ended_by_a_teacher_with_words_or_a_tag_out"
SAYS_WHAT_WAS_DONE = "service_says_what_was_done_by_whom"


class Migration(migrations.Migration):
    dependencies = [("machines", "0017_plain_wording")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.RenameField("printset", "said", "message"),
                migrations.AlterField(
                    "printset",
                    "message",
                    models.CharField(
                        "the sheet in hand, or why it failed", max_length=300, blank=True, db_column="said"
                    ),
                ),
                migrations.RemoveConstraint("hazardreport", ENDED_WITH_WORDS),
                migrations.RenameField("hazardreport", "found", "finding"),
                migrations.AlterField(
                    "hazardreport",
                    "finding",
                    models.CharField("what the teacher found", max_length=300, blank=True, db_column="found"),
                ),
                migrations.AddConstraint(
                    "hazardreport",
                    models.CheckConstraint(
                        name=ENDED_WITH_WORDS,
                        condition=models.Q(
                            ended_at__isnull=True, ended_by__isnull=True, finding="", tag_out__isnull=True
                        )
                        | (
                            models.Q(ended_at__isnull=False, ended_by__isnull=False)
                            & (~models.Q(finding="") | models.Q(tag_out__isnull=False))
                        ),
                        violation_error_message="Say what you found.",
                    ),
                ),
                migrations.RemoveConstraint("servicerecord", SAYS_WHAT_WAS_DONE),
                migrations.RenameField("servicerecord", "did", "work"),
                migrations.AlterField(
                    "servicerecord",
                    "work",
                    models.CharField("what was done", max_length=300, db_column="did"),
                ),
                migrations.AddConstraint(
                    "servicerecord",
                    models.CheckConstraint(
                        name=SAYS_WHAT_WAS_DONE,
                        condition=~models.Q(work="") & ~models.Q(done_by=""),
                        violation_error_message="Say what was done, and who did it.",
                    ),
                ),
            ],
        ),
    ]
