"""Call two fields by nouns. The columns of the database keep their names: nothing is altered there."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("logbook", "0005_plain_wording")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.RenameField("verificationrun", "said", "outcome"),
                migrations.AlterField(
                    "verificationrun",
                    "outcome",
                    models.CharField(
                        max_length=300,
                        blank=True,
                        db_column="said",
                        help_text="Why it ended early, or what became of the code.",
                    ),
                ),
                migrations.RenameField("checkpointcopy", "said", "problem"),
                migrations.AlterField(
                    "checkpointcopy", "problem", models.CharField(max_length=300, blank=True, db_column="said")
                ),
            ],
        ),
    ]
