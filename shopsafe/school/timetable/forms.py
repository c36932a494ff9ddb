"""The forms of the timetable: when a class meets, the day cycle, a day off."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from shopsafe.conventions import SHORT_WEEKDAYS
from shopsafe.language.messages import _
from shopsafe.school.pages.form_parts import DayInput
from shopsafe.school.pages.name_field import NameField
from shopsafe.school.timetable.acts import MOST_TIMES, NewTime
from shopsafe.school.timetable.facts import Cycle

WEEKDAYS = [(str(day), gettext_lazy(name)) for day, name in enumerate(SHORT_WEEKDAYS[:5])]


class ClockInput(forms.TimeInput):
    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M", attrs={"class": "box low"})


class MeetingTimeForm(forms.Form):
    """One row; a row without times is no meeting time."""

    weekdays = forms.MultipleChoiceField(
        label=gettext_lazy("Days"), choices=WEEKDAYS, required=False, widget=forms.CheckboxSelectMultiple
    )
    cycle_days = forms.MultipleChoiceField(
        label=gettext_lazy("Cycle days"), required=False, widget=forms.CheckboxSelectMultiple
    )
    begins = forms.TimeField(label=gettext_lazy("Begins"), required=False, widget=ClockInput)
    ends = forms.TimeField(label=gettext_lazy("Ends"), required=False, widget=ClockInput)

    def __init__(self, *args: Any, cycle: Cycle | None, **more: Any) -> None:
        super().__init__(*args, **more)
        if cycle is None:
            del self.fields["cycle_days"]
        else:
            names = [(str(place), name) for place, name in enumerate(cycle.names)]
            self.fields["cycle_days"].choices = names  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        begins, ends = cleaned.get("begins"), cleaned.get("ends")
        if not self.errors and (begins is None) != (ends is None):
            if ends is None:
                self.add_error("ends", _("Enter when the class ends, or clear both times to remove this row."))
            else:
                self.add_error("begins", _("Enter when the class begins, or clear both times to remove this row."))
        return cleaned

    def new_time(self) -> NewTime | None:
        """What the row asks for; None where it is empty."""
        cleaned = self.cleaned_data
        if cleaned.get("begins") is None:
            return None
        days = {name: tuple(map(int, cleaned.get(name) or ())) for name in ("weekdays", "cycle_days")}
        return NewTime(cleaned["begins"], cleaned["ends"], **days)


MeetingTimes = forms.formset_factory(
    MeetingTimeForm, extra=1, max_num=MOST_TIMES, absolute_max=MOST_TIMES, validate_max=True
)


class CycleForm(forms.Form):
    names = forms.CharField(
        label=gettext_lazy("Days of the cycle, in order"),
        help_text=gettext_lazy("With commas, such as A, B. Empty for no cycle."),
        max_length=120,
        required=False,
    )
    unit = forms.ChoiceField(
        label=gettext_lazy("The cycle moves on"),
        choices=[("day", gettext_lazy("Every school day")), ("week", gettext_lazy("Every week"))],
        widget=forms.RadioSelect,
        initial="day",
    )
    day = forms.DateField(
        label=gettext_lazy("A school day"),
        widget=DayInput,
        error_messages={
            "required": gettext_lazy("Enter a school day."),
            "invalid": gettext_lazy("Enter a date, such as 2026-09-08."),
        },
    )
    place = forms.CharField(
        label=gettext_lazy("Cycle day on that day"), help_text=gettext_lazy("Such as A."), max_length=20, required=False
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        names = [name.strip() for name in cleaned.get("names", "").split(",") if name.strip()]
        if names and cleaned.get("place", "").strip() not in names:
            self.add_error("place", _("Enter one of: {names}.", names=", ".join(names)))
        return cleaned

    def asked(self) -> dict[str, Any]:
        names = [name.strip() for name in self.cleaned_data["names"].split(",") if name.strip()]
        place = names.index(self.cleaned_data["place"].strip()) if names else 0
        return {"names": names, "unit": self.cleaned_data["unit"], "day": self.cleaned_data["day"], "place": place}


class DayOffForm(forms.Form):
    day = forms.DateField(
        label=gettext_lazy("Day without school"),
        widget=DayInput,
        error_messages={
            "required": gettext_lazy("Enter the day."),
            "invalid": gettext_lazy("Enter a date, such as 2026-11-26."),
        },
    )
    name = NameField(
        label=gettext_lazy("Why"), help_text=gettext_lazy("Such as Thanksgiving."), max_length=80, required=False
    )
