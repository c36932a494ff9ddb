"""What a plan and a rotation are asked for, and how long demonstrations take."""

from django import forms
from django.utils.translation import gettext_lazy as _lazy

from machines.planning.facts import LARGEST_GROUP
from shopsafe.language.messages import _

MINUTES, SLOTS, SLOT_MINUTES = 40, 4, 10  # as the pages open: a period of 40 minutes
MOST_MINUTES = 240


class PlanForm(forms.Form):
    minutes = forms.IntegerField(label=_lazy("Minutes for demonstrations"), min_value=1, max_value=MOST_MINUTES)


class RotationForm(forms.Form):
    slots = forms.IntegerField(label=_lazy("Number of turns"), min_value=1, max_value=8)
    minutes = forms.IntegerField(label=_lazy("Minutes a turn"), min_value=1, max_value=120)


class DemonstrationTimeForm(forms.Form):
    """One row of the page: one machine type."""

    minutes = forms.IntegerField(label=_lazy("Minutes for a group"), min_value=0, max_value=60)
    minutes_each = forms.IntegerField(label=_lazy("And for each student"), min_value=0, max_value=30)
    group_size = forms.IntegerField(label=_lazy("Students at a time"), min_value=1, max_value=LARGEST_GROUP)

    def clean(self) -> dict[str, int]:
        cleaned = self.cleaned_data
        if not self.errors and not cleaned["minutes"] + cleaned["minutes_each"]:
            self.add_error("minutes", _("A demonstration takes at least a minute: for the group, or for each student."))
        return cleaned
