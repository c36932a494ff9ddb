"""The checks of a bank's words: how hard they are to read, how long a rule is, and which translations are missing."""

from collections.abc import Iterator

from quizzes.banks.rules import readability
from quizzes.banks.rules.findings import WARNING, Finding
from quizzes.facts import BankText, Question, Rule
from quizzes.questions.translating import language_used, languages
from shopsafe.language.messages import _

WORDS_A_SENTENCE = 20
WORDS_A_RULE = 15
GRADE = 5.0  # of the bank as a whole; one short item swings with one hard noun, so single items get more room
GRADE_OF_ONE = 9.0


def reading_grade(bank: BankText) -> Iterator[Finding]:
    if not bank.language.startswith("en"):
        return
    everything = " ".join(_stop(text) for _code, text in _student_texts(bank))
    whole = readability.grade(everything)
    if whole is not None and whole > GRADE:
        yield Finding(
            WARNING,
            "grade",
            "",
            _(
                "The bank reads at grade {whole}. Use shorter words: grade {grade} is the aim.",
                whole=f"{whole:.1f}",
                grade=f"{GRADE:.0f}",
            ),
        )
    for where, text in _student_texts(bank):
        for sentence in readability.sentences(text):
            count = len(readability.words(sentence))
            if count > WORDS_A_SENTENCE:
                yield Finding(
                    WARNING,
                    "long",
                    where,
                    _("A sentence has {number} words. Cut it in two: “{sentence}”", number=count, sentence=sentence),
                )
        own = readability.grade(text)
        if own is not None and own > GRADE_OF_ONE and len(readability.words(text)) >= 6:
            hard = max(readability.words(text), key=readability.syllables)
            yield Finding(
                WARNING,
                "grade",
                where,
                _("It reads at grade {own}. Say it in shorter words than “{hard}”.", own=f"{own:.1f}", hard=hard),
            )


def translations(bank: BankText) -> Iterator[Finding]:
    """A text that was changed has lost its translation; so has its whole rule or question."""
    for language in languages(bank):
        items: tuple[Rule | Question, ...] = (*bank.live_rules, *bank.live_questions)
        codes = [item.code for item in items if language_used(bank, item, language) != language]
        if codes:
            sentence = _(
                "Not whole in the language {language}, so read in {own_language}: {codes}. "
                "Add the texts to [text.{language}] in the bank's file.",
                language=language,
                own_language=bank.language,
                codes=", ".join(codes),
            )
            yield Finding(WARNING, "language", "", sentence)


def rule_length(bank: BankText) -> Iterator[Finding]:
    for rule in bank.live_rules:
        count = len(readability.words(rule.says))
        if count > WORDS_A_RULE:
            yield Finding(
                WARNING,
                "rule-length",
                rule.code,
                _("The rule has {number} words. A wall card has room for {most}.", number=count, most=WORDS_A_RULE),
            )


def _student_texts(bank: BankText) -> Iterator[tuple[str, str]]:
    for rule in bank.live_rules:
        yield rule.code, rule.says
        yield rule.code, rule.why
    for question in bank.live_questions:
        yield question.code, question.asks


def _stop(text: str) -> str:
    return text if text.rstrip().endswith((".", "!", "?")) else text + "."
