"""What the first view of a page weighs, as the server sends it and a browser with nothing kept fetches it."""

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Watched
from tests.browser.server import Server
from tests.browser.walking import DEMO_CODE, ODILE, sign_in

MOST = 100_000  # bytes over the wire, headers and all
VIEWS = [("/bench/", ("Inga Vale", DEMO_CODE)), ("/today/", ODILE)]


@pytest.mark.parametrize(("address", "who"), VIEWS, ids=["bench", "today"])
def test_first_view_is_light(watched: Watched, demo_server: Server, address: str, who: tuple[str, str]) -> None:
    page = watched.open(demo_server)
    sign_in(page, *who)
    page.wait_for_url(f"**{address}")
    fetched = fetching(page, address)
    heaviest = sorted(fetched.items(), key=lambda item: -item[1])
    assert sum(fetched.values()) <= MOST, "\n".join(f"{size:7} {url}" for url, size in heaviest)
    assert not [url for url in fetched if url.endswith(".ttf")], "screens have fonts of their own"


def fetching(page: Page, address: str) -> dict[str, int]:
    """Bytes over the wire by address, with an empty cache."""
    urls: dict[str, str] = {}
    sizes: dict[str, int] = {}
    wire = page.context.new_cdp_session(page)
    wire.on("Network.responseReceived", lambda seen: urls.update({seen["requestId"]: seen["response"]["url"]}))
    wire.on("Network.loadingFinished", lambda seen: sizes.update({seen["requestId"]: seen["encodedDataLength"]}))
    wire.send("Network.enable")
    wire.send("Network.setCacheDisabled", {"cacheDisabled": True})
    page.goto(address, wait_until="networkidle")
    return {urls[request]: int(size) for request, size in sizes.items() if request in urls}
