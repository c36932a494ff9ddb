"""What the Print page offers for work at a machine: the tag of one that is out of use, and inspection sheets."""

from typing import Any, cast

from django import forms
from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext_lazy as _lazy

from machines.models import Machine
from machines.prints.room.forms import SheetForm, papers
from machines.prints.sheets.wall import ShopSnapshot
from machines.reports.facts import INTERVAL_WORDS, Interval
from machines.reports.inspections.paper import inspection_sheet
from machines.tag_outs.paper import tag_of
from shopsafe.conventions import usual_paper
from shopsafe.language.messages import _
from shopsafe.paper import upkeep
from shopsafe.paper.rules.sheets import LETTER
from shopsafe.paper.rules.upkeep_sheets import A6
from shopsafe.paper.setting import FinishedPrint, page_count
from shopsafe.school.models import Section


class TagForm(SheetForm):
    """The tag of one machine that is tagged out."""

    machine = forms.ChoiceField(error_messages={"required": _lazy("No machine of this shop is tagged out.")})
    paper = forms.ChoiceField(label=_lazy("Paper"), choices=[(A6.code, A6.name)])

    def fill(self) -> None:
        self.tagged_out = {str(machine.pk): machine for machine in tagged_out(self.snapshot)}
        cast(forms.ChoiceField, self.fields["machine"]).choices = [
            (pk, str(machine)) for pk, machine in self.tagged_out.items()
        ]

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        machines = tagged_out(snapshot)
        return {"paper": A6.code, "machine": machines[0].pk if machines else ""}


def tagged_out(snapshot: ShopSnapshot) -> list[Machine]:
    return [
        machine
        for machine in snapshot.matrix.machines
        if (state := snapshot.out_of_use.get(machine.pk)) and state.tag_out
    ]


def tag(form: TagForm) -> FinishedPrint:
    machine = form.tagged_out[form.cleaned_data["machine"]]
    row = form.snapshot.out_of_use[machine.pk].tag_out
    assert row is not None  # noqa: S101  only machines with a tag-out can be chosen
    address = f"{settings.SITE_URL}{reverse('machine', args=[machine.pk])}".upper()
    return FinishedPrint(upkeep.tag(tag_of(row, machine, address)), 1, 0.0, A6)


class InspectionForm(SheetForm):
    """The lists of one interval for every machine of the shop."""

    interval = forms.ChoiceField(
        label=_lazy("Inspection"), choices=[(each.value, _lazy(INTERVAL_WORDS[each])) for each in Interval]
    )
    paper = forms.ChoiceField(label=_lazy("Paper"), choices=papers("letter", "a4"))

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        """The first inspection that has lines for a machine of the shop."""
        listed = (each for each in Interval if inspection_sheet(snapshot.shop, each, snapshot.at).machines)
        return {"paper": usual_paper(), "interval": next(listed, next(iter(Interval))).value}

    def clean(self) -> None:
        if "interval" in self.cleaned_data:
            interval = Interval(self.cleaned_data["interval"])
            self.sheet = inspection_sheet(self.snapshot.shop, interval, self.snapshot.at)
            if not self.sheet.machines:
                raise forms.ValidationError(_("No machine of this shop has lines for this inspection."))


def inspection(form: InspectionForm) -> FinishedPrint:
    pdf = upkeep.inspection_sheets(form.sheet, form.paper_chosen)
    return FinishedPrint(pdf, page_count(pdf), 0.0, LETTER)
