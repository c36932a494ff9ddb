"""What a print may load, and that everything else stops it."""

from pathlib import Path

import pytest
from weasyprint.urls import FatalURLFetchingError

from shopsafe.paper.press.fetch import STATIC, OwnFilesOnly
from shopsafe.paper.press.render import PrintFailed, to_pdf


@pytest.mark.parametrize(
    "url",
    [
        "file:///etc/passwd",
        "file://localhost/etc/passwd",
        "file://elsewhere/etc/passwd",
        f"file://{STATIC}/../manage.py",
        f"file://{STATIC}/../../../../../../etc/passwd",
        f"file://{STATIC}/%2e%2e/manage.py",
        f"file://{STATIC}",
        f"file://{STATIC}/no-such-file.svg",
        f"file://{STATIC}-elsewhere/x.svg",
        "FILE:///etc/passwd",
        "http://127.0.0.1:1/x.png",
        "https://example.org/x.png",
        "ftp://example.org/x.png",
        "//example.org/x.png",
        "/etc/passwd",
        "data:text/html,<b>x</b>",
        "data:image/svg+xml," + "x" * 5_000_000,
        "javascript:alert(1)",
    ],
    ids=lambda url: url[:60].replace(str(STATIC), "STATIC"),
)
def test_anything_but_our_own_files_stops_the_print(url: str) -> None:
    with pytest.raises(FatalURLFetchingError):
        OwnFilesOnly()(url)


def test_a_link_that_leads_out_of_the_static_files_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    static = tmp_path / "static"
    static.mkdir()
    (tmp_path / "secret.svg").write_text("<svg/>")
    (static / "leak.svg").symlink_to(tmp_path / "secret.svg")
    monkeypatch.setattr("shopsafe.paper.press.fetch.STATIC", static.resolve())
    with pytest.raises(FatalURLFetchingError):
        OwnFilesOnly()(f"file://{static}/leak.svg")


def test_serves_our_own_files_and_data_pictures() -> None:
    own = OwnFilesOnly()(f"file://{STATIC}/pictograms/eye.svg")
    assert own.read().startswith(b"<svg")
    assert own.content_type == "image/svg+xml"
    assert OwnFilesOnly()("data:image/svg+xml,%3Csvg/%3E").read() == b"<svg/>"
    assert OwnFilesOnly()("data:image/png;base64,iVBORw==").read() == b"\x89PNG"
    assert OwnFilesOnly()("data:image/webp;base64,UklGRg==").content_type == "image/webp"


@pytest.mark.parametrize(
    "html",
    [
        '<img src="file:///etc/passwd" alt="x">',
        '<img src="http://127.0.0.1:1/x.png" alt="x">',
        '<link rel="stylesheet" href="http://127.0.0.1:1/x.css">',
        '<style>@import url("file:///etc/passwd");</style>',
        '<p style="background: url(https://example.org/x.png)">x</p>',
        '<link rel="attachment" href="file:///etc/passwd">',
        '<svg xmlns="http://www.w3.org/2000/svg"><image width="9" height="9" href="file:///etc/passwd"/></svg>',
    ],
)
def test_a_print_that_reaches_out_is_not_made(html: str) -> None:
    with pytest.raises(PrintFailed):
        to_pdf([f'<html lang="en"><head><title>x</title></head><body>{html}</body></html>'], None)
