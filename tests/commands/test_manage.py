"""The command line: what shop.env says holds, and a database without a shop is reported in a sentence."""

import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings

from shopsafe.shop_env import read

MANAGE = Path(settings.BASE_DIR) / "manage.py"


@pytest.mark.parametrize(
    ("text", "added"),
    [
        ("", {}),
        ("# our shop\n\nDEMO=no\n", {"DEMO": "no"}),
        ('export SITE_URL="https://shop.example"', {"SITE_URL": "https://shop.example"}),
        (
            "DATABASE_URL=sqlite:////home/shop/our shop.sqlite3 ",
            {"DATABASE_URL": "sqlite:////home/shop/our shop.sqlite3"},
        ),
        ("PORT=8001\nPORT=8002", {"PORT": "8002"}),
        ("KEPT=file", {}),
    ],
)
def test_settings_file_adds_missing_values(text: str, added: dict[str, str]) -> None:
    assert read(text, {"KEPT": "environment"}) == added


@pytest.mark.parametrize(("desktop", "added"), [("en_US:en", {"LANGUAGE": "es"}), ("en", {})])
def test_a_desktop_s_list_of_locales_is_not_the_shop_s_language(desktop: str, added: dict[str, str]) -> None:
    assert read("LANGUAGE=es", {"LANGUAGE": desktop}) == added


@pytest.mark.parametrize("line", ["DEMO", "demo=no", "PORT = 8001", "; rm -rf"])
def test_a_bad_line_is_named(line: str) -> None:
    with pytest.raises(ValueError, match=r"shop\.env, line 2: write NAME=value"):
        read(f"DEMO=no\n{line}", {})


def test_database_without_a_shop_is_reported_and_not_created(tmp_path: Path) -> None:
    where = tmp_path / "ours.sqlite3"
    environ = {"DATABASE_URL": f"sqlite:///{where}", "SHOPSAFE_VAR": str(tmp_path), "PATH": "/usr/bin:/bin"}
    done = subprocess.run(
        [sys.executable, MANAGE, "logbook", "verify"], env=environ, capture_output=True, text=True, check=False
    )
    assert done.returncode == 1
    assert f"no shop is kept in {where}" in done.stderr
    assert "Traceback" not in done.stderr
    assert not where.exists()
