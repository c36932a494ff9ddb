"""Whoever published an edition until now said on that page to have read its rules: those editions stay accepted."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def accept(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    acceptance, edition = apps.get_model("quizzes", "Acceptance"), apps.get_model("quizzes", "Edition")
    acceptance.objects.bulk_create(
        acceptance(school_id=one.school_id, edition=one, by_id=one.published_by_id, at=one.published_at)
        for one in edition.objects.exclude(published_by=None).defer("content")
    )


class Migration(migrations.Migration):
    dependencies = [("quizzes", "0003_acceptance")]

    operations = [migrations.RunPython(accept, migrations.RunPython.noop)]
