"""The floor of one shop, loaded at once: its machines in room order, who is at each, who waits, and what runs still."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from machines.clearance.out_of_use import OutOfUse, out_of_use_by_keys
from machines.floor.facts import FloorView, MachineNow, ShopStatus, Tile, TileFacts, TileState
from machines.floor.facts import Run as RunNow
from machines.floor.queries import open_shops, settings_of
from machines.floor.rows.statements import MachineRow, machines_now, waiting_now
from machines.floor.rules.tiles import floor_view
from machines.floor.showing.hour_card import HourCard, hour_card
from machines.floor.supervision import granted_today
from machines.models import FloorSettings, Machine, Run, RunHelper, WaitingStudent
from shopsafe.act import server_time
from shopsafe.language.messages import _, marked
from shopsafe.school.calendar import local_day
from shopsafe.school.clock import last_entry_of
from shopsafe.school.models import Person, Shop
from shopsafe.school.naming.name_labels import short_names_of

SHOWN_WAITING = 3
FREE_UNKNOWN = marked("Ask first.")  # where a shop keeps no runs, no one can say that a machine is free


@dataclass(frozen=True)
class FloorTile:
    """One machine with its tile. `held`: a hold was placed on its user, who must stop."""

    machine: Machine
    tile: Tile
    run: Run | None
    held: bool
    helpers: tuple[str, ...]
    waiting: tuple[WaitingStudent, ...]
    names: dict[int, str]
    keeps_runs: bool

    @property
    def slug(self) -> str:
        return self.tile.state.replace(" ", "-")

    @property
    def headline(self) -> str:
        if self.tile.state == TileState.FREE and not self.keeps_runs:
            return _(FREE_UNKNOWN)
        return self.tile.headline

    @property
    def user(self) -> str:
        return self.names.get(self.run.student_id, "") if self.run else ""

    @property
    def waiting_names(self) -> str:
        """ "Gus P., Lior B., +2" """
        names = [self.names[row.student_id] for row in self.waiting]
        more = [f"+{len(names) - SHOWN_WAITING}"] if len(names) > SHOWN_WAITING else []
        return ", ".join(names[:SHOWN_WAITING] + more)

    @property
    def asks_helper(self) -> bool:
        return self.run is not None and len(self.helpers) < self.machine.kind.helpers


@dataclass(frozen=True)
class FloorPage:
    """Everything that the floor page shows of one shop, as it is by the server's clock."""

    shop: Shop
    settings: FloorSettings
    card: HourCard
    view: FloorView
    tiles: list[FloorTile]
    clock: datetime
    version: str

    @property
    def ended(self) -> bool:
        return self.card.state.status == ShopStatus.RUNS_ENDED

    @cached_property
    def still_running(self) -> list[FloorTile]:
        """Machines that no one may run, with a run on the list: each is to be confirmed stopped."""
        return [tile for tile in self.tiles if tile.run is not None and (tile.tile.still_running or tile.held)]

    @property
    def tally(self) -> list[tuple[int, str]]:
        free = _("free") if self.settings.keeps_runs else _("in service")
        words = {
            TileState.IN_USE: _("in use"),
            TileState.FREE: free,
            TileState.CHECKING: _("being checked"),
            TileState.KEEP_OFF: _("keep off"),
            TileState.TAGGED_OUT: _("tagged out"),
        }
        return [(self.view.counts[state], text) for state, text in words.items() if self.view.counts[state]]


def floor_card(shop: Shop, reader: Person) -> HourCard:
    """The opening of a shop, as the reader may act on it. One query, for a substitute two."""
    clock = server_time()
    now = open_shops([shop.pk], last_entry_of(reader)).get(shop.pk)
    granted = granted_today(reader, clock) if reader.is_substitute else []
    return hour_card(shop, now.opening.section if now else None, now, reader, clock, granted=granted)


