"""Entries of the shop in use with the sentence that each says."""

from typing import Any

STUDENT, HELPER, BY = {"id": 7, "name": "A. Kaya"}, {"id": 8, "name": "B. Yildiz"}, {"id": 1, "name": "Ms Ferrant"}
SAW, SHOP, CLASS = {"id": 2, "name": "Band saw 2"}, {"id": 6, "name": "Room W"}, {"id": 4, "name": "Period 3"}
RUN = {"student": STUDENT, "machine": SAW, "run": 5}
GRANT = {"section": CLASS, "substitute": {"id": 9, "name": "Mr Bexley"}, "day": "2026-11-27", "by": BY}

FLOOR_CASES: list[tuple[str, dict[str, Any], str]] = [
    ("shop.opened", {"shop": SHOP, "section": CLASS, "by": BY}, "Shop opened: Room W for Period 3 by Ms Ferrant"),
    ("shop.opened", {"shop": SHOP, "by": BY}, "Shop opened: Room W by Ms Ferrant"),
    ("shop.presence", {"shop": SHOP, "by": BY, "means": "button"}, "Presence: Ms Ferrant in Room W"),
    ("shop.presence", {"shop": SHOP, "by": BY, "means": "taken over"}, "Presence: Ms Ferrant in Room W, who took over"),
    (
        "shop.closed",
        {"shop": SHOP, "by": BY, "answers": [{"line": "Guards down", "done": True}, {"line": "Tools", "done": False}]},
        "Shop closed: Room W by Ms Ferrant, 2 lines checked, not done: Tools",
    ),
    (
        "shop.left_open",
        {"shop": SHOP, "section": CLASS, "by": BY},
        "Shop left open: Room W for Period 3, ended by Ms Ferrant without the closing list",
    ),
    ("runs.ended", {"shop": SHOP, "by": BY}, "All runs ended: Room W by Ms Ferrant"),
    ("runs.allowed", {"shop": SHOP, "by": BY}, "Machines may run again: Room W by Ms Ferrant"),
    ("run.given", {**RUN, "by": BY}, "Machine given: band saw 2 to A. Kaya by Ms Ferrant"),
    (
        "run.started",
        {**RUN, "checks": ["a", "b"]},
        "Run started: A. Kaya at band saw 2, 2 points checked by the student",
    ),
    ("run.ended", {**RUN, "by": BY}, "Run ended: A. Kaya at band saw 2, stopped, confirmed by Ms Ferrant"),
    ("helper.named", {**RUN, "helper": HELPER, "by": BY}, "Helper: B. Yildiz at band saw 2, named by Ms Ferrant"),
    ("helper.ended", {**RUN, "helper": HELPER, "by": BY}, "Helper released: B. Yildiz at band saw 2 by Ms Ferrant"),
    ("waiting.joined", RUN, "Waiting list: A. Kaya for band saw 2"),
    ("waiting.left", {**RUN, "by": BY}, "Waiting list left: A. Kaya for band saw 2, by Ms Ferrant"),
    ("supervising.granted", GRANT, "Supervising granted: Mr Bexley with Period 3 on November 27, 2026, by Ms Ferrant"),
    (
        "supervising.withdrawn",
        GRANT,
        "Supervising withdrawn: Mr Bexley with Period 3 on November 27, 2026, by Ms Ferrant",
    ),
    (
        "floor.set",
        {"shop": SHOP, "keeps_runs": True, "presence_minutes": 15, "closing_lines": ["a", "b"], "by": BY},
        "Floor settings: Room W keeps runs, presence every 15 minutes, 2 lines at closing, by Ms Ferrant",
    ),
]
