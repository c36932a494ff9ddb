"""Who gets in where: machines, registers and the floor."""

from tests.matrix import Door

ROUTES: dict[str, Door | list[Door]] = {}
