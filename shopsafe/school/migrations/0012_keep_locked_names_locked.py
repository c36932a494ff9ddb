"""A name that is locked stays locked: the limit for a name was 5 wrong codes, and is 10 from now on."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("school", "0011_wrong_codes_by_device")]

    operations = [
        migrations.RunSQL(
            "UPDATE school_person SET misses = 10 WHERE locked_at IS NOT NULL AND misses < 10", migrations.RunSQL.noop
        )
    ]
