"""Pages of figures: how good the questions of a bank are, which rules to reteach, and the warm-up for tomorrow."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from quizzes.access import banks_for
from quizzes.figures import queries
from quizzes.figures.acts import add_figures
from quizzes.figures.forms import AddFiguresForm
from quizzes.figures.rules.counts_file import MOST_BYTES, write_counts
from quizzes.figures.rules.difficulty import difficulty_page
from quizzes.figures.rules.question_page import quality_page, question_page
from quizzes.figures.rules.reteaching import met_and_missed, reteaching
from quizzes.figures.warm_up_page import WarmUpPage, warm_up_page, warm_up_pdf
from quizzes.models import Bank
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import page_moment
from shopsafe.school.models import Section, Term
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.people.classes import students_of
from shopsafe.school.places.queries import term_at


@role("teacher")
@require_safe
def bank_figures(request: SignedInRequest, bank: int) -> HttpResponse:
    """How good the questions of a bank are: those to fix first."""
    stored_bank = access.one_of(banks_for(request.user), pk=bank)
    context = {"bank": stored_bank, "page": quality_page(queries.figures_of(stored_bank))}
    return render(request, "quizzes/figures/bank.html", context)


@role("teacher")
@require_safe
def bank_difficulty(request: SignedInRequest, bank: int) -> HttpResponse:
    """How hard the questions are, on one scale though students met different ones."""
    stored_bank = access.one_of(banks_for(request.user), pk=bank)
    text = queries.latest_text(stored_bank)
    page = difficulty_page(text, queries.first_responses_of(stored_bank, text))
    return render(request, "quizzes/figures/difficulty.html", {"bank": stored_bank, "page": page})


@role("teacher")
@require_safe
def figures_file(request: SignedInRequest, bank: int) -> HttpResponse:
    """The counts of a bank to send to another school: no student is in them."""
    stored_bank = access.one_of(banks_for(request.user).select_related("school"), pk=bank)
    content = write_counts(stored_bank.code, queries.counts_to_send(stored_bank))
    headers = {"Content-Disposition": f'attachment; filename="{stored_bank.code}-figures.json"'}
    return HttpResponse(content, content_type="application/json", headers=headers)


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def figures_add(request: SignedInRequest, bank: int) -> HttpResponse:
    """Adds the figures of another school from a file."""
    stored_bank = access.one_of(banks_for(request.user), pk=bank)
    form = AddFiguresForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        with refused_on(form):
            added = add_figures(by=request.user, bank=bank, name=file.name, content=file.read(MOST_BYTES + 1))
            messages.success(request, _("Figures of {number} first tries added.", number=added.students))
            return redirect("bank-figures", bank)
    context = {"bank": stored_bank, "form": form, "added": stored_bank.added_counts.order_by("-at")}
    return render(request, "quizzes/figures/add.html", context, status=status_of(form))


@role("teacher")
@require_safe
def question_figures(request: SignedInRequest, bank: int, question: str) -> HttpResponse:
    """What the answers say about one question, in plain words first."""
    stored_bank = access.one_of(banks_for(request.user), pk=bank)
    figures = queries.figures_of(stored_bank)
    if question not in figures.histories:
        raise Http404
    edition = stored_bank.editions.order_by("-number").values_list("number", flat=True).first()
    context = {"bank": stored_bank, "page": question_page(figures, question), "edition": edition}
    return render(request, "quizzes/figures/question.html", context)


@role("teacher")
@require_safe
def reteach(request: SignedInRequest, section: int) -> HttpResponse:
    """Which rules of one quiz the class missed the first time."""
    stored_section = access.section_for(request.user, section)
    students = students_of(stored_section, page_moment(request))
    banks = queries.tried_banks(students, stored_section)
    bank = _chosen(request, banks)
    context = {"section": stored_section, "banks": banks, "bank": bank, "students": len(students)}
    if bank:
        tries = queries.tries_of(students, bank)
        before = _last_term(bank, stored_section.term)
        page = reteaching(queries.latest_text(bank), met_and_missed(tries.tries), len(tries.tries), before)
        context |= {"page": page, "edition": tries.edition}
    return render(request, "quizzes/figures/reteach.html", context)


def _chosen(request: SignedInRequest, banks: list[Bank]) -> Bank | None:
    """Return the bank in the address, or the one tried last; a number that is none of them is a 404."""
    bank_pk = request.GET.get("bank", "")
    if not bank_pk:
        return max(banks, key=lambda bank: bank.last_tried, default=None)  # type: ignore[attr-defined]
    bank = next((bank for bank in banks if str(bank.pk) == bank_pk), None)
    if bank is None:
        raise Http404
    return bank


def _last_term(bank: Bank, term: Term | None) -> dict[str, tuple[int, int]]:
    earlier = queries.term_before(term) if term else None
    return queries.rules_missed(bank, earlier) if earlier else {}


@role("teacher")
@require_safe
def bank_reteach(request: SignedInRequest, bank: int) -> HttpResponse:
    """Which rules of a bank all classes of the school missed the first time, this term."""
    stored_bank = access.one_of(banks_for(request.user).select_related("school"), pk=bank)
    at = page_moment(request)
    term = term_at(request.user, local_day(at, stored_bank.school.time_zone))
    counts = queries.rules_missed(stored_bank, term)
    tried = queries.students_tried(stored_bank, term)
    page = reteaching(queries.latest_text(stored_bank), counts, tried, _last_term(stored_bank, term))
    context = {"bank": stored_bank, "page": page, "term": term, "whole_school": True}
    return render(request, "quizzes/figures/bank_reteach.html", context)


@role("teacher")
@require_safe
def warm_up(request: SignedInRequest, section: int) -> HttpResponse:
    """The warm-up for the next lesson: a poster, five sentences with a blank, and who sits together."""
    stored_section = access.section_for(request.user, section)
    page = _warm_up(request, stored_section)
    if not page.warm_up.poster:
        return redirect("reteach", section)
    return render(request, "quizzes/figures/warm_up.html", {"section": stored_section, "page": page})


@role("teacher")
@require_safe
def warm_up_sheet(request: SignedInRequest, section: int) -> HttpResponse:
    """The poster and the sentences to print. No student's name is on it."""
    stored_section = access.section_for(request.user, section)
    page = _warm_up(request, stored_section)
    if not page.warm_up.poster:
        raise Http404
    headers = {"Content-Disposition": 'inline; filename="Warm-up.pdf"'}
    return HttpResponse(
        warm_up_pdf(page, stored_section, page_moment(request)), content_type="application/pdf", headers=headers
    )


def _warm_up(request: SignedInRequest, section: Section) -> WarmUpPage:
    students = students_of(section, page_moment(request))
    bank = _chosen(request, queries.tried_banks(students, section))
    if bank is None:
        raise Http404
    return warm_up_page(bank, students, request.GET.getlist("rule"))
