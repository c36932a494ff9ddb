"""Machines that no one may use at a moment, and why: tagged out, or kept off until a teacher looks at a report.

Everything that asks whether a machine may run asks here, so that a machine kept off is treated like one tagged out.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import OuterRef, Q, QuerySet, Subquery

from machines.models import HazardReport, Machine, TagOut
from shopsafe.database.plain_rows import first_key
from shopsafe.language.messages import _
from shopsafe.school.refusals import Refused

KEEP_OFF = HazardReport.Effect.KEEP_OFF


@dataclass(frozen=True)
class OutOfUse:
    """Why no one may use a machine: its tag-out, or the first of the open reports that keep it off."""

    tag_out: TagOut | None = None
    report: HazardReport | None = None

    @property
    def label(self) -> str:
        """What is on a tile or in the head of a column."""
        return _("Tagged out") if self.tag_out else _("Keep off")

    def head(self, machine: Machine) -> str:
        """ "Band saw 2 (tagged out)": the head of a column in a spreadsheet."""
        if self.tag_out:
            return _("{machine} (tagged out)", machine=machine)
        return _("{machine} (keep off)", machine=machine)

    @property
    def headline(self) -> str:
        return _("Tagged out. No one may use it.") if self.tag_out else _("Keep off until the teacher looks.")

    @property
    def past(self) -> str:
        """The headline for a moment that has passed."""
        if self.tag_out:
            return _("It was tagged out then. No one was allowed to use it.")
        return _("It was kept off then. No one was allowed to use it.")

    @property
    def reason(self) -> str:
        """For everyone: what was seen. The words of a report are for staff."""
        if self.tag_out:
            return self.tag_out.reason
        if self.report and self.is_choice_of_teacher:
            return _("A teacher keeps it off for now.")
        return f"{self.report.get_kind_display()}." if self.report else ""

    @property
    def is_choice_of_teacher(self) -> bool:
        """True where nothing on the list was seen. By itself such a report keeps no machine off: a teacher chose to."""
        return bool(self.report and self.report.kind == HazardReport.Kind.OTHER)

    @property
    def for_staff(self) -> str:
        """The reason in the words of the person who gave it, where there are any."""
        return (self.report.words if self.report else "") or self.reason

    @property
    def tagged_out(self) -> str:
        """The reason of its tag-out; empty if it is only kept off."""
        return self.reason if self.tag_out else ""

    @property
    def kept_off(self) -> str:
        """What was reported; empty if it is tagged out."""
        if self.tag_out:
            return ""
        if self.is_choice_of_teacher:
            return self.reason
        return _("{reason} A teacher looks first.", reason=self.reason)

    @property
    def by(self) -> str:
        """Who tagged it out. Who made a report is for staff alone."""
        return self.tag_out.by.name if self.tag_out else ""

    @property
    def at(self) -> datetime | None:
        row = self.tag_out or self.report
        return row.at if row else None

    @property
    def key(self) -> int | str:
        """What a print remembers of it: the same as long as the same thing keeps the machine out of use."""
        return self.tag_out.pk if self.tag_out else f"report {self.report.pk if self.report else 0}"

    def about(self, machine: Machine) -> str:
        """ "Band saw 2 is tagged out. No one may use it." """
        if self.tag_out:
            return _("{machine} is tagged out. No one may use it.", machine=machine)
        return _("Keep off {machine} until the teacher looks.", machine=machine.spoken)


def out_of_use(machine_ids: Collection[int], at: datetime) -> dict[int, OutOfUse]:
    """Machine → why no one may use it at `at`. A tag-out comes before any report. One query while all may be used, two
    or three otherwise."""
    rows = with_out_of_use(Machine.objects.filter(pk__in=list(machine_ids)), at)
    some = rows.filter(Q(tag_out_key__isnull=False) | Q(report_key__isnull=False))
    # The plugin reads no annotation out of a function.
    return out_of_use_by_keys(some.values_list("pk", "tag_out_key", "report_key"))  # type: ignore[misc]


def with_out_of_use(machines: QuerySet[Machine], at: datetime) -> QuerySet[Machine]:
    """The machines with `tag_out_key`, and `report_key` of the first report that keeps them off."""
    tag_outs = TagOut.objects.filter(machine=OuterRef("pk"), at__lte=at)
    tag_outs = tag_outs.filter(Q(returned_at=None) | Q(returned_at__gt=at)).order_by("pk")
    reports = HazardReport.objects.filter(machine=OuterRef("pk"), effect=KEEP_OFF, at__lte=at)
    reports = reports.filter(Q(ended_at=None) | Q(ended_at__gt=at)).order_by("at", "pk")
    return machines.annotate(
        tag_out_key=Subquery(tag_outs.values("pk")[:1]), report_key=Subquery(reports.values("pk")[:1])
    )


# The same keys, for a statement that calls the machine's row `machine`.
TAG_OUT_KEY = """(SELECT MIN(tagged.id) FROM machines_tagout tagged WHERE tagged.machine_id = machine.id
    AND tagged.at <= %(at)s AND (tagged.returned_at IS NULL OR tagged.returned_at > %(at)s))"""
REPORT_KEY = f"""(SELECT report.id FROM machines_hazardreport report WHERE report.machine_id = machine.id
    AND report.effect = '{KEEP_OFF}' AND report.at <= %(at)s AND (report.ended_at IS NULL OR report.ended_at > %(at)s)
    ORDER BY report.at, report.id LIMIT 1)"""  # noqa: S608  a word of ours


def out_of_use_by_keys(keys: Iterable[tuple[int, int | None, int | None]]) -> dict[int, OutOfUse]:
    """Out of (machine, its tag-out, its report). No query where all may be used."""
    keys = [key for key in keys if key[1] or key[2]]
    tag_outs = TagOut.objects.select_related("by").in_bulk([tag_out for _, tag_out, _ in keys if tag_out])
    reports = HazardReport.objects.in_bulk([report for _, tag_out, report in keys if not tag_out])
    return {
        pk: OutOfUse(tag_out=tag_outs[tag_out]) if tag_out else OutOfUse(report=reports[report])
        for pk, tag_out, report in keys
    }


# The machine, if it is out of use by what is stored now.
OUT_NOW = f"""SELECT machine.id FROM machines_machine machine WHERE machine.id = %s AND (
    EXISTS (SELECT 1 FROM machines_tagout tagged WHERE tagged.machine_id = machine.id AND tagged.returned_at IS NULL)
    OR EXISTS (SELECT 1 FROM machines_hazardreport report WHERE report.machine_id = machine.id
        AND report.effect = '{KEEP_OFF}' AND report.ended_at IS NULL))"""  # noqa: S608  a word of ours


def in_use_refusal(machine: Machine, code: str) -> Refused | None:
    """The refusal of an act that needs the machine in use, by what is stored now; None if it may be used.

    Its code is {code}.tagged-out or {code}.kept-off.
    """
    if first_key(OUT_NOW, machine.pk) is None:
        return None
    tag_out = TagOut.objects.filter(machine=machine, returned_at=None).first()
    if tag_out is not None:
        return Refused(
            f"{code}.tagged-out", _("{machine} is tagged out: {reason}", machine=machine, reason=tag_out.reason)
        )
    report = HazardReport.objects.filter(machine=machine, ended_at=None, effect=KEEP_OFF).first()
    if report is not None:
        seen = report.get_kind_display()
        return Refused(
            f"{code}.kept-off",
            _("Keep off {machine} until the teacher looks. Reported: {seen}.", machine=machine.spoken, seen=seen),
        )
    return None
