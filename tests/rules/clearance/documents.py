"""A second kind of document, so that tests see what is common to all kinds."""

from shopsafe.school.people.rules.documents import DocumentKind, DocumentWords

FIT_RECORD = DocumentKind(
    code="fit-record",
    words=DocumentWords(
        name="respirator fit record",
        asks="A respirator fit record of the last 365 days",
        missing="Hand in a respirator fit record of the last 365 days.",
        missing_for_staff="No respirator fit record of the last 365 days is in.",
        met="A respirator fit record is in.",
        keeps="hand in a new respirator fit record before that day.",
    ),
    valid_days=365,
)
