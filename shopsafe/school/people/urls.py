"""Classes and their students."""

from django.urls import path

from shopsafe.school.people.views import (
    agreement_take_back,
    agreements_record,
    class_let_in,
    class_people,
    enrollment_end,
    name_correct,
    people,
    slips_issue,
    student_add,
    student_let_in,
)

urlpatterns = [
    path("people/", people, name="people"),
    path("people/<int:section>/", class_people, name="class-people"),
    path("people/<int:section>/add/", student_add, name="student-add"),
    path("people/<int:section>/agreements/", agreements_record, name="agreements-record"),
    path("people/<int:section>/slips/", slips_issue, name="slips-issue"),
    path("people/<int:section>/let-in/", class_let_in, name="class-let-in"),
    path("people/<int:section>/<int:student>/let-in/", student_let_in, name="student-let-in"),
    path(
        "people/<int:section>/<int:student>/agreement/take-back/",
        agreement_take_back,
        name="agreement-take-back",
    ),
    path("people/<int:section>/<int:student>/name/", name_correct, name="name-correct"),
    path("people/<int:section>/<int:student>/end/", enrollment_end, name="enrollment-end"),
]
