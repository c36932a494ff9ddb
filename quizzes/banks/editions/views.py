"""A teacher of the shop reads the rules of a bank and accepts them, and sets the shop's own numbers."""

from collections.abc import Iterator, Mapping

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from quizzes.banks.editions import acts
from quizzes.banks.editions.approved import current_approval
from quizzes.banks.editions.forms import AcceptForm, AcceptReadForm, OwnValueForm, ReviewForm, WithdrawApprovalForm
from quizzes.banks.editions.queries import latest_editions
from quizzes.banks.editions.texts import first_values, replaced_values, text_of
from quizzes.banks.rules.own_numbers import other_mentions
from quizzes.facts import BankText
from quizzes.models import Edition
from quizzes.questions.translating import TABLE
from shopsafe.language.messages import _, marked
from shopsafe.paper.rules.sheets import PROTECT
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.after_sign_in import onward
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of

NAMES = ("code", "name", "pictogram")  # names and files, no words to accept
SAYS = {  # a table of a bank → what a teacher calls it
    "stop": marked("How to stop it"),
    "protect": marked("What to wear, and what to take off"),
    "pre_use": marked("Before each use"),
    "demonstration": marked("What a student shows"),
    "stop_and_ask": marked("Stop and ask if"),
    "tag_out": marked("Tag it out if"),
}
FIELD = {"value.source": "source"}
OF_AMOUNT = ("value.amount", "value.unlikely")


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def accept(request: SignedInRequest, bank: int) -> HttpResponse:
    """Every rule of the edition that is out, with its reason, source and numbers; and the statement to agree to."""
    edition = _edition(request, bank)
    form = AcceptForm(request.POST or None, initial={"edition": edition.number})
    if request.method == "POST" and form.is_valid():
        number = form.cleaned_data["edition"]
        acts.accept_bank(by=request.user, bank=bank, edition=number)
        messages.success(request, _("{bank} is accepted. Attempts count from now on.", bank=edition.bank.subject))
        return redirect(onward(request, "banks"))
    return _page(request, edition, form=form)


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def accept_several(request: SignedInRequest) -> HttpResponse:
    """Several banks in one sitting (`?bank=1&bank=2`). Each is accepted by its own mark, and those without stay."""
    editions = _to_accept(request)
    if not editions:
        return redirect(onward(request, "banks"))
    sent = request.POST if request.method == "POST" else None
    forms = [AcceptReadForm(sent, edition=edition) for edition in editions]
    marked = [form for form in forms if sent and form.is_valid() and form.cleaned_data["agree"]]
    for form in marked:
        with refused_on(form):
            acts.accept_bank(by=request.user, bank=form.bank.pk, edition=form.cleaned_data["edition"])
    accepted = [form.bank.subject for form in marked if not form.errors]
    if accepted:
        messages.success(request, _("Accepted: {banks}. Attempts count from now on.", banks=", ".join(accepted)))
    if marked and len(accepted) == len(marked):
        return redirect(request.get_full_path())
    nothing_marked = sent is not None and not marked
    context = {
        "readings": [_reading(edition) | {"form": form} for edition, form in zip(editions, forms, strict=True)],
        "here": request.get_full_path(),
        "nothing_marked": nothing_marked,
    }
    status = 422 if nothing_marked else max(status_of(form) for form in forms)
    return render(request, "quizzes/banks/editions/accept_several.html", context, status=status)


def _to_accept(request: SignedInRequest) -> list[Edition]:
    """The latest editions of the banks that were asked for, in that order, but for those that are accepted."""
    asked = _bank_ids(request)
    latest = latest_editions(request.user, page_moment(request)).filter(bank__in=asked)
    return sorted((edition for edition in latest if not edition.accepted), key=lambda it: asked.index(it.bank_id))


