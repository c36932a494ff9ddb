"""manage.py setup_code: says where and with which code the first school is begun, as long as there is none."""

from typing import Any

from django.conf import settings

from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.models import School
from shopsafe.school.signing_in.codes.setup_code import setup_code


class Command(TranslatedCommand):
    help = marked(
        "Says the code with which a new installation is set up in the browser. Nothing once there is a school."
    )

    def handle(self, **options: Any) -> None:
        if not School.objects.exists():
            self.stdout.write(
                _(
                    "No school here yet. Open {site_url}/first-run/ with the setup code {setup_code}",
                    site_url=settings.SITE_URL,
                    setup_code=setup_code(),
                )
            )
