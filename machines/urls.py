"""The pages of machines, and of the logbook, since only this floor knows every kind of entry."""

from django.urls import path, re_path

from machines.bench.views import bench
from machines.holds.views import teacher
from machines.holds.views.student import own_hold, own_hold_rule
from machines.prints.batches.views import print_set, print_set_again, print_set_ask, print_set_file, print_set_stop
from machines.prints.room.views import print_check, print_make, print_picture, print_take_down, prints, substitute_sheet
from machines.prints.sheet_texts.views import sheet_words
from machines.records.views import evidence, logbook, retention
from machines.register import school_views
from machines.register.views import reasons, register, register_file, registers, student_standings
from machines.setting_up.views import first_run, requirements
from machines.setting_up.views.machines import kind_add, kind_change, machine_change, machine_retire, machines_add
from machines.sign_offs.views import machines, sign_offs
from machines.tag_outs.views import return_to_service, tag_out
from machines.today.views import today

urlpatterns = [
    path("first-run/", first_run.first_run, name="first-run"),
    path("first-run/begin/", first_run.begin, name="first-run-begin"),
    path("first-run/shop/", first_run.shop, name="first-run-shop"),
    path("first-run/rules/", first_run.rules, name="first-run-rules"),
    path("prints/", prints, name="prints"),
    path("prints/<int:shop>/<slug:what>/", print_make, name="print-make"),
    path("prints/<int:shop>/<slug:what>/picture.png", print_picture, name="print-picture"),
    path("prints/<int:shop>/words/<slug:sheet>/", sheet_words, name="sheet-words"),
    path("prints/<int:shop>/sets/<slug:what>/", print_set_ask, name="print-set-ask"),
    path("prints/sets/<uuid:key>/", print_set, name="print-set"),
    path("prints/sets/<uuid:key>/stop/", print_set_stop, name="print-set-stop"),
    path("prints/sets/<uuid:key>/again/", print_set_again, name="print-set-again"),
    path("prints/sets/<uuid:key>/set.zip", print_set_file, name="print-set-file"),
    path("prints/<int:shop>/<str:code>/take-down/", print_take_down, name="print-take-down"),
    # A QR code in capitals is one size smaller, so both cases lead here.
    re_path(r"^[cC]/(?P<code>[0-9A-Za-z]{4}-?[0-9A-Za-z]{2})/?$", print_check, name="print-check"),
    path("bench/", bench, name="bench"),
    path("today/", today, name="today"),
    path("classes/", registers, name="registers"),
    path("classes/<int:section>/register/", register, name="register"),
    re_path(r"^classes/(?P<section>[0-9]+)/register\.(?P<form>csv|xlsx)$", register_file, name="register-file"),
    path("office/standings/", school_views.school_standings, name="school-standings"),
    path("classes/<int:section>/register/<int:student>/", student_standings, name="student-standings"),
    path("classes/<int:section>/register/<int:student>/hold/", teacher.hold_place, name="hold-place"),
    path("classes/<int:section>/register/<int:student>/horseplay/", teacher.hold_horseplay, name="hold-horseplay"),
    path("classes/<int:section>/register/<int:student>/<int:machine>/", reasons, name="reasons"),
    path("classes/<int:section>/substitute-sheet/", substitute_sheet, name="substitute-sheet"),
    path("holds/<int:hold>/", own_hold, name="own-hold"),
    path("holds/<int:hold>/rules/<int:number>/", own_hold_rule, name="own-hold-rule"),
    path("holds/<int:hold>/lift/", teacher.hold_lift, name="hold-lift"),
    path("kinds/", requirements.kinds, name="kinds"),
    path("kinds/<int:kind>/requirements/", requirements.kind_requirements, name="kind-requirements"),
    path(
        "kinds/<int:kind>/requirements/<int:machine>/", requirements.machine_requirements, name="machine-requirements"
    ),
    path("kinds/<int:kind>/change/", kind_change, name="kind-change"),
    path("kinds/add/", kind_add, name="kind-add"),
    path("shops/<int:shop>/machines/add/", machines_add, name="machines-add"),
    path("machines/", machines.machines, name="machines"),
    path("machines/<int:machine>/", machines.machine, name="machine"),
    path("machines/<int:machine>/change/", machine_change, name="machine-change"),
    path("machines/<int:machine>/retire/", machine_retire, name="machine-retire"),
    path("machines/<int:machine>/sign-off/<int:student>/", sign_offs.sign_off, name="sign-off"),
    path("machines/<int:machine>/tag-out/", tag_out, name="tag-out"),
    path("sign-offs/<int:sign_off>/undo/", sign_offs.sign_off_undo, name="sign-off-undo"),
    path("sign-offs/<int:sign_off>/withdraw/", sign_offs.sign_off_withdraw, name="sign-off-withdraw"),
    path("tag-outs/<int:tag_out>/return/", return_to_service, name="return-to-service"),
    path("logbook/", logbook.logbook, name="logbook"),
    path("logbook/verify/", logbook.verify_logbook, name="logbook-verify"),
    path("logbook/<int:seq>/", logbook.entry, name="logbook-entry"),
    path("verify_evidence.py", evidence.evidence_checker, name="evidence-checker"),
    path("students/<int:student>/evidence/", evidence.evidence, name="evidence"),
    path("students/<int:student>/erase/", retention.student_erase, name="student-erase"),
    path("students/<int:student>/keep/", retention.student_keep, name="student-keep"),
    path("students/<int:student>/let-go/", retention.student_let_go, name="student-let-go"),
    path("retention/", retention.retention, name="retention"),
]
