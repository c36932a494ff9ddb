"""What the Print page offers: each sheet with its form, how it is made, and how it is looked at before.

To add a sheet, add it here. Sign-in slips and incident reports have pages of their own, to which the Print page links.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _lazy

from machines.prints import rendering
from machines.prints.queries import likely_class
from machines.prints.room import distances
from machines.prints.room.at_machine import InspectionForm, TagForm, inspection, tag
from machines.prints.room.distances import AS_LONG_AS_A_CODE as LOOKED_AT
from machines.prints.room.forms import (
    AgreementPrintForm,
    CardForm,
    ChartForm,
    EvidenceForm,
    MondayForm,
    PocketForm,
    PosterForm,
    SetForm,
    SheetForm,
    SubstituteForm,
    pocket_card_students,
)
from machines.prints.sheets import handouts as sheets_handouts
from machines.prints.sheets import substitute
from machines.prints.sheets.handouts import pocket_card, pocket_cards, rule_poster
from machines.prints.sheets.wall import PREVIEW, ShopSnapshot
from shopsafe.language.messages import _, marked
from shopsafe.paper import handouts, prints
from shopsafe.paper.setting import FinishedPrint
from shopsafe.school.models import Person


class PrintGroup(StrEnum):
    """What the offers stand under."""

    WALL = marked("On the wall")
    HANDED_OUT = marked("To hand out")
    AT_MACHINE = marked("At the machine")
    SET = marked("Many at once")

    @property
    def words(self) -> str:
        return _(self.value)


@dataclass(frozen=True)
class PrintOption:
    """One sheet of the Print page. `look` records nothing; `make` puts a posted or carried print under a code. A set of
    sheets has neither: it is made in the background.
    """

    code: str
    name: str | Promise
    about: str | Promise
    group: PrintGroup
    form: type[SheetForm]
    look: Callable[[Any], FinishedPrint] | None = None
    make: Callable[[Any, Person], FinishedPrint] | None = None
    reads: Callable[[Any], str] | None = None  # from how far it will read, in words
    words: str = ""  # which of the shop's own words are on it
    recorded: bool = False

    @property
    def is_set(self) -> bool:
        return self.look is None

    def distance(self, form: SheetForm) -> str:
        """From how far the sheet of a valid form will read."""
        return self.reads(form) if self.reads else ""


def look_at_cards(form: CardForm) -> FinishedPrint:
    cards = [form.snapshot.card(machine, form.sections)[0] for machine in form.machines]
    addressed_cards = [replace(card, url=rendering.check_address(LOOKED_AT)) for card in cards]
    return prints.wall_cards(addressed_cards, *form.papers, metres=form.metres_wanted)


def make_cards(form: CardForm, by: Person) -> FinishedPrint:
    rendered = rendering.draw_cards(
        form.snapshot, form.machines, form.sections, form.papers, by=by, metres=form.metres_wanted
    )
    return rendering.record_codes(rendered, by=by)


def look_at_chart(form: ChartForm) -> FinishedPrint:
    chart = replace(form.snapshot.chart(form.section_chosen)[0], url=rendering.check_address(LOOKED_AT))
    return prints.wall_chart(chart, form.paper_chosen, metres=form.metres_wanted)


def make_chart(form: ChartForm, by: Person) -> FinishedPrint:
    rendered = rendering.draw_chart(
        form.snapshot, form.section_chosen, form.paper_chosen, by=by, metres=form.metres_wanted
    )
    return rendering.record_codes(rendered, by=by)


def look_at_pockets(form: PocketForm) -> FinishedPrint:
    cards = [pocket_card(form.snapshot, student)[0] for student in pocket_card_students(form)]
    addressed_cards = [replace(card, code=PREVIEW, url=rendering.check_address(LOOKED_AT)) for card in cards]
    sheet = pocket_cards(form.snapshot, form.section_chosen, addressed_cards, backs=form.cleaned_data["backs"])
    return handouts.pocket_cards(sheet, form.paper_chosen)


def make_pockets(form: PocketForm, by: Person) -> FinishedPrint:
    backs = form.cleaned_data["backs"]
    rendered = rendering.draw_pocket_cards(
        form.snapshot, form.section_chosen, pocket_card_students(form), form.paper_chosen, backs=backs, by=by
    )
    return rendering.record_codes(rendered, by=by)


def substitute_sheet(form: SubstituteForm) -> FinishedPrint:
    sheet = substitute.substitute_sheet(form.snapshot, form.cleaned_data["section"])
    return handouts.substitute_sheet(sheet, form.paper_chosen)


def agreement(form: AgreementPrintForm) -> FinishedPrint:
    section = form.cleaned_data["section"]
    people = form.snapshot.members_of([section]) if section else set()
    students = [student for student in form.snapshot.matrix.students if student.pk in people]
    name = section.name if section else ""
    return handouts.agreement(sheets_handouts.agreement(form.snapshot, students, name), form.paper_chosen)


def poster(form: PosterForm) -> FinishedPrint:
    return handouts.rule_posters(rule_poster(form.snapshot, *form.rule_chosen), form.paper_chosen)


def without_record(look: Callable[[Any], FinishedPrint]) -> Callable[[Any, Person], FinishedPrint]:
    """A sheet that says nothing which goes out of date on a wall: it is made as it is looked at."""
    return lambda form, by: look(form)


OFFERS = {
    offer.code: offer
    for offer in (
        PrintOption(
            "wall-card",
            _lazy("Wall card"),
            _lazy("One machine: who may use it, its rules, how to stop it."),
            PrintGroup.WALL,
            CardForm,
            look_at_cards,
            make_cards,
            distances.card_distance,
            recorded=True,
        ),
        PrintOption(
            "wall-chart",
            _lazy("Wall chart"),
            _lazy("One class and every machine. Only the full wheel prints; blank means no."),
            PrintGroup.WALL,
            ChartForm,
            look_at_chart,
            make_chart,
            distances.chart_distance,
            recorded=True,
        ),
        PrintOption(
            "rule-poster",
            _lazy("Rule poster"),
            _lazy("One rule, large, with its reason and its drawing."),
            PrintGroup.WALL,
            PosterForm,
            poster,
            without_record(poster),
            distances.poster,
        ),
        PrintOption(
            "pocket-cards",
            _lazy("Pocket cards"),
            _lazy("What each student may use, on a card to carry."),
            PrintGroup.HANDED_OUT,
            PocketForm,
            look_at_pockets,
            make_pockets,
            distances.pocket_cards,
            recorded=True,
        ),
        PrintOption(
            "substitute-sheet",
            _lazy("Substitute sheet"),
            _lazy("One page: what may run today, who may use what, who to call."),
            PrintGroup.HANDED_OUT,
            SubstituteForm,
            substitute_sheet,
            without_record(substitute_sheet),
            distances.substitute_sheet,
            words="substitute",
        ),
        PrintOption(
            "safety-agreement",
            _lazy("Safety agreement"),
            _lazy("The rules of the shop, for student and guardian to sign."),
            PrintGroup.HANDED_OUT,
            AgreementPrintForm,
            agreement,
            without_record(agreement),
            distances.agreement,
            words="agreement",
        ),
        PrintOption(
            "tag",
            _lazy("Tag"),
            _lazy("For a machine that is tagged out: “Do not start”, the reason, the day and the name. A6."),
            PrintGroup.AT_MACHINE,
            TagForm,
            tag,
            without_record(tag),
        ),
        PrintOption(
            "inspection-sheets",
            _lazy("Inspection sheets"),
            _lazy("The lists of one inspection, to fill in at each machine."),
            PrintGroup.AT_MACHINE,
            InspectionForm,
            inspection,
            without_record(inspection),
        ),
    )
}


SETS = {
    offer.code: offer
    for offer in (
        PrintOption(
            "monday",
            _lazy("Everything for Monday"),
            _lazy(
                "A chart for each class, a card for each machine, and what is handed out: in one "
                "file, made while you do something else."
            ),
            PrintGroup.SET,
            MondayForm,
        ),
        PrintOption(
            "evidence",
            _lazy("Evidence files"),
            _lazy("Everything recorded on each student of a class, in one file. That you took it out is recorded too."),
            PrintGroup.SET,
            EvidenceForm,
        ),
    )
}
# Offered where the page says what is out of date, and nowhere else.
STALE = PrintOption("stale", _lazy("What is out of date on the wall"), "", PrintGroup.SET, SetForm)
ALL = OFFERS | SETS


def option_form(offer: PrintOption, snapshot: ShopSnapshot, by: Person, data: Any = None) -> SheetForm:
    """The form as it was sent, or as it is when it is opened."""
    return offer.form(data or offer.form.at_first(snapshot, likely_class(snapshot, by)), snapshot=snapshot)
