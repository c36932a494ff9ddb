"""The sessions of before, whose person could only be found by decoding each: everybody signs in once more."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("school", "0008_sessions_of_people")]

    operations = [migrations.RunSQL("DROP TABLE IF EXISTS django_session", migrations.RunSQL.noop)]