def _bank_ids(request: SignedInRequest) -> list[int]:
    return list(dict.fromkeys(int(bank) for bank in request.GET.getlist("bank") if bank.isdecimal() and len(bank) < 10))


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def value_own(request: SignedInRequest, bank: int, value: str) -> HttpResponse:
    """The shop's own amount of one stored value, which goes out at once as an edition of its own."""
    edition = _edition(request, bank)
    text = text_of(edition).bank
    if value not in text.value_by_code:
        raise Http404
    was = text.value_by_code[value]
    form = OwnValueForm(request.POST or None, value=was, initial={"edition": edition.number})
    if request.method == "POST" and form.is_valid():
        with refused_on(form, FIELD | dict.fromkeys(OF_AMOUNT, form.amount_fields[0].name)):
            return _set(request, edition, form)
    context = {
        "edition": edition,
        "text": text,
        "value": was,
        "back": onward(request, "rules-of-bank", bank),
        "first": first_values(edition)[value],
        "form": form,
        "named": other_mentions(text, value),
    }
    return render(request, "quizzes/banks/editions/value_own.html", context, status=status_of(form))


def _set(request: SignedInRequest, edition: Edition, form: OwnValueForm) -> HttpResponse:
    new_edition = acts.set_value(
        by=request.user,
        bank=edition.bank_id,
        edition=form.cleaned_data["edition"],
        value=form.value.code,
        own=form.own,
        earlier=form.cleaned_data["earlier"],
    )
    number = text_of(new_edition).bank.value_by_code[form.value.code]
    messages.success(request, _("{value}: {number} from now on.", value=number.says, number=number.reads))
    return redirect(onward(request, "rules-of-bank", edition.bank_id))


@role("teacher")
@require_POST
def take_back(request: SignedInRequest, bank: int) -> HttpResponse:
    edition = _edition(request, bank)
    form = WithdrawApprovalForm(request.POST)
    if not form.is_valid():
        return _page(request, edition, form=form, back=form)
    acts.take_back_acceptance(by=request.user, bank=bank, reason=form.cleaned_data["reason"])
    messages.success(request, _("{bank} is practice only from now on.", bank=edition.bank.subject))
    return redirect("bank-accept", bank)


def _edition(request: SignedInRequest, bank: int) -> Edition:
    return access.one_of(latest_editions(request.user, page_moment(request)), bank=bank)


def _page(
    request: SignedInRequest,
    edition: Edition,
    *,
    form: AcceptForm | WithdrawApprovalForm,
    back: WithdrawApprovalForm | None = None,
) -> HttpResponse:
    context = _reading(edition) | {
        "here": f"{reverse('bank-accept', args=[edition.bank_id])}?{request.GET.urlencode()}",
        "acceptance": current_approval(edition),
        "form": form,
        "back": back or WithdrawApprovalForm(),
        "reviews": edition.reviews.select_related("by", "withdrawn_by"),
        "reviewing": ReviewForm(initial={"edition": edition.number}),
    }
    return render(request, "quizzes/banks/editions/accept.html", context, status=status_of(form))


def _reading(edition: Edition) -> dict[str, object]:
    """What a teacher reads before accepting an edition."""
    text = text_of(edition)
    values = text.bank.values_of_rule
    return {
        "edition": edition,
        "text": text.bank,
        "rules": [(rule, text.pictures.get(rule.picture), values.get(rule.code, ())) for rule in text.bank.live_rules],
        "firsts": replaced_values(edition),
        "beside": list(_beside(text.bank)),
    }


def _beside(bank: BankText) -> Iterator[tuple[str, list[str]]]:
    """What other parts read from the bank, such as how to stop and what to show: it is accepted with the rules."""
    for name, table in bank.extras.items():
        if name == TABLE or not isinstance(table, Mapping):
            continue
        for key, item in table.items():
            if key not in NAMES:
                lines = [item] if isinstance(item, str) else [str(entry) for entry in item]
                if key == "protect":
                    lines = [_(PROTECT[code]) if code in PROTECT else code for code in lines]
                yield _(SAYS[key]) if key in SAYS else key.replace("_", " ").capitalize(), lines
