"""A body is taken whole, in time, and within a size; anything else is refused before a worker begins."""

import asyncio
import time

import pytest

from shopsafe.serving.bodies import CROWDED, LARGE, LATE, NO_LENGTH, BodyReader, BodyRefused, ClientGone, Limits
from tests.serving.fake_server import FakeExchange, FakeHeaders, sent

QUICK = Limits(seconds=0.05, largest=1000, small=10, together=100)


def read(headers: FakeHeaders, exchange: FakeExchange, reader: BodyReader | None = None) -> bytes:
    return asyncio.run((reader or BodyReader(QUICK)).read(headers, exchange))


def reason(headers: FakeHeaders, exchange: FakeExchange | None = None, reader: BodyReader | None = None) -> str:
    with pytest.raises(BodyRefused) as refused:
        read(headers, exchange or FakeExchange(), reader)
    return refused.value.reason


def test_body_in_pieces_is_joined() -> None:
    assert read(sent(9), FakeExchange([b"name", b"=", b"Adam"])) == b"name=Adam"


@pytest.mark.parametrize("headers", [sent(), sent(0)])
def test_request_without_a_body_waits_for_nothing(headers: FakeHeaders) -> None:
    assert read(headers, FakeExchange(stalls=True)) == b""


@pytest.mark.parametrize("length", [1001, "9" * 400, "-1", "1_0", "ten", "", "٣"])
def test_length_that_is_too_large_or_no_number_is_refused_unread(length: int | str) -> None:
    assert reason(sent(length), FakeExchange(stalls=True)) == LARGE


def test_body_without_a_length_is_refused() -> None:
    assert reason(sent(None, ("transfer-encoding", "chunked"))) == NO_LENGTH
    assert reason(sent(5, ("transfer-encoding", "chunked"))) == NO_LENGTH


def test_body_that_stalls_is_refused_at_the_deadline() -> None:
    began = time.monotonic()
    assert reason(sent(9), FakeExchange([b"name"], stalls=True)) == LATE
    assert QUICK.seconds < time.monotonic() - began < 2


def test_body_that_arrived_while_the_worker_was_busy_is_taken() -> None:
    async def busy_worker() -> bytes:
        reading = asyncio.create_task(BodyReader(QUICK).read(sent(4), exchange))
        await asyncio.sleep(0)
        time.sleep(QUICK.seconds * 2)  # a page that takes long: the deadline passes in the meantime
        arrived.set()
        return await reading

    class Arriving(FakeExchange):
        async def __aiter__(self):  # type: ignore[no-untyped-def]
            await arrived.wait()
            yield b"name"

    arrived, exchange = asyncio.Event(), Arriving()
    assert asyncio.run(busy_worker()) == b"name"


@pytest.mark.parametrize("pieces", [[], [b"nam"]])
def test_half_a_body_of_a_broken_line_is_dropped(pieces: list[bytes]) -> None:
    with pytest.raises(ClientGone):
        read(sent(4), FakeExchange(pieces))


def test_cancelled_reading_is_not_taken_for_a_late_body() -> None:
    async def stopped() -> None:
        task = asyncio.create_task(BodyReader(QUICK).read(sent(9), FakeExchange(stalls=True)))
        await asyncio.sleep(0)
        task.cancel()
        await task

    with pytest.raises(asyncio.CancelledError):
        asyncio.run(stopped())


def test_large_bodies_share_a_limit_and_small_ones_always_find_room() -> None:
    reader = BodyReader(Limits(seconds=5, largest=1000, small=10, together=100))

    async def crowd() -> tuple[str, bytes]:
        waiting = [asyncio.create_task(reader.read(sent(91), FakeExchange([b"x" * 90], stalls=True)))]
        await asyncio.sleep(0.01)
        with pytest.raises(BodyRefused) as refused:
            await reader.read(sent(20), FakeExchange([b"x" * 20]))
        small = await reader.read(sent(10), FakeExchange([b"x" * 10]))
        waiting[0].cancel()
        await asyncio.gather(*waiting, return_exceptions=True)
        return refused.value.reason, small

    assert asyncio.run(crowd()) == (CROWDED, b"x" * 10)
    assert reader.held == 0
