"""What belongs to a report: photos, follow-ups, files to hand over; and what the school sets."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from machines.incidents import files
from machines.incidents.acts import follow_ups, photos
from machines.incidents.acts.settings import set_incident_settings
from machines.incidents.forms import DoneForm, FollowUpForm, IncidentSettingsForm, PhotoForm
from machines.incidents.queries import follow_ups_for, incident_for, photos_for, settings_of
from machines.incidents.report_page import report_page
from shopsafe.language.messages import _
from shopsafe.school import access
from shopsafe.school.clock import page_moment
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.pages.refused_on import refused_on, status_of
from shopsafe.school.refusals import Refused


@role("teacher", "office")
@require_POST
def incident_photo_add(request: SignedInRequest, incident: int) -> HttpResponse:
    stored = incident_for(request.user, incident)
    form = PhotoForm(request.POST, request.FILES)
    if form.is_valid():
        with refused_on(form, "photo"):
            photos.add_photo(incident=stored, sent=form.cleaned_data["photo"].read(), by=request.user)
            messages.success(request, _("Photo added."))
            return redirect("incident", stored.pk)
    context = report_page(stored, request.user, page_moment(request)) | {"photo_form": form, "wrong": form}
    return render(request, "machines/incidents/incident.html", context, status=status_of(form))


@role("teacher", "office")
@require_safe
def incident_photo(request: SignedInRequest, incident: int, photo: str) -> HttpResponse:
    """The file itself. No one else's browser keeps it."""
    row = access.one_of(photos_for(request.user), incident=incident, key=photo, file__isnull=False)
    headers = {"Cache-Control": "no-store", "X-Content-Type-Options": "nosniff"}
    return HttpResponse(bytes(row.file.content), content_type="image/webp", headers=headers)


@role("teacher", "office")
@require_POST
def follow_up_add(request: SignedInRequest, incident: int) -> HttpResponse:
    stored = incident_for(request.user, incident)
    form = FollowUpForm(request.POST)
    if form.is_valid():
        with refused_on(form):
            follow_ups.add_follow_up(incident=stored, by=request.user, **form.cleaned_data)
            messages.success(request, _("Follow-up added. It stays on Today until it is done."))
            return redirect("incident", stored.pk)
    context = report_page(stored, request.user, page_moment(request)) | {"follow_up_form": form, "wrong": form}
    return render(request, "machines/incidents/incident.html", context, status=status_of(form))


@role("teacher", "office")
@require_POST
def follow_up_done(request: SignedInRequest, follow_up: int) -> HttpResponse:
    row = access.one_of(follow_ups_for(request.user), pk=follow_up)
    form = DoneForm(request.POST)
    if form.is_valid():
        follow_ups.finish_follow_up(follow_up=row, by=request.user, **form.cleaned_data)
        messages.success(request, _("Marked as done."))
    return redirect("incident", row.incident_id)


@role("teacher", "office")
@require_POST
def incident_file(request: SignedInRequest, incident: int) -> HttpResponse:
    """The printable report, or the hand-over file with the evidence of the people concerned."""
    stored, at = incident_for(request.user, incident), page_moment(request)
    asked = request.POST.get("form", "")
    if asked not in files.NAMES:
        raise Refused("incident.no-form", _("Choose the report or the hand-over file."), 422)
    form = files.ReportFile(asked)
    body = files.make(form, stored, by=request.user, at=at)
    name = content_disposition_header(as_attachment=True, filename=files.file_name(form, stored)) or ""
    return HttpResponse(body, content_type="application/pdf", headers={"Content-Disposition": name})


@role("office")
@require_http_methods(["GET", "HEAD", "POST"])
def incident_settings(request: SignedInRequest) -> HttpResponse:
    stored = settings_of(request.user.school)
    form = IncidentSettingsForm(request.POST or None, initial=stored.as_payload())
    if request.method == "POST" and form.is_valid():
        with refused_on(form):
            set_incident_settings(by=request.user, **form.cleaned_data)
            messages.success(request, _("Saved."))
            return redirect("incident-settings")
    return render(request, "machines/incidents/settings.html", {"form": form}, status=status_of(form))
