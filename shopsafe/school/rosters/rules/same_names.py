"""What a preview says of a student of the school whose name is in the list too. Students out of reach stay unnamed."""

from shopsafe.language.messages import _
from shopsafe.school.rosters.rules.facts import ExistingPerson


def known_at_this_school(person: ExistingPerson) -> str:
    if person.in_reach:
        return _("Already at this school as {student}, and joins this class.", student=person.name)
    return _("Already at this school, and joins this class.")


def without_number(who: ExistingPerson) -> str:
    """A question about a student of this name who has no number at the school."""
    name = who.name if who.in_reach else _("A student of this name")
    if who.here:
        return _("{student} is at this school without a number in this class. Is this the same student?", student=name)
    return _("{student} is at this school without a number. Is this the same student?", student=name)


def same_name(who: ExistingPerson) -> str:
    """A question about a student of this name, where the row has no number."""
    name = who.name if who.in_reach else _("A student of this name")
    number = who.local_id if who.in_reach else ""
    if number and who.here:
        return _(
            "{student} is at this school with the number {number} in this class. Is this the same student?",
            student=name,
            number=number,
        )
    if number:
        return _(
            "{student} is at this school with the number {number}. Is this the same student?",
            student=name,
            number=number,
        )
    if who.here:
        return _("{student} is at this school in this class. Is this the same student?", student=name)
    return _("{student} is at this school. Is this the same student?", student=name)


def namesake(who: ExistingPerson) -> str:
    if not who.in_reach:
        return _("in another class")
    number = who.local_id or _("no number")
    if who.here:
        return _("{student} ({number}) in this class", student=who.name, number=number)
    return f"{who.name} ({number})"
