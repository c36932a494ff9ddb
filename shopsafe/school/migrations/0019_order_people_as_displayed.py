# People are listed by the name as it is displayed. No table changes.

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("school", "0018_jobs_of_the_night"),
    ]

    operations = [
        migrations.AlterModelOptions(
            name="person",
            options={"ordering": ["name", "pk"], "verbose_name_plural": "people"},
        ),
    ]
