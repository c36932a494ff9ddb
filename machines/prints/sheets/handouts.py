"""What the sheets that are handed out say, loaded from the records: pocket cards, the substitute sheet, the safety
agreement, rule posters."""

import base64
from collections.abc import Sequence
from dataclasses import replace

from machines.models import Machine
from machines.prints.rules.posted import SheetContents
from machines.prints.sheets.wall import PREVIEW, ShopSnapshot, words
from quizzes.banks.editions.texts import text_of
from quizzes.facts import EditionText, Rule
from quizzes.models import Edition, Picture
from shopsafe.paper.rules import handout_sheets as sheets
from shopsafe.school.calendar import school_year, school_year_name
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of, short_names_of
from shopsafe.school.sheet_words.queries import substitute_words_of, words_of
from shopsafe.school.sheet_words.rules import SubstituteWords, agreement_words

EARLIER = "* Newest rules not accepted yet; a pass on earlier ones counts."


KINDS = {"svg": "image/svg+xml", "png": "image/png", "jpg": "image/jpeg", "webp": "image/webp"}


def pocket_card(snapshot: ShopSnapshot, student: Person) -> tuple[sheets.PocketCard, SheetContents]:
    """One student's clearances in a shop, also on a machine that is tagged out today; code and address come later."""
    cleared = [(machine, answer) for machine, answer in snapshot.matrix.row(student) if answer.cleared]
    doubted = {machine.pk for machine, _ in cleared if snapshot.doubts.get(machine.pk)}
    card = sheets.PocketCard(
        name=snapshot.named[student.pk],
        machines=tuple(f"{machine} *" if machine.pk in doubted else str(machine) for machine, _ in cleared),
        valid_until=snapshot.valid_until(answer for _, answer in cleared),
        code=PREVIEW,
        url="",
        note=EARLIER if doubted else "",
    )
    cells = frozenset((student.pk, machine.pk) for machine, _ in cleared)
    return card, SheetContents(cells, words(card), card.valid_until, None)


def pocket_cards(
    snapshot: ShopSnapshot, section: Section, cards: Sequence[sheets.PocketCard], *, backs: bool
) -> sheets.PocketCards:
    return sheets.PocketCards(
        scope=section.name,
        school=snapshot.shop.school.name,
        cards=tuple(cards),
        printed=snapshot.today,
        backs=backs,
        demo=snapshot.shop.school.is_demo,
    )


def substitute_sheet(
    snapshot: ShopSnapshot, section: Section | None, text: SubstituteWords | None = None
) -> sheets.SubstituteSheet:
    """What whoever stands in for a class, or for the whole shop, must know today. `text`: the shop's words, if read."""
    text, people = text or substitute_words_of(snapshot.shop), snapshot.members_of([section] if section else [])
    return sheets.SubstituteSheet(
        scope=snapshot.scope([section] if section else []),
        shop=snapshot.shop.name,
        day=snapshot.today,
        machines=tuple(_machines(snapshot, people)),
        call=text.call,
        notes=(*text.notes, *snapshot.left_undone),
        runs=text.runs,
        printed=snapshot.today,
        demo=snapshot.shop.school.is_demo,
        about=snapshot.footnotes(_named(snapshot, people), "These people passed"),
    )


def _named(snapshot: ShopSnapshot, people: set[int]) -> dict[int, str]:
    """The machines that have names on the sheet."""
    return {
        machine.pk: _called(machine)
        for machine in snapshot.matrix.machines
        if machine.pk not in snapshot.out
        and any(student.pk in people and answer.cleared for student, answer in snapshot.matrix.column(machine))
    }


def _called(machine: Machine) -> str:
    """Who stands in does not know the shop: "Big blue 1, band saw"."""
    return f"{machine}, {machine.kind.spoken}" if machine.what_it_is else str(machine)


def _machines(snapshot: ShopSnapshot, people: set[int]) -> list[sheets.SubstituteMachine]:
    rows = []
    named = short_names_of(student for student in snapshot.matrix.students if student.pk in people)
    for machine in snapshot.matrix.machines:
        cleared = [
            student for student, answer in snapshot.matrix.column(machine) if student.pk in people and answer.cleared
        ]
        names = tuple(named[student.pk] for student in cleared)
        off = "Nobody is cleared." if not names else ""
        if state := snapshot.out.get(machine.pk):
            off = f"{state.label}: {state.reason}"
        rows.append(sheets.SubstituteMachine(_called(machine), () if off else names, off))
    return rows


def agreement(snapshot: ShopSnapshot, students: Sequence[Person], class_name: str = "") -> sheets.AgreementSheet:
    """One sheet a student of that class; without students, one with blanks to copy."""
    stored = words_of(snapshot.shop, "agreement")
    wording = agreement_words(stored.words if stored else None)
    first_month = snapshot.shop.school.year_first_month
    return sheets.AgreementSheet(
        school=snapshot.shop.school.name,
        shop=snapshot.shop.name,
        year=school_year_name(school_year(snapshot.today, first_month), first_month),
        intro=wording.intro,
        rules=wording.rules,
        promise=wording.promise,
        guardian=wording.guardian,
        students=tuple(full_names_of(students).values()),
        printed=snapshot.today,
        class_name=class_name,
        demo=snapshot.shop.school.is_demo,
    )


def rules_to_post(snapshot: ShopSnapshot) -> list[tuple[Edition, list[Rule]]]:
    """Every published bank of the school and its rules, by subject: a poster may hang before the machine comes."""
    editions = Edition.objects.filter(bank__school=snapshot.shop.school_id, published_at__lte=snapshot.at)
    latest = {
        latest_edition.bank_id: latest_edition for latest_edition in editions.select_related("bank").order_by("number")
    }
    by_subject = sorted(latest.values(), key=lambda edition: edition.bank.subject)
    return [
        (latest_edition, [rule for rule in text_of(latest_edition).bank.rules if not rule.retired])
        for latest_edition in by_subject
    ]


def rule_poster(snapshot: ShopSnapshot, edition: Edition, rule: Rule) -> sheets.RulePosters:
    plain = sheets.RulePoster(edition.bank.subject, rule.says, rule.why)
    illustrated = _with_picture(plain, text_of(edition), rule, snapshot.shop.school_id)
    title = f"Rule poster: {edition.bank.subject}"
    return sheets.RulePosters((illustrated,), snapshot.today, title, snapshot.shop.school.is_demo)


def _with_picture(poster: sheets.RulePoster, text: EditionText, rule: Rule, school: int) -> sheets.RulePoster:
    """The poster with its rule's drawing, if it has one that can be printed."""
    facts = text.pictures.get(rule.picture)
    if facts is None or facts.kind not in KINDS:
        return poster
    row = Picture.objects.filter(school=school, digest=facts.digest, kind=facts.kind).first()
    if row is None:
        return poster
    body = base64.b64encode(bytes(row.content)).decode()
    return replace(
        poster,
        picture=f"data:{KINDS[facts.kind]};base64,{body}",
        picture_alt=rule.picture_alt,
        picture_ratio=facts.width / facts.height,
    )
