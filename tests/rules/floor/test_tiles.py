"""What a tile shows: keep off in any doubt, and never "free" or "in use" on a machine that must not run."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines.floor.facts import MachineNow, Presence, Run, ShopHour, TileFacts, TileState
from machines.floor.rules.tiles import floor_view, is_stale

AT = datetime(2026, 11, 9, 16, 42, tzinfo=UTC)
MINUTE, SECOND = timedelta(minutes=1), timedelta(seconds=1)
SHOP = ShopHour(9, AT - 10 * MINUTE, "Odile Ferrant", Presence(AT - 5 * MINUTE, "Odile Ferrant"))
SAW = MachineNow(3, "band saw 3")
RUNNING = Run(1, 3, AT - 9 * MINUTE, AT - 8 * MINUTE)
BUSY = TileFacts(replace(SAW, user="Jory K.", user_key=1), RUNNING)


def only_tile(facts: TileFacts, shop: ShopHour | None = SHOP, heard_at: datetime = AT, at: datetime = AT):
    return floor_view([facts], shop, heard_at, at).tiles[0]


@pytest.mark.parametrize(
    ("facts", "state", "headline", "detail", "since"),
    [
        (TileFacts(SAW), TileState.FREE, "Free. Ask first.", "", None),
        (BUSY, TileState.IN_USE, "In use", "Jory K.", AT - 8 * MINUTE),
        (
            replace(BUSY, run=RUNNING._replace(checked_at=None)),
            TileState.CHECKING,
            "Not running",
            "Jory K. is checking it first.",
            AT - 9 * MINUTE,
        ),
        (
            TileFacts(replace(SAW, kept_off="Blade change"), off_since=AT - MINUTE),
            TileState.KEEP_OFF,
            "Keep off",
            "Blade change",
            AT - MINUTE,
        ),
        (
            TileFacts(replace(SAW, tagged_out="Guard cracked"), out_since=AT - MINUTE),
            TileState.TAGGED_OUT,
            "Tagged out",
            "Guard cracked",
            AT - MINUTE,
        ),
    ],
)
def test_tile_shows_the_state_of_its_machine(facts, state, headline, detail, since):
    tile = only_tile(facts)
    assert (tile.state, tile.headline, tile.detail, tile.since) == (state, headline, detail, since)
    assert (tile.machine, tile.user) == (SAW.key, "Jory K." if facts.run else "")
    assert not tile.still_running


def test_user_of_a_run_that_has_ended_is_not_shown():
    # The machine row still names the last student; there is no open run.
    assert only_tile(replace(BUSY, run=None)).user == ""


@pytest.mark.parametrize(
    ("shop", "detail"),
    [
        (None, "The shop is closed."),
        (replace(SHOP, closed_at=AT), "The shop is closed."),
        (replace(SHOP, presence=Presence(AT - 15 * MINUTE, "Odile Ferrant")), "No teacher here."),
        (replace(SHOP, presence=Presence(AT + 15 * MINUTE, "Odile Ferrant")), "No teacher here."),
        (replace(SHOP, runs_ended_at=AT), "The teacher ended all runs."),
    ],
)
def test_every_tile_says_keep_off_when_the_shop_is_not_open(shop, detail):
    for facts in (TileFacts(SAW), BUSY):
        tile = only_tile(facts, shop)
        assert (tile.state, tile.detail) == (TileState.KEEP_OFF, detail)
    assert only_tile(BUSY, shop).still_running
    assert only_tile(BUSY, shop).user == "Jory K."


def test_run_on_a_machine_tagged_out_since_is_still_named():
    tile = only_tile(replace(BUSY, machine=replace(BUSY.machine, tagged_out="Smoke")))
    assert (tile.state, tile.still_running, tile.user) == (TileState.TAGGED_OUT, True, "Jory K.")


def test_run_on_a_machine_reported_since_is_still_named():
    tile = only_tile(replace(BUSY, machine=replace(BUSY.machine, kept_off="Keep off until the teacher looks")))
    assert (tile.state, tile.still_running) == (TileState.KEEP_OFF, True)


@pytest.mark.parametrize(
    ("age", "stale"),
    [
        (0 * SECOND, False),
        (59 * SECOND, False),
        (60 * SECOND, True),
        (20 * MINUTE, True),
        (-5 * SECOND, False),
        (-6 * SECOND, True),
    ],
)
def test_page_is_stale_after_sixty_seconds_without_news(age, stale):
    assert is_stale(AT - age, AT) is stale
    view = floor_view([TileFacts(SAW), BUSY], SHOP, AT - age, AT)
    assert view.stale is stale
    assert view.heard_at == AT - age
    assert (view.counts[TileState.KEEP_OFF] == 2) is stale
    assert (view.tiles[0].detail == "No news from the server.") is stale


def test_stale_page_still_shows_which_machines_are_tagged_out():
    tile = only_tile(TileFacts(replace(SAW, tagged_out="Guard cracked")), heard_at=AT - 20 * MINUTE)
    assert tile.state is TileState.TAGGED_OUT


def test_tablet_that_slept_says_keep_off_although_its_facts_say_open():
    # The facts were fresh when heard; the tablet shows them twenty minutes later.
    late = AT + 20 * MINUTE
    assert only_tile(BUSY, SHOP, heard_at=AT, at=late).state is TileState.KEEP_OFF


@st.composite
def floors(draw: st.DrawFn) -> tuple[list[TileFacts], ShopHour | None, datetime]:
    seconds = st.integers(-200, 2000).map(lambda count: AT - count * SECOND)
    maybe = st.none() | seconds
    shop = st.none() | st.builds(
        ShopHour,
        st.just(9),
        seconds,
        st.just("Odile Ferrant"),
        st.builds(Presence, seconds, st.just("Odile Ferrant"), st.just(15 * MINUTE), maybe),
        maybe,
        maybe,
    )
    words = st.sampled_from(["", "", "Guard cracked"])
    tiles = []
    for key in range(draw(st.integers(1, 4))):
        run = draw(st.none() | st.builds(Run, st.just(1), st.just(key), seconds, maybe))
        user = ("Jory K.", 1) if run else ("", None)
        tiles.append(TileFacts(MachineNow(key, f"saw {key}", draw(words), draw(words), *user), run))
    return tiles, draw(shop), draw(seconds)


@given(floors())
def test_tile_without_keep_off_or_tag_has_a_teacher_and_fresh_news(case):
    facts, shop, heard_at = case
    view = floor_view(facts, shop, heard_at, AT)
    assert len(view.tiles) == sum(view.counts.values()) == len(facts)
    for tile, own in zip(view.tiles, facts, strict=True):
        assert tile.headline
        if tile.state in (TileState.FREE, TileState.CHECKING, TileState.IN_USE):
            assert view.shop.is_open
            assert not view.stale
            assert not own.machine.tagged_out
            assert not own.machine.kept_off
        shows_run = tile.state in (TileState.CHECKING, TileState.IN_USE)
        assert (own.run is not None) == (shows_run or tile.still_running)
        assert bool(own.machine.tagged_out) == (tile.state is TileState.TAGGED_OUT)
