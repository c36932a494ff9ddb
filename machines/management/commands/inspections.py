"""`manage.py inspections SHOP [--at ISO]`: what a shop inspects, when it is due, and what is out of use, as JSON."""

import json
from argparse import ArgumentParser
from datetime import UTC, datetime
from typing import Any

from django.core.management.base import CommandError

from machines.clearance.out_of_use import OutOfUse, out_of_use
from machines.clearance.records import in_service_life
from machines.models import Machine
from machines.register.moments import read_moment
from machines.reports.inspections.queries import MachineInspection, inspections_in
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.clock import school_moment
from shopsafe.school.models import Shop


class Command(TranslatedCommand):
    help = marked("Prints what is inspected in a shop, when it was done and is due, and what is out of use, as JSON.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("shop", metavar="SHOP", help=_("the shop's number or name"))
        parser.add_argument("--at", help=_("a moment (2026-11-03T10:40) or a day's end (2026-11-03); now if left out"))

    def handle(self, **options: Any) -> None:
        shop = shop_named(options["shop"])
        try:
            at = read_moment(options["at"], shop.school.time_zone) if options["at"] else school_moment(shop.school_id)
        except (ValueError, OverflowError) as wrong:
            example = _("Write it as 2026-11-03T10:40 or 2026-11-03.")
            raise CommandError(
                _("“{text}” is not a date or time. {example}", text=options["at"], example=example)
            ) from wrong
        self.stdout.write(json.dumps(as_json(shop, at), ensure_ascii=False, indent=2))


def shop_named(text: str) -> Shop:
    shops = Shop.objects.select_related("school")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None
    matches = list(shops.filter(pk=number) if number is not None else shops.filter(name__iexact=text.strip()))
    if not matches:
        raise CommandError(_("There is no shop “{text}”. Give its name or its number.", text=text))
    if len(matches) > 1:
        which = "; ".join(
            _("{key} is {shop}, {school}", key=shop.pk, shop=shop.name, school=shop.school.name) for shop in matches
        )
        raise CommandError(
            _(
                "“{text}” may be any of {count} shops: {shops}. Give the number.",
                text=text,
                count=len(matches),
                shops=which,
            )
        )
    return matches[0]


def as_json(shop: Shop, at: datetime) -> dict[str, Any]:
    machines = in_service_life(Machine.objects.filter(shop=shop).select_related("kind"), at).order_by("number", "pk")
    by_pk = {machine.pk: machine for machine in machines}
    return {
        "shop": {"id": shop.pk, "name": shop.name},
        "at": at.astimezone(UTC).isoformat(),
        "out_of_use": [out_as_json(by_pk[pk], off) for pk, off in sorted(out_of_use(list(by_pk), at).items())],
        "inspections": [inspection_as_json(row) for row in inspections_in(shop, at)],
    }


def out_as_json(machine: Machine, off: OutOfUse) -> dict[str, Any]:
    since = off.at.astimezone(UTC).isoformat() if off.at else None
    return {
        "machine": str(machine),
        "state": "tagged out" if off.tag_out else "keep off",
        "reason": off.reason,
        "since": since,
    }


def inspection_as_json(row: MachineInspection) -> dict[str, Any]:
    return {
        "machine": str(row.machine),
        "list": row.interval.value,
        "state": row.due.state.value,
        "last": str(row.last) if row.last else None,
        "first_day": str(row.due.first_day) if row.due.first_day else None,
        "due_by": str(row.due.due_by) if row.due.due_by else None,
    }
