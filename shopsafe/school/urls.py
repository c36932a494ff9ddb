"""Where people sign in and are looked after."""

from django.urls import path

from shopsafe.school.views import look, office, own_password, people, roster, signing_in

urlpatterns = [
    path("", signing_in.home, name="home"),
    path("sign-in/", signing_in.sign_in, name="sign-in"),
    path("sign-out/", signing_in.sign_out, name="sign-out"),
    path("password/", own_password.password_change, name="password-change"),
    path("look/", look.look, name="look"),
    path("people/", people.people, name="people"),
    path("people/import/<int:section>/", roster.roster_import, name="roster-import"),
    path("people/<int:section>/", people.class_people, name="class-people"),
    path("people/<int:section>/add/", people.student_add, name="student-add"),
    path("people/<int:section>/agreements/", people.agreements_record, name="agreements-record"),
    path("people/<int:section>/slips/", people.slips_issue, name="slips-issue"),
    path("people/<int:section>/<int:student>/let-in/", people.student_let_in, name="student-let-in"),
    path(
        "people/<int:section>/<int:student>/agreement/take-back/",
        people.agreement_take_back,
        name="agreement-take-back",
    ),
    path("people/<int:section>/<int:student>/name/", people.name_correct, name="name-correct"),
    path("people/<int:section>/<int:student>/end/", people.enrolment_end, name="enrolment-end"),
    path("office/", office.office, name="office"),
    path("office/terms/add/", office.term_add, name="term-add"),
    path("office/terms/<int:term>/", office.term_change, name="term-change"),
    path("office/shops/add/", office.shop_add, name="shop-add"),
    path("office/classes/add/", office.class_add, name="class-add"),
    path("office/shops/<int:shop>/", office.shop_rename, name="shop-rename"),
    path("office/classes/<int:section>/", office.class_rename, name="class-rename"),
    path("office/classes/<int:section>/teachers/", office.class_teachers, name="class-teachers"),
    path("office/staff/add/", office.staff_add, name="staff-add"),
    path("office/staff/<int:person>/password/", office.staff_password, name="staff-password"),
    path("office/staff/<int:person>/end/", office.staff_end, name="staff-end"),
    path("office/staff/<int:person>/let-in/", office.staff_let_in, name="staff-let-in"),
]
