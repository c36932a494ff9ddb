"""The forms of the timetable: when a class meets, the day cycle, a day off."""

from typing import Any

from django import forms

from shopsafe.school.pages.form_parts import DayInput
from shopsafe.school.pages.name_field import NameField
from shopsafe.school.timetable.acts import MOST_TIMES, NewTime
from shopsafe.school.timetable.facts import Cycle

WEEKDAYS = (("0", "Mon"), ("1", "Tue"), ("2", "Wed"), ("3", "Thu"), ("4", "Fri"))


class ClockInput(forms.TimeInput):
    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M", attrs={"class": "box low"})


class MeetingTimeForm(forms.Form):
    """One row; a row without times is no meeting time."""

    weekdays = forms.MultipleChoiceField(
        label="Days", choices=WEEKDAYS, required=False, widget=forms.CheckboxSelectMultiple
    )
    cycle_days = forms.MultipleChoiceField(label="Cycle days", required=False, widget=forms.CheckboxSelectMultiple)
    begins = forms.TimeField(label="Begins", required=False, widget=ClockInput)
    ends = forms.TimeField(label="Ends", required=False, widget=ClockInput)

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
            missing = "ends" if ends is None else "begins"
            self.add_error(missing, f"Enter when the class {missing}, or clear both times to remove this row.")
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
        label="Days of the cycle, in order",
        help_text="With commas, such as A, B. Empty for no cycle.",
        max_length=120,
        required=False,
    )
    unit = forms.ChoiceField(
        label="The cycle moves on",
        choices=[("day", "Every school day"), ("week", "Every week")],
        widget=forms.RadioSelect,
        initial="day",
    )
    day = forms.DateField(
        label="A school day",
        widget=DayInput,
        error_messages={"required": "Enter a school day.", "invalid": "Enter a date, such as 2026-09-08."},
    )
    place = forms.CharField(label="Cycle day on that day", help_text="Such as A.", max_length=20, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        names = [name.strip() for name in cleaned.get("names", "").split(",") if name.strip()]
        if names and cleaned.get("place", "").strip() not in names:
            self.add_error("place", f"Enter one of: {', '.join(names)}.")
        return cleaned

    def asked(self) -> dict[str, Any]:
        names = [name.strip() for name in self.cleaned_data["names"].split(",") if name.strip()]
        place = names.index(self.cleaned_data["place"].strip()) if names else 0
        return {"names": names, "unit": self.cleaned_data["unit"], "day": self.cleaned_data["day"], "place": place}


class DayOffForm(forms.Form):
    day = forms.DateField(
        label="Day without school",
        widget=DayInput,
        error_messages={"required": "Enter the day.", "invalid": "Enter a date, such as 2026-11-26."},
    )
    name = NameField(label="Why", help_text="Such as Thanksgiving.", max_length=80, required=False)
