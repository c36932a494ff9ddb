"""Classes and their students."""

from django.urls import path

from shopsafe.school.people.views.classes import (
    class_let_in,
    class_people,
    documents_record,
    people,
    slips_issue,
    student_add,
)
from shopsafe.school.people.views.students import (
    class_student,
    document_withdraw,
    enrollment_end,
    enrollment_keep,
    name_correct,
    number_set,
    student_let_in,
    student_move,
)

urlpatterns = [
    path("people/", people, name="people"),
    path("people/<int:section>/", class_people, name="class-people"),
    path("people/<int:section>/add/", student_add, name="student-add"),
    path("people/<int:section>/documents/", documents_record, name="documents-record"),
    path("people/<int:section>/slips/", slips_issue, name="slips-issue"),
    path("people/<int:section>/let-in/", class_let_in, name="class-let-in"),
    path("people/<int:section>/<int:student>/", class_student, name="class-student"),
    path("people/<int:section>/<int:student>/let-in/", student_let_in, name="student-let-in"),
    path(
        "people/<int:section>/<int:student>/<slug:kind>/withdraw/",
        document_withdraw,
        name="document-withdraw",
    ),
    path("people/<int:section>/<int:student>/name/", name_correct, name="name-correct"),
    path("people/<int:section>/<int:student>/number/", number_set, name="number-set"),
    path("people/<int:section>/<int:student>/end/", enrollment_end, name="enrollment-end"),
    path("people/<int:section>/<int:student>/keep/", enrollment_keep, name="enrollment-keep"),
    path("people/<int:section>/<int:student>/move/", student_move, name="student-move"),
]
