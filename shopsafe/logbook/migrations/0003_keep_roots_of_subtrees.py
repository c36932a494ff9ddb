from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("logbook", "0002_refuse_change"),
    ]

    operations = [
        migrations.CreateModel(
            name="Subtree",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("width", models.PositiveSmallIntegerField()),
                ("number", models.PositiveIntegerField(verbose_name="from 0")),
                ("root", models.BinaryField()),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("width", "number"), name="one_root_a_subtree")],
            },
        ),
    ]
