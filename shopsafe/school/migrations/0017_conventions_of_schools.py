"""How a school writes dates, times and distances."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("school", "0016_here_today"),
    ]

    operations = [
        migrations.AddField(
            model_name="school",
            name="conventions",
            field=models.CharField(
                choices=[("us", "us"), ("international", "international")],
                db_default="us",
                default="us",
                max_length=13,
                verbose_name="how dates, times and distances are written",
            ),
        ),
    ]
