"""Finds the words and phrases that plain American English does without: on pages and prints, in messages, comments,
docstrings, scripts, documents and the names of tests. A line that needs one of them says so: `voice: ok`.
"""

import ast
import io
import re
import sys
import tokenize
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
APPS = ("shopsafe", "quizzes", "machines")
DOCUMENTS = ("README.md", "DEVELOPERS.md", "CHANGELOG.md", "SECURITY.md")
OK = "voice: ok"
# Lists of words are data: what a list in a spreadsheet may be headed, and the words of the day, one of them "mitre".
WORD_LISTS = ("rosters/rules/words.py", "signing_in/rules/check_words.py")
SQL = re.compile(r"\b(SELECT|FROM|WHERE|UPDATE|INSERT|DELETE|CREATE)\b")
BRITISH = (
    r"\b(colou?red grey|colour\w*|grey|(milli|centi)?metres?|litres?|centred?|jewellery|practis(e|es|ed|ing)|judgement|"
    r"enrolments?|neighbour\w*|favourites?|labelled|programme|autumn|aluminium|tyres?|mitre saws?)\b"
)

# What it matches → what to write instead. Everywhere that people read or write English.
EVERYWHERE = {
    r"\btold\b(?! (you|me|them|her|him|the|a|an|it) )": "say who says it and what: shown, reported, identified, listed",
    r"\bwhoever\b": "name the person: the student, the teacher, the person who …",
    r"\b(anew|meanwhile|otherwise than|learnt)\b": "again, in the meantime, unlike, learned",
    r"\b(nobody|somebody|everybody|anybody)\b": "no one, someone, everyone, anyone",
    r"\bstands? (in|here|there|apart|on|above|below|twice|beside)\b|\bas it stands\b": "is in, appears, is printed",
    r"\bmend(s|ed|ing)?\b": "fix (data), repair (a machine)",
    r"\bhung\b|\b(what|it|that|card|sheet|chart) hangs?\b|\bhangs? (on|in|at|with)\b": "is posted; belongs to",
    r"\blets? (\w+ )?in( again)?\b[.,]?$|\blets? (them|her|him|someone|people) in\b": "unlock, restore access",
    r"\bgrown-ups?\b": "staff, adults",
    BRITISH: "the American spelling",
}
# Only on pages and prints, and in messages and documents.
VISIBLE = {
    r"\bwhom\b": "who, or name the person",
    r"\b(we|ours|us)\b|\bour\b(?! (shop|school)\b)": "say “you”, or name the school, the shop or this program",
    r"\b(tick|ticks|ticked|untick\w*)\b": "check",
    r"\b(look(s|ed)? again|once more|of before|all the same|look at (it\b|them (again|first)))\b": "again, anyway",
    r"\b(go|goes) on\b": "continue",
    r"\b(take|takes|taken|taking|took) (it |this |them )?back\b": "withdraw (an agreement), void (an attempt), undo",
    r"\bbring in (a|the|an) (class list|list|bank|file)\b|\b(take it|taken) over as\b": "import",
    r"\bis no (moment|day|picture|drawing|backup|list|checkpoint|choice|file)\b": "say what it must be",
    r"(?<!as )\bit is\.|\b(it|they) holds?\.": "a sentence that says what it speaks of",
    r"\bblueprint\b": "quiz settings",
    r"\bguess risk\b": "chance of passing by guessing",
    r"\bready to show\b": "ready for sign-off",
    r"\blaps(e|es|ed|ing)\b": "expire",
    r"\bprint room\b": "Print page",
    r"\bslip codes?\b": "sign-in code",
    r"\bbench words?\b": "check word",
    r"\b(your|student's) bench\b": "My machines",
    r"\bfirst run\b": "shop setup",
    r"\bstored values?\b": "number to know",
    r"\b(on|from|of) the shelf\b": "starter banks",
    r"\bmachine kinds?\b": "machine type",
    r"\b\d{1,2} (January|February|March|April|May|June|July|August|September|October|November|December)\b|%B %Y": (
        "a date as shopsafe/conventions.py writes it"
    ),
}
TEST_NAME = re.compile(
    r"^test_(who|what|that|of|to|by|with|without|also)_|_(told|anew|meanwhile|whoever|nobody|somebody|everybody|anybody|mend|mends|mended)(_|$)|_is_(no|none|once)(_|$)|next_door"
)
TEST_NAME_LENGTH = 80


def compiled(rules: dict[str, str]) -> list[tuple[re.Pattern[str], str]]:
    return [(re.compile(pattern, re.IGNORECASE | re.MULTILINE), say) for pattern, say in rules.items()]


ALWAYS, ON_PAGES = compiled(EVERYWHERE), compiled(EVERYWHERE | VISIBLE)
Finding = tuple[int, str]


def in_text(text: str, rules: list[tuple[re.Pattern[str], str]], first: int = 1) -> Iterator[Finding]:
    """Yield (line, what is wrong) for each banned word of a text that begins on line `first`."""
    for number, line in enumerate(text.splitlines(), first):
        if OK not in line:
            for pattern, say in rules:
                for match in pattern.finditer(line):
                    yield number, f"“{match.group().strip()}”: {say}"


