"""`make run` learns at which address of this computer it answers; what makes no sense stops before anything starts."""

import os
import subprocess
from pathlib import Path

import pytest

RUN = Path(__file__).resolve().parents[2] / ".ci" / "run.sh"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        # A shell may set HOST to the computer's name by itself: no reason to open the shop to a network.
        ({"HOST": "shop-pc"}, 'HOST must be an address of this computer such as 192.168.1.20, not "shop-pc"'),
        ({"HOST": "192.168.1"}, "HOST must be an address"),
        ({"HOST": "0.0.0.0"}, "Say which one slips and codes name: SITE_URL="),  # noqa: S104  refused, not bound
        ({"PORT": "99999"}, "PORT must be a number"),
    ],
)
def test_invalid_address_prints_a_reason(given: dict[str, str], said: str) -> None:
    kept = {name: value for name, value in os.environ.items() if name not in ("HOST", "PORT", "SITE_URL")}
    tried = subprocess.run([RUN], env=kept | given, capture_output=True, text=True, timeout=120, check=False)
    assert tried.returncode == 1
    assert said in tried.stderr
