"""A person who is removed while a request is under way is sent to the sign-in page, as with every later request."""

import pytest
from django.http import HttpResponse
from django.test import RequestFactory

from shopsafe.school.models import Person
from shopsafe.school.pages.middleware import SchoolMiddleware
from tests.factories.people import PersonFactory

pytestmark = pytest.mark.django_db


def answered(person: Person, status: int, *, is_removed: bool) -> HttpResponse:
    request = RequestFactory().post("/machines/4/report/")
    request.user = person

    def view(request: object) -> HttpResponse:
        if is_removed:
            Person.objects.filter(pk=person.pk).delete()
        return HttpResponse(status=status)

    return SchoolMiddleware(view)(request)


@pytest.mark.parametrize("status", [403, 404, 409, 422])
def test_removed_person_gets_the_sign_in_page(status: int) -> None:
    response = answered(PersonFactory(), status, is_removed=True)
    assert (response.status_code, response.headers["Location"]) == (302, "/sign-in/?next=/machines/4/report/")


def test_person_on_record_gets_the_refusal() -> None:
    assert answered(PersonFactory(), 409, is_removed=False).status_code == 409
