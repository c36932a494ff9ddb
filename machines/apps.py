"""The app of machines and clearance."""

from django.apps import AppConfig

from machines import logbook_words
from shopsafe.logbook import sentences


class MachinesConfig(AppConfig):
    name = "machines"
    verbose_name = "Machines"

    def ready(self) -> None:
        from machines.bench.shop_context import (  # models can be imported only now
            asked_first,
            banks_here,
            cleared_until,
        )
        from quizzes import shop_context

        sentences.register(logbook_words.WORDS)
        shop_context.register(shop_context.ShopContext(here=banks_here, first=asked_first, cleared=cleared_until))
