"""The logbook, evidence files, and how long records are kept."""

from django.urls import path

from machines.records.views import checkpoints, evidence, logbook, removing, retention

urlpatterns = [
    path("logbook/", logbook.logbook, name="logbook"),
    path("logbook/verify/", logbook.verify_logbook, name="logbook-verify"),
    path("logbook/checkpoint/", checkpoints.take, name="logbook-checkpoint"),
    path("logbook/checkpoint/file/", checkpoints.checkpoint_file, name="logbook-checkpoint-file"),
    path("logbook/<int:seq>/", logbook.entry, name="logbook-entry"),
    path("verify_evidence.py", evidence.evidence_checker, name="evidence-checker"),
    path("students/<int:student>/evidence/", evidence.evidence, name="evidence"),
    path("students/<int:student>/erase/", retention.student_erase, name="student-erase"),
    path("students/<int:student>/keep/", retention.student_keep, name="student-keep"),
    path("students/<int:student>/let-go/", retention.student_let_go, name="student-let-go"),
    path("people/<int:section>/<int:student>/remove/", removing.student_remove, name="student-remove"),
    path("retention/", retention.retention, name="retention"),
]
