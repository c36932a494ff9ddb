"""The forms of the Print page: one a sheet, each asking only what its sheet needs."""

import uuid
from collections.abc import Mapping, Sequence
from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _lazy

from machines.models import Machine
from machines.prints.queries import stale_pockets
from machines.prints.sheets.handouts import has_card, rules_to_post
from machines.prints.sheets.wall import ShopSnapshot
from machines.prints.slips import without_slip
from quizzes.facts import Rule
from quizzes.models import Edition
from shopsafe.conventions import usual_paper, written_distance
from shopsafe.language.messages import _, marked
from shopsafe.paper.rules.sheets import PAPERS, Paper
from shopsafe.school.models import Person, Section
from shopsafe.school.refusals import Refused
from shopsafe.school.sheet_words.queries import substitute_words_of

WHOLE_SHOP = marked("All classes of the shop")
LARGER = {"letter": "tabloid", "a4": "a3"}

type Data = QueryDict | Mapping[str, Any] | None


def distances() -> list[tuple[str, str]]:
    """How far away print may be wanted to be read, in meters; named as the school names distances."""
    return [(metres, written_distance(float(metres))) for metres in ("2", "3", "4", "6")]


def papers(*codes: str) -> list[tuple[str, str | Promise]]:
    return [(code, _lazy(PAPERS[code].name)) for code in codes]


class SheetForm(forms.Form):
    """What every sheet asks: which paper. `snapshot` is the shop it is made for; what is not in it can't be chosen."""

    paper = forms.ChoiceField(label=_lazy("Paper"), choices=papers("letter", "a4"))

    field_order = ("machine", "section", "rule", "which", "paper", "metres")

    def __init__(self, data: Data = None, *, snapshot: ShopSnapshot) -> None:
        self.snapshot = snapshot
        super().__init__(data, label_suffix="")
        self.fill()

    def fill(self) -> None:
        """Puts the shop's own classes and machines into the fields."""

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        """What is in the form when it is opened; `section` is the class that is likely meant."""
        return {"paper": usual_paper()}

    @property
    def paper_chosen(self) -> Paper:
        return PAPERS[self.cleaned_data["paper"]]

    def _choices(self, name: str, rows: Sequence[Machine] | Sequence[Section], *first: tuple[str, str]) -> None:
        """The rows as choices of a field, which gives the row itself; an empty choice gives None."""
        rows_by_key = {str(row.pk): row for row in rows}
        field = cast(forms.TypedChoiceField, self.fields[name])
        field.choices = [*first, *((key, str(row)) for key, row in rows_by_key.items())]
        field.coerce = rows_by_key.__getitem__


def section_field(**more: Any) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(label=_lazy("Class"), empty_value=None, **more)


class OneClassForm(SheetForm):
    """A sheet of one class."""

    section = section_field(error_messages={"required": _lazy("Choose a class.")})

    def fill(self) -> None:
        self._choices("section", self.snapshot.sections)

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        return {"paper": usual_paper(), "section": section.pk if section else ""}

    @property
    def section_chosen(self) -> Section:
        return cast(Section, self.cleaned_data["section"])


class CardForm(SheetForm):
    """Wall cards: of one machine or of all, for some classes or for the whole shop."""

    machine = forms.TypedChoiceField(label=_lazy("Machine"), required=False, empty_value=None)
    section = forms.TypedMultipleChoiceField(
        label=_lazy("Classes"),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_lazy("Leave unchecked for the whole shop."),
    )
    paper = forms.ChoiceField(label=_lazy("Paper"), choices=papers("letter", "a4", "tabloid", "a3"))
    metres = forms.ChoiceField(label=_lazy("Names read from"), choices=distances)
    larger = forms.BooleanField(label=_lazy("Take the next larger paper where names don't fit"), required=False)

    def fill(self) -> None:
        machines = self.snapshot.matrix.machines
        self._choices("machine", machines, *([("", _("Every machine"))] if len(machines) > 1 else []))
        self._choices("section", self.snapshot.sections)

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        first = snapshot.matrix.machines[0].pk if snapshot.matrix.machines else ""
        return {"paper": usual_paper(), "metres": "3", "machine": first}

    @property
    def machines(self) -> list[Machine]:
        machine = self.cleaned_data["machine"]
        return [machine] if machine else self.snapshot.matrix.machines

    @property
    def sections(self) -> list[Section]:
        return cast(list[Section], self.cleaned_data["section"])

    @property
    def metres_wanted(self) -> float:
        return float(self.cleaned_data["metres"])

    @property
    def papers(self) -> list[Paper]:
        """The paper, and the larger one if it may be taken."""
        code = self.cleaned_data["paper"]
        codes = [code, LARGER[code]] if self.cleaned_data["larger"] and code in LARGER else [code]
        return [PAPERS[paper_code] for paper_code in codes]


class ChartForm(OneClassForm):
    """The wall chart of one class."""

    paper = forms.ChoiceField(label=_lazy("Paper"), choices=papers("tabloid", "letter", "a3", "a4"))
    metres = forms.ChoiceField(label=_lazy("Names read from"), choices=distances)

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        return super().at_first(snapshot, section) | {"paper": LARGER[usual_paper()], "metres": "3"}

    @property
    def metres_wanted(self) -> float:
        return float(self.cleaned_data["metres"])


