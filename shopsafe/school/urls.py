"""Where people sign in and are looked after."""

from django.urls import path

from shopsafe.school.pages import look_views
from shopsafe.school.people.views import (
    agreement_take_back,
    agreements_record,
    class_people,
    enrolment_end,
    name_correct,
    people,
    slips_issue,
    student_add,
    student_let_in,
)
from shopsafe.school.places.views import (
    class_add,
    class_rename,
    class_teachers,
    office,
    shop_add,
    shop_rename,
    staff_add,
    staff_end,
    staff_let_in,
    staff_password,
    term_add,
    term_change,
)
from shopsafe.school.rosters.views import roster_import
from shopsafe.school.signing_in import password_views
from shopsafe.school.signing_in.views import home, sign_in, sign_out

urlpatterns = [
    path("", home, name="home"),
    path("sign-in/", sign_in, name="sign-in"),
    path("sign-out/", sign_out, name="sign-out"),
    path("password/", password_views.password_change, name="password-change"),
    path("look/", look_views.look, name="look"),
    path("people/", people, name="people"),
    path("people/import/<int:section>/", roster_import, name="roster-import"),
    path("people/<int:section>/", class_people, name="class-people"),
    path("people/<int:section>/add/", student_add, name="student-add"),
    path("people/<int:section>/agreements/", agreements_record, name="agreements-record"),
    path("people/<int:section>/slips/", slips_issue, name="slips-issue"),
    path("people/<int:section>/<int:student>/let-in/", student_let_in, name="student-let-in"),
    path(
        "people/<int:section>/<int:student>/agreement/take-back/",
        agreement_take_back,
        name="agreement-take-back",
    ),
    path("people/<int:section>/<int:student>/name/", name_correct, name="name-correct"),
    path("people/<int:section>/<int:student>/end/", enrolment_end, name="enrolment-end"),
    path("office/", office, name="office"),
    path("office/terms/add/", term_add, name="term-add"),
    path("office/terms/<int:term>/", term_change, name="term-change"),
    path("office/shops/add/", shop_add, name="shop-add"),
    path("office/classes/add/", class_add, name="class-add"),
    path("office/shops/<int:shop>/", shop_rename, name="shop-rename"),
    path("office/classes/<int:section>/", class_rename, name="class-rename"),
    path("office/classes/<int:section>/teachers/", class_teachers, name="class-teachers"),
    path("office/staff/add/", staff_add, name="staff-add"),
    path("office/staff/<int:person>/password/", staff_password, name="staff-password"),
    path("office/staff/<int:person>/end/", staff_end, name="staff-end"),
    path("office/staff/<int:person>/let-in/", staff_let_in, name="staff-let-in"),
]
