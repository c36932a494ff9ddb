"""A name as someone entered it: cleaned where nothing is lost, refused where a print or a reader would stumble."""

from shopsafe.language.messages import _
from shopsafe.school.naming.rules.characters import clean_name, unfit
from shopsafe.school.refusals import Refused


def entered_name(text: str, what: str) -> str:
    """The name on one line, without characters that show nothing. `what` begins the sentence of a refusal.

    Refused: name.character (422), for a control character, an emoji, and a letter under too many marks.
    """
    name = clean_name(text)
    if wrong := unfit(name):
        raise Refused("name.character", _("{what} can't be printed. {wrong} Take it out.", what=what, wrong=wrong), 422)
    return name