class PocketForm(OneClassForm):
    """The pocket cards of one class: of everyone, or of those whose card is out of date."""

    which = forms.ChoiceField(
        label=_lazy("Whose"),
        choices=[("all", _lazy("Everybody's")), ("stale", _lazy("Those that are out of date or not printed yet"))],
    )
    backs = forms.BooleanField(label=_lazy("With backs, to print on both sides"), required=False)

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        return super().at_first(snapshot, section) | {"which": "all", "backs": "on"}


class SubstituteForm(SheetForm):
    """The substitute sheet of a class, or of the whole shop."""

    section = section_field(required=False)

    def fill(self) -> None:
        self._choices("section", self.snapshot.sections, ("", _(WHOLE_SHOP)))

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        return {"paper": usual_paper(), "section": section.pk if section else ""}

    def clean(self) -> None:
        if not substitute_words_of(self.snapshot.shop).has_number:
            raise forms.ValidationError(
                _("Add a phone number first: “Change its words”, below. The sheet says who to call.")
            )


class AgreementPrintForm(SheetForm):
    """The safety agreement: a sheet for each student of a class, or one with blanks to copy."""

    section = section_field(required=False)

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        return {"paper": usual_paper(), "section": section.pk if section else ""}

    def fill(self) -> None:
        self._choices("section", self.snapshot.sections, ("", _("One sheet without a name, to copy")))


class PosterForm(SheetForm):
    """One rule, large."""

    rule = forms.ChoiceField(label=_lazy("Rule"), error_messages={"required": _lazy("Choose a rule.")})
    paper = forms.ChoiceField(label=_lazy("Paper"), choices=papers("letter", "a4", "tabloid", "a3"))

    def fill(self) -> None:
        self.rules: dict[str, tuple[Edition, Rule]] = {}
        groups = []
        for edition, rules in rules_to_post(self.snapshot):
            keyed = {f"{edition.bank_id}:{rule.code}": rule for rule in rules}
            self.rules |= {key: (edition, rule) for key, rule in keyed.items()}
            groups.append((edition.bank.subject, [(key, rule.says) for key, rule in keyed.items()]))
        cast(forms.ChoiceField, self.fields["rule"]).choices = groups
        if not self.rules:
            self.fields["rule"].error_messages["required"] = _("No bank is published yet: there is no rule to print.")
        elif self.data.get("rule") == "first":
            self.data = {**self.data, "rule": next(iter(self.rules))}

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        return {"paper": usual_paper(), "rule": "first"}

    @property
    def rule_chosen(self) -> tuple[Edition, Rule]:
        return self.rules[self.cleaned_data["rule"]]


def pocket_card_students(form: PocketForm) -> list[Person]:
    """The students whose pocket cards are asked for. Refused: print.no one."""
    people = form.snapshot.members_of([form.section_chosen])
    students = [student for student in form.snapshot.matrix.students if student.pk in people]
    if form.cleaned_data["which"] == "stale":
        stale = stale_pockets(form.snapshot, students)
        students = [student for student in students if student.pk in stale]
    with_machines = [student for student in students if has_card(form.snapshot, student)]
    if not with_machines:
        reason = _("Every pocket card of this class is right.") if people else _("No one is in this class yet.")
        if students:
            reason = _("These students may use no machine now. Collect the cards that they carry.")
        raise Refused("print.nobody", f"{reason} {_('There is nothing to print.')}")
    return with_machines


# --- sets ------------------------------------------------------------------------------------------------------------


class SetForm(SheetForm):
    """Many sheets in one file, made in the background. Sent twice, it is one set."""

    paper = None  # type: ignore[assignment]  # where a set has its own
    key = forms.UUIDField(widget=forms.HiddenInput, error_messages={"required": _lazy("Open this page again.")})

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        return super().at_first(snapshot, section) | {"key": uuid.uuid4()}

    def asked(self) -> dict[str, Any]:
        """What the act wants, from a form that is valid."""
        return {"key": self.cleaned_data["key"], "section": None, "wants": {}}


class MondayForm(SetForm):
    """A shop's charts, cards and substitute sheets, and what its students carry."""

    paper = forms.ChoiceField(  # type: ignore[assignment]  # this set has one
        label=_lazy("Paper"),
        choices=[("letter", _lazy("Letter, and tabloid for charts")), ("a4", _lazy("A4, and A3 for charts"))],
    )
    metres = forms.ChoiceField(label=_lazy("Names read from"), choices=distances)
    pockets = forms.BooleanField(label=_lazy("Pocket cards that are new or out of date"), required=False)
    slips = forms.BooleanField(label=_lazy("Sign-in slips for students who have none"), required=False)

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        return super().at_first(snapshot, section) | {"metres": "3"}

    def asked(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        slips = [pk for section in self.snapshot.sections for pk in without_slip(section)] if cleaned["slips"] else []
        wants = {"paper": cleaned["paper"], "metres": cleaned["metres"], "pockets": cleaned["pockets"], "slips": slips}
        return super().asked() | {"wants": wants}


class EvidenceForm(SetForm):
    """The evidence file of every student of a class, on letter as when one is made alone."""

    section = section_field(error_messages={"required": _lazy("Choose a class.")})

    def fill(self) -> None:
        self._choices("section", self.snapshot.sections)

    @classmethod
    def at_first(cls, snapshot: ShopSnapshot, section: Section | None) -> dict[str, Any]:
        return super().at_first(snapshot, section) | {"section": section.pk if section else ""}

    def asked(self) -> dict[str, Any]:
        return super().asked() | {"section": self.cleaned_data["section"]}
