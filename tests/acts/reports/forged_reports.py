"""Forgeries of hazard reports: name → the statements, the record that verify names, and the kind of its entry."""

# ruff: noqa: S608  the statements are written here, and are the point

from collections.abc import Callable

from tests.acts.records.forgeries import Recorded

type Forgery = Callable[[Recorded], list[str]]

FORGED_REPORTS: dict[str, tuple[Forgery, str, str]] = {
    "a report that keeps nothing off": (
        lambda r: [f"UPDATE machines_hazardreport SET effect = 'flag' WHERE id = {r.report.pk}"],
        "hazard report {r.report.pk}",
        "report.made",
    ),
    "a report ended by no tag-out": (
        lambda r: [f"UPDATE machines_hazardreport SET tag_out_id = NULL, found = 'Fine' WHERE id = {r.report.pk}"],
        "hazard report {r.report.pk}",
        "report.tagged_out",
    ),
    "a report cleared by a colleague": (
        lambda r: [f"UPDATE machines_hazardreport SET ended_by_id = {r.cast.colleague.pk} WHERE id = {r.cleared.pk}"],
        "hazard report {r.cleared.pk}",
        "report.cleared",
    ),
}
