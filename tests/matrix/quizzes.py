"""Who gets in where: banks, quizzes and attempts."""

from tests.matrix import Door

ROUTES: dict[str, Door | list[Door]] = {}
