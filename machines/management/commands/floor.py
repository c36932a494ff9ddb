"""`manage.py floor SHOP [--hours]`: the floor of a shop as it is now, as JSON; with --hours also machine time."""

import json
from argparse import ArgumentParser
from datetime import UTC, datetime
from typing import Any

from django.core.management.base import CommandError

from machines.floor.hours import exposure_hours, machine_times
from machines.floor.showing.page import FloorPage, floor_now
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import _, marked
from shopsafe.school.lookup import shop_by_pk_or_name
from shopsafe.school.models import Shop
from shopsafe.school.refusals import Refused


class Command(TranslatedCommand):
    help = marked("Prints who is at which machine of a shop, who waits, and whether the shop is open, as JSON.")

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("shop", metavar="SHOP", help=_("the shop's number or name"))
        parser.add_argument("--hours", action="store_true", help=_("add each student's machine time and last use"))

    def handle(self, **options: Any) -> None:
        try:
            shop = shop_by_pk_or_name(options["shop"])
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal
        page = floor_now(shop)
        answer = as_json(page) | (hours_as_json(shop, page.clock) if options["hours"] else {})
        self.stdout.write(json.dumps(answer, ensure_ascii=False, indent=2))


def as_json(page: FloorPage) -> dict[str, Any]:
    opening = page.card.now.opening if page.card.now else None
    return {
        "shop": {"id": page.shop.pk, "name": page.shop.name},
        "at": text(page.clock),
        "status": str(page.card.state.status),
        "sentence": page.card.state.sentence,
        "open_until": text(page.card.state.until),
        "class": {"id": opening.section_id, "name": opening.section.name} if opening and opening.section else None,
        "opened_by": opening.opened_by.name if opening else None,
        "supervised_by": page.card.now.supervisor.name if page.card.now else None,
        "keeps_runs": page.settings.keeps_runs,
        "machines": [
            {
                "id": tile.machine.pk,
                "name": str(tile.machine),
                "number": tile.machine.number,
                "state": str(tile.tile.state),
                "headline": tile.headline,
                "detail": tile.tile.detail,
                "since": text(tile.tile.since),
                "run": tile.run.pk if tile.run else None,
                "student": tile.run.student.name if tile.run else None,
                "still_running": tile.tile.still_running,
                "on_hold": tile.held,
                "helpers": list(tile.helpers),
                "waiting": [row.student.name for row in tile.waiting],
            }
            for tile in page.tiles
        ],
    }


def hours_as_json(shop: Shop, at: datetime) -> dict[str, Any]:
    return {
        "hours": [
            {"machine": machine, "hours": round(hours, 2)}
            for machine, hours in sorted(exposure_hours(shop, at).items())
        ],
        "machine_time": [
            {
                "student": time.student,
                "machine": time.machine,
                "runs": time.runs,
                "minutes": time.minutes,
                "last_use": text(time.last),
            }
            for time in machine_times(shop, at)
        ],
    }


def text(at: datetime | None) -> str | None:
    return at.astimezone(UTC).isoformat() if at else None
