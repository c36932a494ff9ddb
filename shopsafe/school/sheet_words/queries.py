"""A shop's own words on its sheets, and whether a substitute may run machines there."""

from shopsafe.school.models import SheetWords, Shop
from shopsafe.school.sheet_words.rules import SubstituteWords, substitute_words


def words_of(shop: Shop, sheet: str) -> SheetWords | None:
    """What a shop's sheet says in the shop's own words; None while it says ours."""
    return SheetWords.objects.filter(shop=shop, sheet=sheet).select_related("set_by").last()


def substitute_words_of(shop: Shop) -> SubstituteWords:
    stored = words_of(shop, "substitute")
    return substitute_words(stored.words if stored else None)
