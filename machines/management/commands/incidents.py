"""`manage.py incidents SHOP`: the reports, follow-ups and rates of a shop as JSON, without students' names."""

import json
from argparse import ArgumentParser
from datetime import datetime
from typing import Any

from django.core.management.base import CommandError
from django.db.models import Q

from machines.incidents.queries import lines_of_shop, undone_in
from machines.incidents.rates import MachineRate, rates_of
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.clock import school_moment
from shopsafe.school.models import Shop


class Command(TranslatedCommand):
    help = marked("Prints the incident reports of a shop with their dates, its follow-ups and its rates, as JSON.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("shop", metavar="SHOP", help=_("the shop's number or name"))

    def handle(self, **options: Any) -> None:
        shop = shop_by_pk_or_name(options["shop"])
        self.stdout.write(json.dumps(as_json(shop, school_moment(shop.school_id)), ensure_ascii=False, indent=2))


def shop_by_pk_or_name(text: str) -> Shop:
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None
    shops = list(
        Shop.objects.filter(Q(pk=number) | Q(name__iexact=text.strip())).select_related("school").order_by("pk")
    )
    if not shops:
        raise CommandError(_("There is no shop “{text}”. Give its name or its number.", text=text))
    if len(shops) > 1:
        which = "; ".join(
            _("{key} is {shop}, {school}", key=shop.pk, shop=shop.name, school=shop.school.name) for shop in shops
        )
        raise CommandError(
            _(
                "“{text}” may be any of {count} shops: {shops}. Give the number.",
                text=text,
                count=len(shops),
                shops=which,
            )
        )
    return shops[0]


def as_json(shop: Shop, at: datetime) -> dict[str, Any]:
    reports = [
        {
            "report": line.incident.pk,
            "sort": line.version.sort,
            "happened_at": line.version.happened_at.isoformat(),
            "machine": line.version.machine.as_record() if line.version.machine else None,
            "versions": line.version.number,
            "complete": line.version.is_complete,
            "due": f"{line.dates.due}",
            "overdue": line.dates.overdue and not line.version.is_complete,
            "kept_until": f"{line.dates.keep}",
        }
        for line in lines_of_shop(shop, at)
    ]
    changes = [{"report": row.incident_id, "words": row.words, "day": f"{row.day or ''}"} for row in undone_in(shop)]
    rates = [rate_as_json(rate) for rate in rates_of([shop], at)]
    return {"shop": {"id": shop.pk, "name": shop.name}, "reports": reports, "follow_ups": changes, "rates": rates}


def rate_as_json(row: MachineRate) -> dict[str, Any]:
    rate = row.rate
    return {
        "name": row.name,
        "is_type": row.is_type,
        "incidents": rate.events,
        "hours": round(rate.hours, 2),
        "per_1000": rate.per_1000,
        "lower": rate.lower,
        "upper": rate.upper,
        "words": rate.words,
        "near_misses": row.near_misses,
    }
