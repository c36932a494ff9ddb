"""The tag of a machine that no one may start, and inspection sheets: from dataclass to PDF."""

from shopsafe.conventions import written_day
from shopsafe.language.messages import _, marked
from shopsafe.paper.codes import qr_side_mm
from shopsafe.paper.letters import drawable
from shopsafe.paper.press.render import render_pdf
from shopsafe.paper.rules.legibility import width
from shopsafe.paper.rules.sheets import LETTER, Paper
from shopsafe.paper.rules.upkeep_sheets import A6, InspectionSheet, Tag
from shopsafe.paper.setting import faces, qr_square, style

MARGIN = 8.0
INSIDE = 17.0  # the frame and the space inside it, on both sides
WARNING = marked("Do not start")
REASON_SIZES = ((60, 8.0), (120, 6.5), (200, 5.0), (301, 4.2))  # up to so many letters, in millimeters
LARGEST, SMALLEST = 14.0, 5.0


def tag(sheet: Tag) -> bytes:
    """One A6 page [ISO 216]."""
    sheet = drawable(sheet)
    wide, side = A6.width - 2 * MARGIN - INSIDE, qr_side_mm(sheet.url)
    warning = _(WARNING)
    word = wide / width(warning.upper(), 1, faces().heading)
    fits = wide / max(width(sheet.machine.upper(), 1, faces().heading), 0.01)
    reason = next(size for most, size in REASON_SIZES if len(sheet.reason) < most)
    context = {
        "tag": sheet,
        "warning": warning,
        "paper": A6,
        "style": style(
            high=A6.height - 2 * MARGIN,
            word=word,
            machine=max(SMALLEST, min(LARGEST, fits)),
            reason=reason,
            square=side,
        ),
        "qr": qr_square(sheet.url, says=_("Leads to the page of {machine}", machine=sheet.machine)),
    }
    return render_pdf("machines/paper/tag.html", context, title=f"{warning}: {sheet.machine}")


def inspection_sheets(sheet: InspectionSheet, paper: Paper = LETTER) -> bytes:
    """As many pages as the lists need; a machine's list is not parted if it fits on a page."""
    sheet = drawable(sheet)
    cells = [(_("Shop"), sheet.shop), (_("Inspection"), sheet.interval), (_("Printed"), written_day(sheet.printed))]
    context = {"sheet": sheet, "paper": paper, "cells": cells}
    return render_pdf(
        "machines/paper/inspection_sheet.html", context, title=_("Inspection, {interval}", interval=sheet.interval)
    )
