"""Where a reason is acted on: its link as an address and the words of the button, for its reader."""

from dataclasses import dataclass
from typing import assert_never

from django.urls import reverse

from machines.clearance.facts import NextActor, Reason
from machines.clearance.rules.next_steps import NextStep
from shopsafe.language.messages import _
from shopsafe.school.models import Person


@dataclass(frozen=True)
class ActionLink:
    """`label` says what opens there."""

    label: str
    url: str


def link_of(
    reason: Reason, asker: Person, *, student: int, machine: int, section: int | None = None
) -> ActionLink | None:
    """The page on which `asker` acts on `reason`, or sees where it stands; None where it is not theirs to do.

    `section` is the class in which a staff member looks at the student.
    """
    if asker.is_student:
        return _for_student(reason)
    if asker.is_teacher:
        return _for_teacher(reason, student, machine, section)
    if asker.is_office and reason.link == "hold" and reason.who is NextActor.OFFICE:
        return ActionLink(_("Look at the hold"), reverse("hold-lift", args=[reason.about]))
    if asker.is_office and reason.link == "document" and section:
        return ActionLink(_("Record it"), reverse("class-people", args=[section]))
    return None


def link_of_step(reason: Reason, step: NextStep) -> ActionLink | None:
    """As `link_of` for a student, by the next step on My machines: what has no button there has no link."""
    if step.label and step.hold:
        return ActionLink(step.label, reverse("own-hold", args=[step.hold]))
    if step.label:
        again = "?refresher=1" if step.refresher else ""
        return ActionLink(step.label, reverse("quiz", args=[step.bank]) + again)
    return _for_student(reason) if reason.link in ("bench", "hold") else None


def _for_student(reason: Reason) -> ActionLink | None:
    match reason.link:
        case "quiz" | "accept":
            return ActionLink(_("Open the quiz"), reverse("quiz", args=[reason.about]))
        case "refresher":
            return ActionLink(_("Open the refresher"), reverse("quiz", args=[reason.about]) + "?refresher=1")
        case "bench":
            return ActionLink(_("My machines"), reverse("bench"))
        case "hold-rules" | "hold-quiz" | "hold":
            return ActionLink(_("What I can do"), reverse("own-hold", args=[reason.about]))
        case "" | "sign-off" | "document":
            return None
    assert_never(reason.link)


def _for_teacher(reason: Reason, student: int, machine: int, section: int | None) -> ActionLink | None:
    match reason.link:
        case "quiz" | "refresher":
            return ActionLink(_("Read its rules"), reverse("rules-of-bank", args=[reason.about]))
        case "accept":
            return ActionLink(_("Read and accept them"), reverse("bank-accept", args=[reason.about]))
        case "sign-off":
            return ActionLink(_("Watch and sign off"), reverse("sign-off", args=[machine, student]))
        case "hold" | "hold-rules" | "hold-quiz":
            return ActionLink(_("Look at the hold"), reverse("hold-lift", args=[reason.about]))
        case "document" if section:
            return ActionLink(_("Record it"), reverse("class-people", args=[section]))
        case "bench" if section:
            return ActionLink(_("All machines of the student"), reverse("student-standings", args=[section, student]))
        case "" | "document" | "bench":
            return None
    assert_never(reason.link)
