"""manage.py logbook verify | checkpoint | export | erase: the record from the command line, as JSON."""

import json
import os
from argparse import ArgumentTypeError
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser

from machines.evidence import file
from machines.evidence.acts import export_record
from machines.records import erasure
from machines.records.acts import erase_student
from machines.records.erasure import ErasurePlan
from shopsafe.database.sweeping import files_holding, sweep
from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.kept import kept_words
from shopsafe.language.messages import _, marked
from shopsafe.language.stored import as_stored
from shopsafe.logbook.acts.note_verification import note_verification
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.logbook.asked_check import read_if_asked
from shopsafe.logbook.mailing import mail_checkpoint
from shopsafe.logbook.rules import chain
from shopsafe.logbook.rules.checkpoint_codes import read_code
from shopsafe.logbook.verification.verify import CheckpointMark, Verdict, verify
from shopsafe.school.clock import school_moment
from shopsafe.school.lookup import student_by_number_or_name
from shopsafe.school.refusals import Refused


def mark(text: str) -> CheckpointMark:
    """A checkpoint as it is printed: how many entries, a colon, the root in hexadecimal, or the beginning of it."""
    known = read_code(text)
    if known is None:
        raise ArgumentTypeError(_("{text} is not a checkpoint; give SIZE:ROOT as printed.", text=repr(text)))
    return CheckpointMark(*known)


def as_json(verdict: Verdict) -> dict[str, Any]:
    return {
        "holds": verdict.holds,
        "entries": verdict.entries,
        "erased": verdict.erased,
        "checkpoints": verdict.checkpoints,
        "head": verdict.head.hex(),
        "root": verdict.root.hex(),
        "first_bad_entry": verdict.fault.seq if verdict.fault else None,
        "what": verdict.fault.code if verdict.fault else None,
        "records": [fault.sentence for fault in verdict.records],
        "triggers": list(verdict.unguarded),
        "says": verdict.says_wrong,
    }


def as_going(going: ErasurePlan) -> dict[str, Any]:
    return {
        "rows": {what.partition(" ")[2]: count for count, what in going.parts},  # "3 sign-offs"
        "entries": len(going.entries),
        "written_again": list(going.shared),
        "mentioned_in": list(going.mentions),
        "print_again": list(going.prints),
        "stays": going.stays.sentence if going.stays else None,
    }


class Command(TranslatedCommand):
    help = marked(
        "Checks the logbook, takes a checkpoint to be kept elsewhere, exports or erases what it says of one student."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        deeds = parser.add_subparsers(dest="deed", required=True)
        check = deeds.add_parser(
            "verify", help=_("Read every entry; name the first bad one. Exit code 1 if there is one.")
        )
        check.add_argument(
            "--against",
            type=mark,
            action="append",
            default=[],
            metavar="SIZE:ROOT",
            help=_("A checkpoint kept elsewhere, as printed on a chart or an evidence file. May be given again."),
        )
        check.add_argument(
            "--asked", action="store_true", help=_("Only if someone asked on the Logbook page, and for that page.")
        )
        take = deeds.add_parser("checkpoint", help=_("Print how many entries there are and the root over them."))
        take.add_argument("--mail", action="store_true", help=_("Mail it to the addresses of CHECKPOINT_MAIL."))
        export = deeds.add_parser(
            "export", help=_("Everything about one student, with proofs: JSON, or PDF with it inside.")
        )
        export.add_argument("student", metavar="STUDENT", help=_("the student's number or full name"))
        export.add_argument(
            "--out",
            dest="target",
            type=Path,
            metavar="F",
            help=_("a file to write; one that ends in .pdf becomes a PDF"),
        )

        erase_parser = deeds.add_parser(
            "erase", help=_("Show what erasing one student's record takes away; --really does it.")
        )
        erase_parser.add_argument("student", metavar="STUDENT", help=_("the student's number or full name"))
        erase_parser.add_argument(
            "--reason", default="", metavar="R", help=_("why; it stays, so without the student's name")
        )
        erase_parser.add_argument("--really", action="store_true", help=_("erase it; this can't be undone"))

    def handle(self, *args: Any, deed: str, **options: Any) -> None:
        try:
            getattr(self, deed)(**options)
        except Refused as refusal:
            raise CommandError(refusal.sentence) from refusal

    def verify(self, against: list[CheckpointMark], asked: bool, **options: Any) -> None:
        if asked:
            os.nice(19)  # a student who saves an answer goes first
            read_if_asked()
            return
        verdict = verify(against)
        note_verification(verdict=verdict)
        self.say(as_json(verdict))
        if not verdict.holds:
            raise CommandError(verdict.says_wrong)

    def checkpoint(self, mail: bool, **options: Any) -> None:
        taken = take_checkpoint()
        copy = mail_checkpoint(taken) if mail else None
        root = bytes(taken.root).hex()
        self.say({"size": taken.size, "root": root, "at": chain.utc_second(taken.at), "print": str(taken)})
        if copy and copy.problem:
            raise CommandError(kept_words(copy.problem))

    def export(self, student: str, target: Path | None, **options: Any) -> None:
        who = student_by_number_or_name(student)
        at = school_moment(who.school_id)
        form = "PDF" if target and target.suffix.lower() == ".pdf" else "JSON"
        export_record(student=who, by=None, form=form)
        take_checkpoint()
        whole = file.evidence_file(who)
        if target is None:
            self.stdout.write(file.as_json(whole).decode())
            return
        try:
            target.write_bytes(file.as_pdf(whole, who, at) if form == "PDF" else file.as_json(whole))
        except OSError as wrong:
            raise CommandError(f"{target}: {wrong.strerror}.") from wrong
        self.say({"student": who.as_record(), "entries": len(whole["entries"]), "file": str(target)})

    def erase(self, student: str, reason: str, really: bool, **options: Any) -> None:
        who = student_by_number_or_name(student)
        if not really:
            self.say(
                {
                    "really": False,
                    "student": who.as_record(),
                    **as_going(as_stored(lambda: erasure.erasure_plan(who, school_moment(who.school_id)))),
                }
            )
            return
        called = erasure.names_of(who)
        done = erase_student(student=who, reason=reason, by=None)
        swept = sweep()
        still_in = [str(path) for path in files_holding(*called, who.sign_in_name)]
        self.say({"really": True, "entry": done.entry, **as_going(done.going), "swept": swept, "still_in": still_in})

    def say(self, what: dict[str, Any]) -> None:
        self.stdout.write(json.dumps(what, indent=2, ensure_ascii=False))
