"""What the sheets that are handed out say, loaded from records: pocket cards, the safety agreement, rule posters."""

from collections.abc import Sequence
from dataclasses import replace

from machines.prints.rules.posted import SheetContents
from machines.prints.sheets.wall import PREVIEW, ShopSnapshot, words
from quizzes.banks.editions.texts import text_of
from quizzes.banks.pictures.addresses import data_address
from quizzes.facts import EditionText, Rule
from quizzes.models import Edition, Picture
from shopsafe.conventions import written_short_day
from shopsafe.language.messages import _, marked
from shopsafe.paper.rules import handout_sheets as sheets
from shopsafe.school.calendar import school_year, school_year_name
from shopsafe.school.models import Person, Section
from shopsafe.school.naming.name_labels import full_names_of
from shopsafe.school.sheet_words.queries import words_of
from shopsafe.school.sheet_words.rules import agreement_words

EARLIER = marked("* Newest rules not accepted yet; a pass on earlier ones counts.")


def pocket_card(snapshot: ShopSnapshot, student: Person) -> tuple[sheets.PocketCard, SheetContents]:
    """One student's clearances in a shop, but for machines that are out of use today; code and address come later.

    A clearance that ends before the last of them carries its own day; one that ends today is left out."""
    cleared = [(machine, answer) for machine, answer in snapshot.cleared_in_use(student)]
    doubted = {machine.pk for machine, _ in cleared if snapshot.doubts.get(machine.pk)}
    until = snapshot.last_day(answer for _, answer in cleared)
    days = {machine.pk: last for machine, answer in cleared if (last := snapshot.valid_until([answer])) != until}
    called = {machine.pk: f"{machine} *" if machine.pk in doubted else str(machine) for machine, _ in cleared}
    card = sheets.PocketCard(
        name=snapshot.named[student.pk],
        machines=tuple(name for pk, name in called.items() if pk not in days),
        valid_until=until,
        code=PREVIEW,
        url="",
        note=_(EARLIER) if doubted else "",
        dated=tuple(
            _("{machine}, to {day}", machine=called[pk], day=written_short_day(day))
            for pk, day in days.items()
            if day and day > snapshot.today
        ),
    )
    cells = frozenset((student.pk, machine.pk) for machine, _ in cleared)
    dated = frozenset((student.pk, pk, day) for pk, day in days.items() if day)
    return card, SheetContents(
        cells, words(replace(card, note=EARLIER if doubted else "")), until, None, dated, frozenset(snapshot.out_of_use)
    )


def has_card(snapshot: ShopSnapshot, student: Person) -> bool:
    """Whether there is a machine to put on the student's pocket card."""
    return bool(pocket_card(snapshot, student)[0].lines)


def pocket_cards(
    snapshot: ShopSnapshot, section: Section, cards: Sequence[sheets.PocketCard], *, backs: bool
) -> sheets.PocketCards:
    carried = {card.name for card in cards}
    people = snapshot.members_of([section])
    students = [student for student in snapshot.matrix.students if student.pk in people]
    return sheets.PocketCards(
        scope=section.name,
        school=snapshot.shop.school.name,
        cards=tuple(cards),
        printed=snapshot.today,
        backs=backs,
        demo=snapshot.shop.school.is_demo,
        without=tuple(
            snapshot.named[student.pk]
            for student in students
            if snapshot.named[student.pk] not in carried and not has_card(snapshot, student)
        ),
    )


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
    title = _("Rule poster: {subject}", subject=edition.bank.subject)
    return sheets.RulePosters((illustrated,), snapshot.today, title, snapshot.shop.school.is_demo)


def _with_picture(poster: sheets.RulePoster, text: EditionText, rule: Rule, school: int) -> sheets.RulePoster:
    """The poster with its rule's drawing, if it has one that can be printed."""
    facts = text.pictures.get(rule.picture)
    if facts is None:
        return poster
    row = Picture.objects.filter(school=school, digest=facts.digest, kind=facts.kind).first()
    if row is None:
        return poster
    return replace(
        poster,
        picture=data_address(facts.kind, bytes(row.content)),
        picture_alt=rule.picture_alt,
        picture_ratio=facts.width / facts.height,
    )
