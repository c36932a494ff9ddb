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


def pocket_card(then: ShopSnapshot, student: Person) -> tuple[sheets.PocketCard, SheetContents]:
    """One student's clearances in a shop, also on a machine that is tagged out today; code and address come later."""
    cleared = [(machine, answer) for machine, answer in then.matrix.row(student) if answer.cleared]
    doubted = {machine.pk for machine, _ in cleared if then.doubts.get(machine.pk)}
    card = sheets.PocketCard(
        name=then.named[student.pk],
        machines=tuple(f"{machine} *" if machine.pk in doubted else str(machine) for machine, _ in cleared),
        valid_until=then.valid_until(answer for _, answer in cleared),
        code=PREVIEW,
        url="",
        note=EARLIER if doubted else "",
    )
    cells = frozenset((student.pk, machine.pk) for machine, _ in cleared)
    return card, SheetContents(cells, words(card), card.valid_until, None)


def pocket_cards(
    then: ShopSnapshot, section: Section, cards: Sequence[sheets.PocketCard], *, backs: bool
) -> sheets.PocketCards:
    return sheets.PocketCards(
        scope=section.name,
        school=then.shop.school.name,
        cards=tuple(cards),
        printed=then.today,
        backs=backs,
        demo=then.shop.school.is_demo,
    )


def substitute_sheet(
    then: ShopSnapshot, section: Section | None, said: SubstituteWords | None = None
) -> sheets.SubstituteSheet:
    """What whoever stands in for a class, or for the whole shop, must know today. `said`: the shop's words, if read."""
    said, people = said or substitute_words_of(then.shop), then.members_of([section] if section else [])
    return sheets.SubstituteSheet(
        scope=then.scope([section] if section else []),
        shop=then.shop.name,
        day=then.today,
        machines=tuple(_machines(then, people)),
        call=said.call,
        notes=said.notes,
        runs=said.runs,
        printed=then.today,
        demo=then.shop.school.is_demo,
        about=then.footnotes(_named(then, people), "These people passed"),
    )


def _named(then: ShopSnapshot, people: set[int]) -> dict[int, str]:
    """The machines that have names on the sheet."""
    return {
        machine.pk: _called(machine)
        for machine in then.matrix.machines
        if machine.pk not in then.out
        and any(one.pk in people and answer.cleared for one, answer in then.matrix.column(machine))
    }


def _called(machine: Machine) -> str:
    """Who stands in does not know the shop: "Big blue 1, band saw"."""
    return f"{machine}, {machine.kind.spoken}" if machine.what_it_is else str(machine)


def _machines(then: ShopSnapshot, people: set[int]) -> list[sheets.SubstituteMachine]:
    found = []
    named = short_names_of(one for one in then.matrix.students if one.pk in people)
    for machine in then.matrix.machines:
        cleared = [one for one, answer in then.matrix.column(machine) if one.pk in people and answer.cleared]
        names = tuple(named[one.pk] for one in cleared)
        off = "Nobody is cleared." if not names else ""
        if out := then.out.get(machine.pk):
            off = f"Tagged out: {out.reason}"
        found.append(sheets.SubstituteMachine(_called(machine), () if off else names, off))
    return found


def agreement(then: ShopSnapshot, students: Sequence[Person], class_name: str = "") -> sheets.AgreementSheet:
    """One sheet a student of that class; without students, one with blanks to copy."""
    stored = words_of(then.shop, "agreement")
    said = agreement_words(stored.words if stored else None)
    first_month = then.shop.school.year_first_month
    return sheets.AgreementSheet(
        school=then.shop.school.name,
        shop=then.shop.name,
        year=school_year_name(school_year(then.today, first_month), first_month),
        intro=said.intro,
        rules=said.rules,
        promise=said.promise,
        guardian=said.guardian,
        students=tuple(full_names_of(students).values()),
        printed=then.today,
        class_name=class_name,
        demo=then.shop.school.is_demo,
    )


def rules_to_post(then: ShopSnapshot) -> list[tuple[Edition, list[Rule]]]:
    """Every published bank of the school and its rules, by subject: a poster may hang before the machine comes."""
    editions = Edition.objects.filter(bank__school=then.shop.school_id, published_at__lte=then.at)
    latest = {one.bank_id: one for one in editions.select_related("bank").order_by("number")}
    by_subject = sorted(latest.values(), key=lambda edition: edition.bank.subject)
    return [(one, [rule for rule in text_of(one).bank.rules if not rule.retired]) for one in by_subject]


def rule_poster(then: ShopSnapshot, edition: Edition, rule: Rule) -> sheets.RulePosters:
    plain = sheets.RulePoster(edition.bank.subject, rule.says, rule.why)
    drawn = _with_picture(plain, text_of(edition), rule, then.shop.school_id)
    title = f"Rule poster: {edition.bank.subject}"
    return sheets.RulePosters((drawn,), then.today, title, then.shop.school.is_demo)


def _with_picture(poster: sheets.RulePoster, text: EditionText, rule: Rule, school: int) -> sheets.RulePoster:
    """The poster with its rule's drawing, if it has one that can be printed."""
    told = text.pictures.get(rule.picture)
    if told is None or told.kind not in KINDS:
        return poster
    row = Picture.objects.filter(school=school, digest=told.digest, kind=told.kind).first()
    if row is None:
        return poster
    body = base64.b64encode(bytes(row.content)).decode()
    return replace(
        poster,
        picture=f"data:{KINDS[told.kind]};base64,{body}",
        picture_alt=rule.picture_alt,
        picture_ratio=told.width / told.height,
    )
