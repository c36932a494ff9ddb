"""`manage.py hazard_reports SHOP [--ended]`: the hazard reports of a shop as JSON, without students' names."""

import json
from argparse import ArgumentParser
from datetime import datetime
from typing import Any

from machines.management.commands.incidents import shop_by_pk_or_name
from machines.models import HazardReport
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.clock import school_moment
from shopsafe.school.models import Shop


class Command(TranslatedCommand):
    help = marked("Prints the hazard reports of a shop that wait for a teacher, with --ended also the others, as JSON.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("shop", metavar="SHOP", help=_("the shop's number or name"))
        parser.add_argument("--ended", action="store_true", help=_("also the reports that a teacher has ended"))

    def handle(self, **options: Any) -> None:
        shop = shop_by_pk_or_name(options["shop"])
        reports = as_json(shop, school_moment(shop.school_id), ended=options["ended"])
        self.stdout.write(json.dumps(reports, ensure_ascii=False, indent=2))


def as_json(shop: Shop, at: datetime, *, ended: bool) -> dict[str, Any]:
    """What was reported may name a student in its words, so the words stay on the pages of the shop."""
    rows = HazardReport.objects.filter(shop=shop, at__lte=at).select_related("machine__kind", "ended_by", "by")
    rows = rows if ended else rows.exclude(ended_at__lte=at)
    return {
        "shop": {"id": shop.pk, "name": shop.name},
        "reports": [
            {
                "report": row.pk,
                "at": row.at.isoformat(),
                "machine": row.machine.as_record() if row.machine else None,
                "seen": row.kind,
                "keeps_off": row.keeps_off and row.ended_at is None,
                "by": row.by.role,
                "ended_at": row.ended_at.isoformat() if row.ended_at else None,
                "ended_by": row.ended_by.name if row.ended_by else None,
                "tagged_out": row.tag_out_id is not None,
            }
            for row in rows.order_by("at", "pk")
        ],
    }
