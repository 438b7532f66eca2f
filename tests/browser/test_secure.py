"""Pages with the garden out of reach: a real process over https, a browser that trusts it.

The trust store is thrown away with the test. Before every look at a page 'out of reach' the process
is killed and its port is seen to be free, so that nothing else can have answered.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import PHONE, browser_path
from tests.secured import Secured, forged, secured, served

CERTUTIL = shutil.which("certutil")
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-sync"]


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Secured]:
    with secured(tmp_path_factory.mktemp("secure") / "data") as garden:
        yield garden


@pytest.fixture
def garden(opened: Secured) -> Secured:
    """Open again, where the test before has killed it."""
    assert opened.process is not None
    if opened.process.poll() is not None:
        opened.open()
    return opened


def trust_store(home: Path, root: Path) -> None:
    """A home folder whose certificate store trusts this authority for servers."""
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    database = f"sql:{store}"
    for command in (
        ["-N", "--empty-password"],
        ["-A", "-n", "garden", "-t", "C,,", "-i", str(root)],
    ):
        subprocess.run([str(CERTUTIL), "-d", database, *command], check=True, timeout=30)


@pytest.fixture
def phone(playwright: Any, garden: Secured, tmp_path: Path) -> Iterator[Any]:
    """A phone's browser that was led through trusting the garden."""
    if browser_path() is None or CERTUTIL is None:
        missing = "a browser" if browser_path() is None else "certutil (libnss3-tools)"
        if os.environ.get("CI"):
            pytest.fail(f"CI needs {missing}, and none was found")
        pytest.skip(f"no {missing} on this machine")
    home = tmp_path / "home"
    trust_store(home, garden.root)
    context = launched(playwright, home)
    yield context
    context.close()


def launched(playwright: Any, home: Path) -> Any:
    """A browser with a profile and a certificate store in this folder. It asks no name server."""
    return playwright.chromium.launch_persistent_context(
        home / "profile",
        executable_path=browser_path(),
        args=[*QUIET, "--host-resolver-rules=MAP *.example 127.0.0.1"],
        env=os.environ | {"HOME": str(home)},
        viewport=PHONE,
        has_touch=True,
    )


def sign_in(context: Any, garden: Secured) -> Any:
    """Signed in on Today; the service worker has taken over."""
    name, password = garden.sign_in
    page = context.new_page()
    page.goto(f"https://localhost:{garden.port}/")
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"https://localhost:{garden.port}/")
    page.wait_for_function(WORKER)
    return page


# An arrow function: the policy of the page forbids what would have to be evaluated.
WORKER = "() => navigator.serviceWorker.controller !== null"
KEPT = """async () => {
  const found = [];
  for (const name of await caches.keys()) {
    const keys = await (await caches.open(name)).keys();
    found.push(...keys.map((one) => `${name.split("-")[1]} ${new URL(one.url).pathname}`));
  }
  return found;
}"""


def site(garden: Secured) -> str:
    return f"https://localhost:{garden.port}"


def kept(page: Any, what: str) -> list[str]:
    """Paths of what lies in the browser's store: 'pages', 'shell', 'files' or 'pictures'."""
    return [one.split(" ")[1] for one in page.evaluate(KEPT) if one.split(" ")[0] == what]


def test_killed_garden__pages_open_by_reload_and_in_a_new_tab(
    phone: Any, garden: Secured, tmp_path: Path, playwright: Any
) -> None:
    page = sign_in(phone, garden)
    for path in ("/plants/", "/bed/"):
        page.goto(site(garden) + path)
    garden.kill()
    page.reload()
    expect(page).to_have_title(re.compile("^In the bed"))
    typed = phone.new_page()
    typed.goto(site(garden) + "/plants/")
    expect(typed.get_by_role("heading", name="Plants")).to_be_visible()
    note = typed.get_by_role("status").filter(has_text="This page is as it was today")
    expect(note).to_be_visible()
    # Its style came along: the notebook's paper, not the browser's white.
    paper = typed.evaluate("() => getComputedStyle(document.body).backgroundColor")
    assert paper == "rgb(251, 247, 234)"
    phone.close()

    again = launched(playwright, tmp_path / "home")
    try:
        restarted = again.new_page()
        restarted.goto(site(garden) + "/plants/")
        expect(restarted.get_by_role("heading", name="Plants")).to_be_visible()
        restarted.goto(site(garden) + "/waiting/")
        expect(restarted).to_have_title(re.compile("^Waiting"))
    finally:
        again.close()


def test_killed_garden__a_page_never_opened_leads_to_the_bed(phone: Any, garden: Secured) -> None:
    page = sign_in(phone, garden)
    garden.kill()
    page.goto(site(garden) + "/beds/")
    page.wait_for_url("**/bed/")
    expect(page.get_by_text("That page is not on this phone")).to_be_visible()


