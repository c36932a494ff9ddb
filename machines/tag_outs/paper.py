"""What the tag of a machine says, loaded from its tag-out."""

from machines.models import Machine, TagOut
from shopsafe.language.messages import _
from shopsafe.paper.rules.upkeep_sheets import Tag
from shopsafe.school.calendar import local_day


def tag_of(row: TagOut, machine: Machine, url: str) -> Tag:
    """`url`: the machine's page, where the code leads."""
    school = machine.school
    return Tag(
        machine=str(machine),
        shop=machine.shop.name,
        reason=row.reason,
        by=row.by.name,
        since=local_day(row.at, school.time_zone),
        code=_("Tag-out {number}", number=row.pk),
        url=url,
        demo=school.is_demo,
    )
