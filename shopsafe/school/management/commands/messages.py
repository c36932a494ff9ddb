"""`manage.py messages collect [LANGUAGE]` and `manage.py messages compile`: from sentences to catalogs."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError

from shopsafe.language.catalogs import files
from shopsafe.language.catalogs.collecting import collected
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked

PACKAGES = ("shopsafe", "quizzes", "machines")


class Command(TranslatedCommand):
    help = marked("Collects the sentences of pages and prints for translators, and compiles their translations.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        what = parser.add_subparsers(dest="what", required=True)
        collect = what.add_parser("collect", help=_("Writes locale/messages.pot and brings every catalog up to date."))
        collect.add_argument("language", nargs="?", default="", help=_("Begins the catalog of this language, as es."))
        what.add_parser("compile", help=_("Checks every catalog and makes the file that the program reads."))

    def handle(self, *args: Any, what: str, **options: Any) -> None:
        folder = Path(settings.LOCALE_PATHS[0])
        done = self.collect(folder, options["language"]) if what == "collect" else self.compile(folder)
        self.stdout.write(json.dumps(done, indent=1, ensure_ascii=False))

    def collect(self, folder: Path, language: str) -> dict[str, Any]:
        template = files.template_of(collected(settings.BASE_DIR, PACKAGES, "templates"))
        folder.mkdir(exist_ok=True)
        template.save(str(folder / files.TEMPLATE))
        paths = {*files.catalogs(folder), *([files.catalog_of(folder, language)] if language else [])}
        lacking = {
            path.parent.parent.name: len(file.untranslated_entries()) + len(file.fuzzy_entries())
            for path in sorted(paths)
            for file in [files.bring_up_to_date(path, template)]
        }
        return {"sentences": len(template), "not translated": lacking}

    def compile(self, folder: Path) -> dict[str, Any]:
        catalogs = files.catalogs(folder)
        if wrong := [problem for path in catalogs for problem in files.problems(path)]:
            raise CommandError("\n".join([_("Nothing was compiled. Correct these translations:"), *wrong]))
        return {"translated": {path.parent.parent.name: files.compile_catalog(path) for path in catalogs}}