def floor_now(shop: Shop) -> FloorPage:
    """The floor for a command: read by a teacher of the shop, or by no one in particular."""
    reader = shop.teachers.order_by("pk").first() or Person(school_id=shop.school_id, role=Person.Role.OFFICE)
    return floor_page(shop, floor_card(shop, reader), reader)


def version_of(card: HourCard, reader: Person) -> str:
    """What changes whenever the floor does: the school's last entry, the state of the shop, and the minute."""
    last = last_entry_of(reader)
    return f"{last.isoformat() if last else ''} {card.state.status} {card.clock:%H:%M}"


def floor_page(shop: Shop, card: HourCard, reader: Person) -> FloorPage:
    """One query, and one for waiting lists where the shop is open; one more each for tag-outs, for reports that keep a
    machine off, for helpers."""
    clock, settings = card.clock, settings_of(shop)
    at, day = max(clock, last_entry_of(reader) or clock), local_day(clock, shop.school.time_zone)
    rows = in_room_order(machines_now(shop.pk, at, day), settings)
    off = out_of_use_by_keys([(row.machine.pk, row.tag_out, row.off) for row in rows])
    runs = {row.machine.pk: row.run for row in rows if row.run is not None}
    waiting = waiting_in(card)
    helpers = helpers_of([run.pk for run in runs.values() if run.machine.kind.helpers])
    people = [run.student for run in runs.values()] + [row.student for rows in waiting.values() for row in rows]
    names = short_names_of([*people, *(row.student for rows in helpers.values() for row in rows)])
    facts = [tile_facts(row.machine, row.run, off.get(row.machine.pk), names) for row in rows]
    view = floor_view(facts, card.now.hour if card.now else None, clock, clock)
    tiles = [
        FloorTile(
            row.machine,
            tile,
            row.run,
            held=row.held,
            helpers=tuple(names[helper.student_id] for helper in helpers.get(row.run.pk if row.run else 0, ())),
            waiting=tuple(waiting.get(row.machine.pk, ())),
            names=names,
            keeps_runs=settings.keeps_runs,
        )
        for row, tile in zip(rows, view.tiles, strict=True)
    ]
    return FloorPage(shop, settings, card, view, tiles, clock, version_of(card, reader))


def tile_facts(machine: Machine, run: Run | None, off: OutOfUse | None, names: dict[int, str]) -> TileFacts:
    now = MachineNow(
        machine.pk,
        machine.spoken,
        tagged_out=off.tagged_out if off else "",
        kept_off=off.kept_off if off else "",
        user=names[run.student_id] if run else "",
    )
    return TileFacts(now, run_now(run), out_since=off.at if off else None, off_since=off.at if off else None)


def in_room_order(rows: Iterable[MachineRow], settings: FloorSettings) -> list[MachineRow]:
    """The machines in the order of the room; those that no one placed come last, by number."""
    place = {pk: place for place, pk in enumerate(settings.tile_order)}
    return sorted(rows, key=lambda row: place.get(row.machine.pk, len(place)))


def run_now(run: Run | None) -> RunNow | None:
    return RunNow(run.student_id, run.machine_id, run.given_at, run.started_at) if run else None


def waiting_in(card: HourCard) -> dict[int, list[WaitingStudent]]:
    """Machine → who waits for it, the next one first."""
    if card.now is None:
        return {}
    waiting: dict[int, list[WaitingStudent]] = {}
    for row in waiting_now(card.now.opening.pk):
        waiting.setdefault(row.machine_id, []).append(row)
    return waiting


def helpers_of(runs: Collection[int]) -> dict[int, list[RunHelper]]:
    """Run → its helpers. No query where no machine type asks for one."""
    helpers: dict[int, list[RunHelper]] = {}
    if runs:
        for row in RunHelper.objects.filter(run__in=runs, ended_at=None).select_related("student").order_by("pk"):
            helpers.setdefault(row.run_id, []).append(row)
    return helpers