def _lines(match: re.Match[str]) -> str:
    return "\n" * match.group().count("\n")


SAID_IN_TAG = re.compile(r"""\b(?:aria-label|alt|title|placeholder|label)=(?:"([^"]*)"|'([^']*)')""")
TEMPLATE_COMMENT = re.compile(r"\{#(.*?)#\}|\{% comment.*?%\}(.*?)\{% endcomment %\}", re.DOTALL)
UNREAD = re.compile(r"<(style|script|code|pre)\b.*?</\1>|<!--.*?-->", re.DOTALL)


def in_template(text: str) -> Iterator[Finding]:
    """The visible text of a template, what is said in its tags, and its comments."""
    for match in TEMPLATE_COMMENT.finditer(text):
        yield from in_text(match.group(), ALWAYS, text.count("\n", 0, match.start()) + 1)
    text = UNREAD.sub(_lines, TEMPLATE_COMMENT.sub(_lines, text))
    text = re.sub(r"\{%.*?%\}|\{\{.*?\}\}", lambda match: "…" + _lines(match), text, flags=re.DOTALL)
    read = re.sub(
        r"<[^>]*>",
        lambda tag: (
            " ".join(["", *(words for pair in SAID_IN_TAG.findall(tag.group()) for words in pair), ""]) + _lines(tag)
        ),
        text,
    )
    yield from in_text(read, ON_PAGES)


def docstrings(tree: ast.AST) -> dict[int, ast.Constant]:
    """id → each docstring, and each string that stands alone as a statement."""
    alone = [node.value for node in ast.walk(tree) if isinstance(node, ast.Expr)]
    return {id(node): node for node in alone if isinstance(node, ast.Constant) and isinstance(node.value, str)}


def _is_sentence(text: str) -> bool:
    return " " in text.strip() and not SQL.search(text)


def in_python(text: str, *, visible: bool) -> Iterator[Finding]:
    """Comments and docstrings; with `visible`, also strings that hold a space, which are sentences."""
    exempt = {number for number, line in enumerate(text.splitlines(), 1) if OK in line}
    tree = ast.parse(text)
    documented = docstrings(tree)
    findings = [finding for node in documented.values() for finding in in_text(str(node.value), ALWAYS, node.lineno)]
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT:
            findings += in_text(token.string, ALWAYS, token.start[0])
    for node in ast.walk(tree) if visible else ():
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in documented:
            sentence = node.value
            findings += in_text(sentence, ON_PAGES, node.lineno) if _is_sentence(sentence) else ()
    yield from (finding for finding in findings if finding[0] not in exempt)


def names_of_tests(text: str) -> Iterator[Finding]:
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            if TEST_NAME.search(node.name):
                yield node.lineno, f"{node.name}: test_<subject>_<result>, the subject a noun"
            elif len(node.name) > TEST_NAME_LENGTH:
                yield node.lineno, f"{node.name}: {len(node.name)} characters, {TEST_NAME_LENGTH} at most"


def in_script(text: str) -> Iterator[Finding]:
    """Comments of a script or a style sheet, and strings that hold a space."""
    for number, line in enumerate(text.splitlines(), 1):
        for match in re.finditer(r"//.*|/\*.*?(\*/|$)|^\s+[^{};]*\*/", line):
            yield from in_text(match.group(), ALWAYS, number)
        for match in re.finditer(r'"[^"]* [^"]*"|`[^`]* [^`]*`', line):
            yield from in_text(match.group(), ON_PAGES, number)


def in_document(text: str) -> Iterator[Finding]:
    """A page of Markdown without its code."""
    text = re.sub(r"^```.*?^```|`[^`\n]*`", _lines, text, flags=re.DOTALL | re.MULTILINE)
    yield from in_text(text, ON_PAGES)


def everything() -> Iterator[tuple[Path, Finding]]:
    for path in sorted((ROOT / "templates").rglob("*.html")):
        yield from ((path, finding) for finding in in_template(path.read_text(encoding="utf-8")))
    for top in (*APPS, "tests", ".ci"):
        for path in sorted((ROOT / top).rglob("*.py")):
            if "migrations" not in path.parts and not str(path).endswith(WORD_LISTS) and path != Path(__file__):
                text = path.read_text(encoding="utf-8")
                yield from ((path, finding) for finding in in_python(text, visible=top in APPS))
                yield from ((path, finding) for finding in (names_of_tests(text) if top == "tests" else ()))
    for path in sorted([*(ROOT / "static").rglob("*.js"), *(ROOT / "static").rglob("*.css")]):
        yield from ((path, finding) for finding in in_script(path.read_text(encoding="utf-8")))
    for name in DOCUMENTS:
        yield from ((ROOT / name, finding) for finding in in_document((ROOT / name).read_text(encoding="utf-8")))


def main() -> int:
    findings = [f"{path.relative_to(ROOT)}:{line}: {what}" for path, (line, what) in everything()]
    print("\n".join(findings) if findings else "pages, messages, comments and names are in plain American English")
    return 1 if findings else 0


if __name__ == "__main__":
    sys.exit(main())
