"""The forms of the print room."""

from collections.abc import Sequence

from django import forms
from django.http import QueryDict

from machines.models import Machine
from shopsafe.paper.sheets import PAPERS, Paper
from shopsafe.school.models import Section, Shop

WHOLE_SHOP = "All classes of the shop"
DISTANCES = [("2", "2 m"), ("3", "3 m"), ("4", "4 m"), ("6", "6 m")]
WALL_PAPERS = [(code, PAPERS[code].name) for code in ("letter", "a4", "tabloid", "a3")]
CHART_PAPERS = [(code, PAPERS[code].name) for code in ("tabloid", "a3")]
LARGER = {"letter": "tabloid", "a4": "a3"}


type Data = QueryDict | None


class CardForm(forms.Form):
    """What the wall card of one machine is made for."""

    machine = forms.ModelChoiceField(Machine.objects.none(), label="Machine", empty_label=None)
    section = forms.ModelChoiceField(Section.objects.none(), label="Class", required=False, empty_label=WHOLE_SHOP)
    paper = forms.ChoiceField(label="Paper", choices=WALL_PAPERS)
    metres = forms.ChoiceField(label="Names read from", choices=DISTANCES, initial="3")
    larger = forms.BooleanField(label="Take the next larger paper where names don't fit", required=False)

    def __init__(
        self, data: Data = None, *, shop: Shop, machines: Sequence[Machine], sections: Sequence[Section]
    ) -> None:
        super().__init__(data, auto_id=f"card-{shop.pk}-%s")
        kept = Machine.objects.filter(pk__in=[one.pk for one in machines]).select_related("kind", "shop__school")
        self.fields["machine"].queryset = kept  # type: ignore[attr-defined]  # made a ModelChoiceField above
        self.fields["section"].queryset = Section.objects.filter(pk__in=[one.pk for one in sections])  # type: ignore[attr-defined]

    @property
    def papers(self) -> list[Paper]:
        """The paper, and the larger one if it may be taken."""
        code = self.cleaned_data["paper"]
        codes = [code, LARGER[code]] if self.cleaned_data["larger"] and code in LARGER else [code]
        return [PAPERS[one] for one in codes]


class ChartForm(forms.Form):
    """What the wall chart of one class is made for."""

    section = forms.ModelChoiceField(Section.objects.none(), label="Class", empty_label=None)
    paper = forms.ChoiceField(label="Paper", choices=CHART_PAPERS)
    metres = forms.ChoiceField(label="Names read from", choices=DISTANCES, initial="3")

    def __init__(self, data: Data = None, *, shop: Shop, sections: Sequence[Section]) -> None:
        super().__init__(data, auto_id=f"chart-{shop.pk}-%s")
        rows = Section.objects.filter(pk__in=[one.pk for one in sections])
        self.fields["section"].queryset = rows.select_related("shop__school", "school", "term")  # type: ignore[attr-defined]
