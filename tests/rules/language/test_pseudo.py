"""The two pseudo-languages change letters and leave what a program fills in."""

import pytest

from shopsafe.language.pseudo import from_the_right, longer


@pytest.mark.parametrize(
    ("sentence", "expected"),
    [
        ("Save", "[Šåvé]"),
        ("{name} may use <a1>{machine}</a1>.", "[{name} måý ûšé <a1>{machine}</a1>. öñé]"),
        ("%(count)d of %s &amp; 2", "[%(count)d öƒ %s &amp; 2]"),
        (", overdue ", "[, övéŕðûé öñé] "),
        ("<b>{count}</b> left", "<b>[{count}</b> ļéƒţ]"),
        ("", ""),
    ],
)
def test_accented_in_brackets(sentence: str, expected: str) -> None:
    assert longer(sentence) == expected


def test_a_third_longer() -> None:
    sentence = "The shop is open only while a teacher is here and says so again within the time that was set."
    assert len(longer(sentence)) >= len(sentence) * 4 / 3


def test_words_run_from_right_to_left() -> None:
    right, left = "\u200f\u202e", "\u202c\u200f"
    assert from_the_right("{name}: on hold, 2 <b>min</b>") == (
        f"{{name}}: {right}on{left} {right}hold,{left} 2 <b>{right}min{left}</b>"
    )
