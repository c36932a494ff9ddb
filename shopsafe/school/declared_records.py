"""The safety records of people: their documents, as the logbook verifies and guards them."""

from shopsafe.logbook.verification.declared import Aspect, RecordTable, always, day, payload_value, plain
from shopsafe.logbook.verification.triggers import Guard

# A document names no entry: it goes once an entry says that its student is erased.
ERASES = {
    "sqlite": "json_extract(CAST(b.payload AS TEXT), '$.person_key') = OLD.student_id",
    "postgresql": "convert_from(b.payload, 'UTF8')::json ->> 'person_key' = OLD.student_id::text",
}
KEEPS = "NOT EXISTS (SELECT 1 FROM logbook_body b WHERE b.seq IN (SELECT by_id FROM logbook_erasure) AND {erases})"

KIND = plain("kind", "document.code")
# Entries of safety agreements name no kind of document.
IS_AGREEMENT = {"kind": always("agreement")}

DOCUMENT = RecordTable(
    name="document of student",
    table="school_safetyagreement",
    key="r.student_id",
    aspects=(
        Aspect(
            "recorded",
            {"agreement.recorded": IS_AGREEMENT, "document.recorded": {}},
            payload_value("student.id"),
            "r.recorded_at",
            (KIND, plain("year"), day("signed_on"), plain("recorded_by_id", "by.id")),
        ),
        Aspect(
            "withdrawn",
            {"agreement.taken_back": IS_AGREEMENT, "document.taken_back": {}},
            payload_value("student.id"),
            "r.taken_back_at",
            (
                KIND,
                plain("year"),
                day("signed_on"),
                plain("taken_back_by_id", "by.id"),
                plain("taken_back_reason", "reason"),
            ),
        ),
    ),
    guard=Guard(
        fixed="id school_id student_id kind year signed_on recorded_by_id recorded_at",
        ends=("taken_back_at taken_back_by_id taken_back_reason",),
        one_of=(
            "id = NEW.id",
            "student_id = NEW.student_id AND year = NEW.year AND kind = 'agreement' AND NEW.kind = 'agreement' "
            "AND taken_back_at IS NULL AND NEW.taken_back_at IS NULL",
            "student_id = NEW.student_id AND kind = NEW.kind AND kind <> 'agreement' AND signed_on = NEW.signed_on "
            "AND taken_back_at IS NULL AND NEW.taken_back_at IS NULL",
        ),
        keeps={engine: KEEPS.format(erases=erases) for engine, erases in ERASES.items()},
    ),
)

RECORDS = (DOCUMENT,)
