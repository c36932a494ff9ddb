"""Template tags of the language at hand: which it is, and the form it has of a sentence with a count in it."""

from collections.abc import Callable, Sized
from typing import Any

from django import template
from django.db.models import Model
from django.template.base import FilterExpression, Node, NodeList, Parser, Token
from django.template.exceptions import TemplateSyntaxError
from django.utils.html import format_html
from django.utils.safestring import SafeData, SafeString
from django.utils.translation import get_language, get_language_bidi, ngettext

from shopsafe.language.kept import kept_words
from shopsafe.language.messages import _, isolated

register = template.Library()

# Enough for every rule of plurals in use: those of CLDR look at the last two digits, and a few languages at millions.
COUNTS = (*range(201), 1_000_000)


def forms_of(singular: str, plural: str, look_up: Callable[[str, str, int], str]) -> list[str]:
    """Each form once, in the order in which counts from nothing up reach it."""
    return list(dict.fromkeys(look_up(singular, plural, count) for count in COUNTS))


@register.simple_tag
def page_language() -> SafeString:
    """`lang="en"`, or `lang="ar" dir="rtl"`: the attributes of <html>."""
    language, _hyphen, region = (get_language() or "en").partition("-")
    tag = f"{language}-{region.upper()}" if region else language
    return format_html('lang="{}" dir="rtl"' if get_language_bidi() else 'lang="{}"', tag)


@register.filter(name="isolated")
def isolated_value(value: Any) -> Any:
    """A text that runs in its own direction, whatever stands around it. HTML and numbers stay as they are."""
    if isinstance(value, SafeData):
        return value
    return isolated(str(value) if isinstance(value, Model) else value)


register.filter(kept_words)  # {{ job.result|kept_words }}


@register.filter
def stored_label(label: str, pattern: str = "") -> str:
    """A label that a record keeps in English, in the language at hand. `pattern` is that of labels which end with a
    value: "Clearance for {machine}" of "Clearance for band saw 2"."""
    beginning, _brace, value = pattern.rstrip("}").partition("{")
    if pattern and label.startswith(beginning):
        return _(pattern, **{value: label.removeprefix(beginning)})
    return _(label)


class CountedForm(Node):
    """Renders the form that the language at hand has for a count, or for the length of a list."""

    child_nodelists = ("forms",)

    def __init__(self, count: FilterExpression, singular: str, plural: str, forms: list[NodeList]) -> None:
        self.count, self.singular, self.plural = count, singular, plural
        self.by_text = dict(zip(forms_of(singular, plural, ngettext), forms, strict=True))
        self.forms = NodeList(node for form in forms for node in form)

    def render(self, context: template.Context) -> Any:
        counted: Any = self.count.resolve(context)
        number = len(counted) if isinstance(counted, Sized) and not isinstance(counted, str) else int(counted or 0)
        return self.by_text[ngettext(self.singular, self.plural, number)].render(context)


@register.tag
def counted_form(parser: Parser, token: Token) -> CountedForm:
    """`{% counted_form names|length "{names} name" "{names} names" %}...{% form %}...{% endcounted_form %}`, with what
    each form of the language at hand says. The loader writes it; no template does."""
    try:
        _name, count, singular, plural = token.split_contents()
    except ValueError:
        raise TemplateSyntaxError("counted_form takes a count and two sentences") from None
    forms = []
    while True:
        forms.append(parser.parse(("form", "endcounted_form")))
        if parser.next_token().contents != "form":
            break
    singular, plural = (str(template.Variable(text).resolve({})) for text in (singular, plural))
    return CountedForm(parser.compile_filter(count), singular, plural, forms)
