"""Requirements may name further documents beside the safety agreement."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("machines", "0010_class_machines"), ("school", "0015_documents_of_students")]

    operations = [
        migrations.AddField(
            model_name="requirements",
            name="documents",
            field=models.CharField(
                "codes of further documents, in one line", max_length=400, blank=True, default="", db_default=""
            ),
        ),
    ]
