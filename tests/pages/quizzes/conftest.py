"""A student with an open quiz of every kind, and a browser without scripts."""

from collections.abc import Callable

import pytest
from django.test import Client

from quizzes.attempts.acts import start_attempt
from quizzes.models import Attempt, Bank
from shopsafe.school.models import Person
from tests.cast import Cast
from tests.factories.banks import kinds_text, published


@pytest.fixture
def as_person() -> Callable[[Person], Client]:
    def sign_in(person: Person) -> Client:
        client = Client()
        client.force_login(person)
        return client

    return sign_in


@pytest.fixture
def bank(cast: Cast) -> Bank:
    return published(cast.teacher, kinds_text())


@pytest.fixture
def student(cast: Cast, client: Client) -> Client:
    client.force_login(cast.student)
    return client


@pytest.fixture
def teacher(cast: Cast, client: Client) -> Client:
    client.force_login(cast.teacher)
    return client


@pytest.fixture
def attempt(cast: Cast, bank: Bank) -> Attempt:
    from django.utils import timezone

    return start_attempt(student=cast.student, bank=bank.pk, at=timezone.now())
