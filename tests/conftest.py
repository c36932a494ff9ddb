"""What every test relies on:  hypothesis profiles, which tests need a database, the cast."""

import gc
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.template import Context, Template
from django.test import TransactionTestCase
from django.test.signals import setting_changed, template_rendered
from hypothesis import HealthCheck, settings
from pytest_django import DjangoDbBlocker

from shopsafe.language.pseudo import catalogs as pseudo_catalogs
from tests.cast import Cast, make_cast
from tests.database import copy_of_migrated, put_back
from tests.factories.machines import Floor, make_floor

# Quick is the same on every run, so that a red check is always about the change at hand. Nightly looks further.
# `make mutation` runs the tests of a class more than once in one process, hence the second of the checks left out.
settings.register_profile(
    "quick",
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.differing_executors],
)
settings.register_profile("glance", settings.get_profile("quick"), max_examples=8)
settings.register_profile("nightly", max_examples=5000, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "quick"))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--database-only", action="store_true", help="run only the tests that touch the database (on another engine)"
    )


def touches_database(item: pytest.Item) -> bool:
    fixtures = {"db", "transactional_db", "django_db_setup", "client", "live_server"}
    return item.get_closest_marker("django_db") is not None or bool(fixtures & set(getattr(item, "fixturenames", ())))


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Rules never touch the database: for another engine they are not even imported."""
    return True if config.getoption("--database-only") and collection_path.name == "rules" else None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--database-only"):
        left_out = [item for item in items if not touches_database(item)]
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if touches_database(item)]
    if "MUTANT_UNDER_TEST" in os.environ:  # `make mutation`: cases tell most changes at once, laws take seconds
        items.sort(key=lambda item: item.get_closest_marker("hypothesis") is not None)


def pytest_collection_finish() -> None:
    """What has been imported by now stays: it need not be searched for garbage again and again."""
    gc.freeze()
    gc.set_threshold(100_000, 50, 100)


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_tox_suffix: None) -> None:
    """No name of its own for each worker yet: see below."""


@pytest.fixture(scope="session")
def django_db_setup(
    django_test_environment: None,
    django_db_modify_db_settings: None,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
    worker_id: str,
) -> Iterator[None]:
    """In place of pytest-django's: each worker would migrate, and each transactional test empty every table."""
    own = tmp_path_factory.getbasetemp()
    database = copy_of_migrated(own if worker_id == "master" else own.parent, worker_id)
    with django_db_blocker.unblock(), database as source, pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", lambda case: put_back(source))
        with django_db_blocker.block():
            yield


@pytest.fixture(autouse=True, scope="session")
def contexts_of_whole_pages(django_test_environment: None) -> Iterator[None]:
    """The test client notes the context of every template that a page includes: a copy each, which nothing reads."""

    def render(template: Template, context: Context) -> str:
        if context.template is template:
            template_rendered.send(sender=template, template=template, context=context)
        return template.nodelist.render(context)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Template, "_render", render)
        yield


@pytest.fixture(autouse=True, scope="session")
def pseudo_languages() -> Iterator[None]:
    """A test that sets LANGUAGES or LOCALE_PATHS makes Django forget its catalogs: ours are put there again."""

    def put_again(*, setting: str, **_more: object) -> None:
        if setting in {"LANGUAGES", "LANGUAGE_CODE", "LOCALE_PATHS"}:
            pseudo_catalogs.install()

    setting_changed.connect(put_again)
    yield
    setting_changed.disconnect(put_again)


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


@pytest.fixture
def floor(cast: Cast) -> Floor:
    return make_floor(cast)
