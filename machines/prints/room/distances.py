"""From how far a sheet will read, said on its form before it is made: from its plan, nothing is drawn."""

from collections.abc import Sequence
from dataclasses import replace

from django.utils.text import capfirst

from machines.prints import rendering
from machines.prints.room.forms import (
    LARGER,
    AgreementPrintForm,
    CardForm,
    ChartForm,
    PocketForm,
    PosterForm,
    SubstituteForm,
    pocket_card_students,
)
from machines.prints.sheets import handouts as sheets_handouts
from machines.prints.sheets import substitute
from machines.prints.sheets.handouts import pocket_card, rule_poster
from shopsafe.conventions import written_distance
from shopsafe.language.messages import _, counted, marked
from shopsafe.paper import handouts, prints
from shopsafe.paper.rules.legibility import HAIR
from shopsafe.paper.rules.sheets import PAPERS, Paper, WallCard
from shopsafe.paper.setting import LayoutResult
from shopsafe.school.refusals import Refused

AS_LONG_AS_A_CODE = "PREV-23"  # so that its square takes as much room
NAMES_READ = marked("Names and machines read from {distance} on {paper}.")
SHEET_READS = marked("The sheet reads from {distance} on {paper}.")
RULE_READS = marked("The rule reads from {distance} on {paper}.")


def card_distance(form: CardForm) -> str:
    """The chosen paper, and the next larger as well, where it isn't taken already."""
    address = rendering.check_address(AS_LONG_AS_A_CODE)
    cards = [replace(form.snapshot.card(machine, form.sections)[0], url=address) for machine in form.machines]
    named = [card for card in cards if card.names]
    if not named:
        if len(cards) == 1:
            return _("No one's name is on it: there is no one to be named yet.")
        return _("No one's name is on any of them: there is no one to be named yet.")
    papers = [form.papers]
    if len(form.papers) == 1:
        papers = [[paper] for paper in _with_larger(form.papers[0])]
    return names_read([_least(named, paper_group, form.metres_wanted) for paper_group in papers], form.metres_wanted)


def _with_larger(paper: Paper) -> list[Paper]:
    return [paper, PAPERS[LARGER[paper.code]]] if paper.code in LARGER else [paper]


def _least(named: Sequence[WallCard], papers: Sequence[Paper], metres: float) -> LayoutResult:
    """What the least legible of the cards comes out as."""
    plans = (prints.wall_card_reads(card, *papers, metres=metres) for card in named)
    return min(plans, key=lambda plan: plan.reads)


def chart_distance(form: ChartForm) -> str:
    chart = replace(form.snapshot.chart(form.section_chosen)[0], url=rendering.check_address(AS_LONG_AS_A_CODE))
    if not chart.rows:
        return _("No one is in this class yet.")
    asked = form.metres_wanted
    plans = [prints.wall_chart_reads(chart, paper, metres=asked) for paper in _with_larger(form.paper_chosen)]
    return names_read(plans if plans[0].reads + HAIR < asked else plans[:1], asked)


def names_read(plans: Sequence[LayoutResult], metres: float) -> str:
    """ "Names read from 3.1 m on letter, 4.4 m on tabloid; the distance asked for: 3 m." Where the chosen paper, the
    first, falls short, the sentence after it names the paper that would do."""
    sentence = _(
        "Names read from {distances}; the distance asked for: {distance}.",
        distances=", ".join(_read_on(plan) for plan in plans),
        distance=written_distance(metres),
    )
    return f"{sentence} {_shortfall(plans, metres)}".strip()


def _read_on(plan: LayoutResult) -> str:
    """ "10 ft on letter", or "12 ft on tabloid (on 2 sheets)"."""
    distance, paper = written_distance(plan.reads), _paper(plan.paper)
    if plan.sheets < 2:
        return _("{distance} on {paper}", distance=distance, paper=paper)
    return counted(
        "{distance} on {paper} (on {count} sheet)",
        "{distance} on {paper} (on {count} sheets)",
        count=plan.sheets,
        distance=distance,
        paper=paper,
    )


def _shortfall(plans: Sequence[LayoutResult], metres: float) -> str:
    if plans[0].reads + HAIR >= metres:
        return ""
    enough = [plan for plan in plans if plan.reads + HAIR >= metres]
    if enough:
        paper, larger = _paper(plans[0].paper), _paper(enough[0].paper)
        return capfirst(_("{paper} is too small for that: choose {larger}.", paper=paper, larger=larger))
    return _("No paper here is large enough for that distance: the sheet will say the shorter one.")


def _paper(paper: Paper) -> str:
    return paper.name if paper.name[-1].isdigit() else paper.name.lower()


def pocket_cards(form: PocketForm) -> str:
    try:
        students = pocket_card_students(form)
    except Refused as nobody:
        return nobody.sentence
    cards = [pocket_card(form.snapshot, student)[0] for student in students]
    sheet = sheets_handouts.pocket_cards(form.snapshot, form.section_chosen, cards, backs=False)
    return _reads(NAMES_READ, handouts.pocket_cards_read(sheet), form.paper_chosen)


def substitute_sheet(form: SubstituteForm) -> str:
    sheet = substitute.substitute_sheet(form.snapshot, form.cleaned_data["section"])
    return _reads(SHEET_READS, handouts.substitute_sheet_reads(sheet, form.paper_chosen), form.paper_chosen)


def agreement(form: AgreementPrintForm) -> str:
    sheet = sheets_handouts.agreement(form.snapshot, ())
    return _reads(SHEET_READS, handouts.agreement_reads(sheet, form.paper_chosen), form.paper_chosen)


def poster(form: PosterForm) -> str:
    sheet = rule_poster(form.snapshot, *form.rule_chosen)
    return _reads(RULE_READS, handouts.rule_posters_read(sheet, form.paper_chosen), form.paper_chosen)


def _reads(sentence: str, metres: float, paper: Paper) -> str:
    return _(sentence, distance=written_distance(metres), paper=_paper(paper))
