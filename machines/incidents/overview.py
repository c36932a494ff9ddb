"""The page of all incidents that someone may read, and what the form shows beside itself."""

from datetime import datetime
from typing import Any

from machines.incidents.forms import ReportForm
from machines.incidents.known.moment import known_about_machine, known_about_students
from machines.incidents.queries import lines_for, waiting_of
from machines.incidents.rates import rates_of
from shopsafe.school import access
from shopsafe.school.models import Person, Shop
from shopsafe.school.naming.rules.ordering import in_order


def incidents_page(reader: Person, at: datetime) -> dict[str, Any]:
    lines, shops = lines_for(reader, at), in_order(access.shops_for(reader))
    return {
        "shops": shops,
        "incidents": waiting_of(lines, reader),
        "complete": [line for line in lines if line.version.is_complete],
        "near_misses": sum(line.version.is_near_miss for line in lines),
        "rates": rates_of(shops, at),
    }


def preview(form: ReportForm, shop: Shop, at: datetime) -> list[dict[str, Any]]:
    """What the records say now about whom and what the form has chosen, as (heading, lines). The act looks again."""
    machine = form.machines.get(str(form["machine"].value() or ""))
    students = [student for key, student in form.students.items() if key in form.chosen]
    parts = [{"name": "", "lines": known_about_machine(machine, shop, at)["lines"]}] if machine else []
    known = known_about_students(students, machine, shop, at) if students else {}
    return [*parts, *({"name": student.name, "lines": known[student.pk]["lines"]} for student in students)]
