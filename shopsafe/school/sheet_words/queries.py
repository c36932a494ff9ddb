"""A shop's own words on its sheets, and whether a substitute may run machines there."""

from shopsafe.school.models import Person, SheetWords, Shop
from shopsafe.school.sheet_words.rules import SubstituteWords, substitute_words


def words_of(shop: Shop, sheet: str) -> SheetWords | None:
    """What a shop's sheet says in the shop's own words; None while it says ours."""
    return SheetWords.objects.filter(shop=shop, sheet=sheet).select_related("set_by").last()


def substitute_words_of(shop: Shop) -> SubstituteWords:
    stored = words_of(shop, "substitute")
    return substitute_words(stored.words if stored else None)


def stays_off(person: Person, shop: Shop) -> bool:
    """Whether a substitute must read that nothing runs there: the shop has not said that it may."""
    return person.is_substitute and not substitute_words_of(shop).runs
