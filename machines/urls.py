"""The pages of machines, and of the logbook, since only this floor knows every kind of entry."""

from django.urls import path, re_path

from machines.views import (
    evidence,
    holds,
    logbook,
    machines,
    own_holds,
    print_words,
    prints,
    requirements,
    retention,
    sign_offs,
    staff,
    student,
    tag_outs,
)

urlpatterns = [
    path("prints/", prints.prints, name="prints"),
    path("prints/<int:shop>/<slug:what>/", prints.print_make, name="print-make"),
    path("prints/<int:shop>/<slug:what>/picture.png", prints.print_picture, name="print-picture"),
    path("prints/<int:shop>/words/<slug:sheet>/", print_words.sheet_words, name="sheet-words"),
    path("prints/<int:shop>/<str:code>/take-down/", prints.print_take_down, name="print-take-down"),
    # A QR code in capitals is one size smaller, so both cases lead here.
    re_path(r"^[cC]/(?P<code>[0-9A-Za-z]{4}-?[0-9A-Za-z]{2})/?$", prints.print_check, name="print-check"),
    path("bench/", student.bench, name="bench"),
    path("today/", staff.today, name="today"),
    path("classes/", staff.registers, name="registers"),
    path("classes/<int:section>/register/", staff.register, name="register"),
    path("classes/<int:section>/register/<int:student>/", staff.student_standings, name="student-standings"),
    path("classes/<int:section>/register/<int:student>/hold/", holds.hold_place, name="hold-place"),
    path("classes/<int:section>/register/<int:student>/horseplay/", holds.hold_horseplay, name="hold-horseplay"),
    path("classes/<int:section>/register/<int:student>/<int:machine>/", staff.reasons, name="reasons"),
    path("classes/<int:section>/substitute-sheet/", prints.substitute_sheet, name="substitute-sheet"),
    path("holds/<int:hold>/", own_holds.own_hold, name="own-hold"),
    path("holds/<int:hold>/rules/<int:number>/", own_holds.own_hold_rule, name="own-hold-rule"),
    path("holds/<int:hold>/lift/", holds.hold_lift, name="hold-lift"),
    path("kinds/", requirements.kinds, name="kinds"),
    path("kinds/<int:kind>/requirements/", requirements.kind_requirements, name="kind-requirements"),
    path(
        "kinds/<int:kind>/requirements/<int:machine>/", requirements.machine_requirements, name="machine-requirements"
    ),
    path("machines/", machines.machines, name="machines"),
    path("machines/<int:machine>/", machines.machine, name="machine"),
    path("machines/<int:machine>/sign-off/<int:student>/", sign_offs.sign_off, name="sign-off"),
    path("machines/<int:machine>/tag-out/", tag_outs.tag_out, name="tag-out"),
    path("sign-offs/<int:sign_off>/undo/", sign_offs.sign_off_undo, name="sign-off-undo"),
    path("sign-offs/<int:sign_off>/withdraw/", sign_offs.sign_off_withdraw, name="sign-off-withdraw"),
    path("tag-outs/<int:tag_out>/return/", tag_outs.return_to_service, name="return-to-service"),
    path("logbook/", logbook.logbook, name="logbook"),
    path("logbook/verify/", logbook.verify_logbook, name="logbook-verify"),
    path("logbook/<int:seq>/", logbook.entry, name="logbook-entry"),
    path("students/<int:student>/evidence/", evidence.evidence, name="evidence"),
    path("students/<int:student>/erase/", retention.student_erase, name="student-erase"),
    path("students/<int:student>/keep/", retention.student_keep, name="student-keep"),
    path("students/<int:student>/let-go/", retention.student_let_go, name="student-let-go"),
    path("retention/", retention.retention, name="retention"),
]
