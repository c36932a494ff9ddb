"""What requirements ask for first is a Prerequisite. Its table keeps its name, so only the state of the migrations
changes."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("machines", "0007_refuse_to_change_records")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.AlterModelTable("asked", "machines_asked"),
                migrations.RenameModel("Asked", "Prerequisite"),
                migrations.AlterModelOptions(
                    "prerequisite",
                    {"ordering": ["requirements", "place"], "verbose_name_plural": "prerequisites"},
                ),
            ],
            database_operations=[],
        )
    ]