def test_silent_garden__the_stored_page_comes_after_a_moment(phone: Any, garden: Secured) -> None:
    page = sign_in(phone, garden)
    page.goto(site(garden) + "/plants/")
    assert garden.process is not None
    os.killpg(garden.process.pid, signal.SIGSTOP)
    try:
        began = time.monotonic()
        page.goto(site(garden) + "/plants/")
        took = time.monotonic() - began
        expect(page.get_by_text("This page is as it was today")).to_be_visible()
    finally:
        os.killpg(garden.process.pid, signal.SIGCONT)
    # It was asked, and not waited for until the browser itself gives up.
    assert 2 < took < 8
    expect(page.get_by_role("link", name="Load it anew")).to_be_visible()
    page.get_by_role("link", name="Load it anew").click()
    expect(page.get_by_role("heading", name="Plants")).to_be_visible()
    expect(page.get_by_text("out of reach")).to_have_count(0)


def test_stored_form__is_another_entry_each_time_it_opens(phone: Any, garden: Secured) -> None:
    page = sign_in(phone, garden)
    page.goto(site(garden) + "/plants/new/")
    entry = page.locator("input[name=entry]").first
    drawn = entry.input_value()
    garden.kill()
    found = {drawn}
    for _ in range(2):
        page.reload()
        expect(page.get_by_text("This page is as it was today")).to_be_visible()
        found.add(entry.input_value())
    assert len(found) == 3


def test_signing_out__takes_the_pages_and_leaves_what_waits(phone: Any, garden: Secured) -> None:
    page = sign_in(phone, garden)
    page.goto(site(garden) + "/plants/")
    page.goto(site(garden) + "/people/")
    page.goto(site(garden) + "/book/")
    expect_kept(page, "pages", {"/plants/", "/book/"}, without={"/people/", "/hello/", "/sign-in/"})
    page.evaluate("() => haftbook.outbox.put('facts', 'left', 'here')")
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in/")
    expect_kept(page, "pages", set(), without={"/plants/", "/book/"})
    assert {"/bed/", "/waiting/"} <= set(kept(page, "shell"))
    assert page.evaluate("() => haftbook.outbox.get('facts', 'left')") == "here"
    garden.kill()
    page.goto(site(garden) + "/plants/")
    page.wait_for_url("**/bed/")


def test_sign_in_gone__takes_the_pages_as_soon_as_the_garden_says_so(
    phone: Any, garden: Secured
) -> None:
    page = sign_in(phone, garden)
    page.goto(site(garden) + "/plants/")
    expect_kept(page, "pages", {"/plants/"})
    phone.clear_cookies()
    page.evaluate("() => haftbook.outbox.greet()")
    expect_kept(page, "pages", set(), without={"/plants/"})


def expect_kept(page: Any, what: str, these: set[str], without: set[str] | None = None) -> None:
    """Within a few seconds: these are kept, and those are not."""
    end = time.monotonic() + 8
    while True:
        found = set(kept(page, what))
        if these <= found and not (without or set()) & found:
            return
        assert time.monotonic() < end, (these, without, found)
        page.wait_for_timeout(50)


def test_new_edition__its_store_takes_the_place_of_the_old(phone: Any, garden: Secured) -> None:
    page = sign_in(phone, garden)
    page.goto(site(garden) + "/plants/")
    expect_kept(page, "pages", {"/plants/"})
    before = set(page.evaluate("() => caches.keys()"))
    garden.kill()
    manifest = garden.folder / "static" / "staticfiles.json"
    manifest.write_text(manifest.read_text() + "\n")
    garden.open()
    page.goto(site(garden) + "/")
    end = time.monotonic() + 15
    while set(page.evaluate("() => caches.keys()")) & before - {"haftbook-pictures"}:
        assert time.monotonic() < end, page.evaluate("() => caches.keys()")
        page.wait_for_timeout(200)
        page.evaluate("() => navigator.serviceWorker.controller.postMessage('move on')")
    expect_kept(page, "pages", {"/plants/"})
    garden.kill()
    page.goto(site(garden) + "/plants/")
    expect(page.get_by_role("heading", name="Plants")).to_be_visible()


def test_pages__the_newest_eighty_stay(phone: Any, garden: Secured) -> None:
    page = sign_in(phone, garden)
    page.goto(site(garden) + "/plants/")
    for number in range(82):
        page.goto(f"{site(garden)}/beds/?n={number}", wait_until="commit")
    end = time.monotonic() + 5
    while (found := kept(page, "pages")) != ["/beds/"] * 80:
        assert time.monotonic() < end, (len(found), found[:3])
        page.wait_for_timeout(100)


def test_browser__refuses_a_garden_that_it_was_not_led_to_trust(
    playwright: Any, garden: Secured, phone: Any, tmp_path: Path
) -> None:
    stranger = launched(playwright, tmp_path / "other-home")
    try:
        with pytest.raises(Exception, match="ERR_CERT_AUTHORITY_INVALID"):
            stranger.new_page().goto(site(garden))
    finally:
        stranger.close()
    phone.new_page().goto(site(garden))


def test_browser__refuses_the_authority_for_a_foreign_name(phone: Any, garden: Secured) -> None:
    """Somebody who stole the key that is there: Chromium refuses what it signs for a bank."""
    bank = served(forged(garden.folder, "bank.example"))
    with bank as port, pytest.raises(Exception, match="ERR_CERT"):
        phone.new_page().goto(f"https://bank.example:{port}/")
    with served(forged(garden.folder, "localhost")) as port:
        page = phone.new_page()
        page.goto(f"https://localhost:{port}/")
        assert "a stranger" in page.content()
