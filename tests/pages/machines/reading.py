"""Reading a page as a person does: what is in its main part, as words."""

from html import unescape

from django.http import HttpResponse


def main_of(response: HttpResponse) -> str:
    """The part between the bar and the title block, entities read; whatever the status."""
    page = response.content.decode()
    return unescape(page.partition("<main")[2].partition("</main>")[0])
