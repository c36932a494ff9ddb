"""Inspection sheets of a shop, loaded from the lists in force."""

from datetime import datetime

from machines.clearance.records import in_service_life
from machines.models import Machine
from machines.reports.facts import INTERVAL_WORDS, Interval
from machines.reports.inspections.lists import lists_of
from shopsafe.language.messages import _
from shopsafe.paper.rules.upkeep_sheets import InspectionRows, InspectionSheet
from shopsafe.school.calendar import local_day
from shopsafe.school.models import Shop


def inspection_sheet(shop: Shop, interval: Interval, at: datetime) -> InspectionSheet:
    """Every machine of the shop whose type has lines for the interval, starter lists among them."""
    rows = in_service_life(Machine.objects.filter(shop=shop).select_related("kind"), at).order_by("number", "pk")
    machines = list(rows)
    lists = lists_of({machine.kind_id: machine.kind for machine in machines}.values(), at)
    listed = [(machine, lists[machine.kind_id].lines(interval)) for machine in machines]
    return InspectionSheet(
        shop=shop.name,
        interval=_(INTERVAL_WORDS[interval]),
        machines=tuple(
            InspectionRows(str(machine), tuple((line.says, line.source) for line in lines))
            for machine, lines in listed
            if lines
        ),
        printed=local_day(at, shop.school.time_zone),
        demo=shop.school.is_demo,
    )
