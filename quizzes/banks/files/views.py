"""Bank files: the draft as a file, and a file that comes in, looked at before it is taken over."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from quizzes.access import banks_for
from quizzes.banks.draft_rows import draft_of
from quizzes.banks.files import acts
from quizzes.banks.files.queries import bank_of_file, file_of, uploads_for
from quizzes.banks.files.rules.preview import look
from quizzes.banks.files.rules.zip_file import MOST_SENT
from quizzes.banks.rules.changes import Difference, differences
from quizzes.banks.rules.checks import check
from quizzes.banks.rules.editing import put_file
from quizzes.models import BankUpload
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.refusals import Refused


@role("teacher")
@require_safe
def bank_file(request: SignedInRequest, bank: int) -> HttpResponse:
    """The draft as a bank file: TOML, or a zip with its pictures."""
    name, content = file_of(access.one_of(banks_for(request.user), pk=bank))
    kind = "application/zip" if name.endswith(".zip") else "application/toml"
    response = HttpResponse(content, content_type=kind)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def bank_import(request: SignedInRequest) -> HttpResponse:
    """Choose a bank file. It is only looked at."""
    if request.method != "POST":
        return render(request, "quizzes/banks/files/import.html")
    upload = request.FILES.get("file")
    content, name = (upload.read(MOST_SENT + 1), upload.name or "") if upload else (b"", "")
    try:
        sent = acts.send_bank_file(by=request.user, name=name, content=content)
    except Refused as refusal:
        if refusal.status != 422:
            raise
        return render(request, "quizzes/banks/files/import.html", {"problem": refusal.sentence}, status=422)
    return redirect("bank-import-look", sent.pk)


@role("teacher")
@require_http_methods(["GET", "HEAD", "POST"])
def bank_import_look(request: SignedInRequest, upload: UUID) -> HttpResponse:
    """What the file holds, line by line, and what would change; then it is taken over in one step."""
    sent = access.one_of(uploads_for(request.user), pk=upload)
    refusal: Refused | None = None
    if request.method == "POST":
        revision_text = request.POST.get("revision", "")
        revision = int(revision_text) if revision_text.isdecimal() and len(revision_text) < 10 else -1
        try:
            bank = acts.take_over_file(by=request.user, upload=upload, revision=revision)
        except Refused as error:
            refusal = error
        else:
            messages.success(request, _("Imported as a draft. Students see it when it is published."))
            return redirect("bank", bank.pk)
    if sent.bank_id is not None:
        return redirect("bank", sent.bank_id)
    context = _looked(request, sent) | {"refusal": refusal}
    return render(request, "quizzes/banks/files/import_look.html", context, status=refusal.status if refusal else 200)


def _looked(request: SignedInRequest, sent: BankUpload) -> dict[str, Any]:
    content = bytes(sent.content)
    here = bank_of_file(request.user, content)
    draft = draft_of(here) if here else None
    looked = look(content, draft.pictures if draft else {})
    changes: tuple[Difference, ...] = ()
    if draft and looked.bank:
        changes = differences(draft.bank, put_file(draft.bank, looked.bank))
    findings = check(looked.bank) if looked.bank else ()
    return {"sent": sent, "here": here, "looked": looked, "changes": changes, "findings": findings}
