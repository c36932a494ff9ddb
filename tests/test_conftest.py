"""The ground of the tests is tested too: the network is closed."""

import socket

import pytest


def test_reaching_outside_fails_by_name() -> None:
    # 192.0.2.1 is set aside for documentation (RFC 5737): no one is there, and nothing is sent.
    with pytest.raises(RuntimeError, match=r"192\.0\.2\.1"):
        socket.create_connection(("192.0.2.1", 80), timeout=1)


def test_loopback_stays_open() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        socket.create_connection(server.getsockname(), timeout=1).close()
