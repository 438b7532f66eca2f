"""The outbox on one phone: from tap to 'kept' with the garden dead, then five hundred sent to it.

    python -m tests.speed.outbox [--taps 40] [--secure]

A garden of its own is opened by `manage.py start`, a browser of a phone's size takes the page in
the bed along, and the garden is killed. The page's forms are tapped with nothing and with 500
entries waiting (40 of them with a photo of about 150 kB), each with a photo of its own or without;
the time runs from the tap to the words 'Kept on this phone', written through to the disk. Then the
garden opens again and everything is sent. Plain http by a name that browsers do not trust, as on
most home networks, or with --secure as localhost. Goals on two idle cores: p95 at most 50 ms, none
above 100 ms; at most 25 ms an entry of the replay, photos included; first load of a field page at
most 60 kB over the wire, an answer later at most 15 kB. Browser and server share the machine.
"""

from __future__ import annotations

import argparse
import base64
import os
import random
import statistics
import tempfile
import time
import urllib.request
from datetime import datetime
from pathlib import Path
from typing import Any

import django
from playwright.sync_api import Playwright, sync_playwright

# The pieces of the browser tests know the garden's models.
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
django.setup()

from tests.browser.conftest import PHONE, browser_path  # noqa: E402
from tests.browser.fieldday import BEFORE, Work, photo_of, timed  # noqa: E402
from tests.browser.fieldphones import OUTSIDE, FieldPhone  # noqa: E402
from tests.browser.test_bed_dead_server import asked  # noqa: E402
from tests.browser.wire import Answer, Wire, drawn_on, taken_along, whole  # noqa: E402
from tests.secured import Secured, secured  # noqa: E402
from tests.speed.writers import processor_seconds  # noqa: E402

MOST_P95, MOST_TAP, MOST_ENTRY = 50.0, 100.0, 25.0
MOST_FIRST, MOST_LATER = 60_000, 15_000
WAITING, PHOTOS, PIECE = 500, 40, 50
PAGES = ("/bed/", "/new-cross/", "/waiting/", "/rows/{row}/walk/", "/rows/{row}/7/score/")
TAP = """async ([work, drop]) => {
  const { bed, outbox } = haftbook;
  const node = bed.form(work.template, work);
  const form = node.matches("form") ? node : node.querySelector("form");
  document.getElementById("bed-sheet").append(node);
  if (work.photo) {
    const bytes = Uint8Array.from(atob(work.photo), (sign) => sign.charCodeAt(0));
    const chosen = new DataTransfer();
    chosen.items.add(new File([bytes], "photo.jpg", { type: "image/jpeg" }));
    form.elements.photo.files = chosen.files;
  }
  const took = await new Promise((done) => {
    const since = performance.now();
    document.addEventListener("bed:kept", ({ detail }) =>
      done([performance.now() - since, detail.entry]), { once: true });
    form.querySelector(".btn--main").click();
  });
  node.remove();
  if (drop) await outbox.drop(took[1]);
  return took[0];
}"""


def works_of(before: dict[str, Any], chance: random.Random) -> list[Work]:
    """Flowers and photos for the shelf of one phone, the photos spread among them."""

    def photo(at: int) -> Work:
        address = f"/plants/{before['plants'][at % 40]}/photo/"
        content = base64.b64encode(photo_of(at)).decode()
        return Work("Photo", "bed-photo", address, "", {"caption": f"photo {at}"}, photo=content)

    tags, step = iter(before["free"]), WAITING // PHOTOS
    row = iter(range(1, 10_000))
    return timed(
        [
            photo(at) if at % step == 0 and at // step < PHOTOS else some(before, tags, row, chance)
            for at in range(WAITING)
        ],
        datetime.fromisoformat(before["midnight"]),
    )


def some(before: dict[str, Any], tags: Any, row: Any, chance: random.Random) -> Work:
    """A flower as long as there are tags, else a look at a position of the row."""
    if tag := next(tags, ""):
        seed, pollen = chance.sample(before["parents"], 2)
        values = {"seed": seed, "pollen": pollen, "tag": tag}
        return Work("Pollination", "bed-cross", "/new-cross/", f"Tag {tag}", values)
    at = 1 + next(row) % 70
    return Work("Look-over", "bed-walk", f"/rows/{before['row']}/walk/", f"position {at}",
                {"position": at}, button="nothing", off=["backward", "anew"])  # fmt: skip


def told_of(name: str, times: list[float]) -> None:
    times = sorted(times)
    p95 = times[int(len(times) * 0.95)]
    flag = "FLAG" if p95 > MOST_P95 or times[-1] > MOST_TAP else ""
    print(f"{name:34} median {statistics.median(times):5.1f}  p95 {p95:5.1f}  "
          f"longest {times[-1]:5.1f} ms {flag}")  # fmt: skip


def taps(phone: FieldPhone, before: dict[str, Any], times: int, name: str) -> None:
    """Taps on a form with and without a photo; each is taken off the phone again."""
    works = works_of(before, random.Random(7))
    photo, flower = works[0], next(work for work in works if not work.photo)
    for kind, work in (("without a photo", flower), ("with a photo", photo)):
        phone.tabs[0].evaluate(TAP, [work.told(), True])
        took = [phone.tabs[0].evaluate(TAP, [work.told(), True]) for _ in range(times)]
        told_of(f"tap to kept, {name}, {kind}", took)


def replay(garden: Secured, phone: FieldPhone) -> None:
    garden.open()
    # The first page of a start loads what the later ones need.
    urllib.request.urlopen(f"http://127.0.0.1:{garden.port}/sign-in/", timeout=30).close()
    worked = [processor_seconds(pid) for pid in (garden.process.pid, phone.pid())]
    began, waits = time.perf_counter(), phone.waiting()
    phone.hurry()
    while phone.waiting():
        phone.tabs[0].wait_for_timeout(250)
        if time.perf_counter() - began > 120:
            raise RuntimeError(f"{phone.waiting()} still wait")
    took = time.perf_counter() - began
    now = [processor_seconds(pid) for pid in (garden.process.pid, phone.pid())]
    server, browser = ((a - b) / waits * 1000 for a, b in zip(now, worked, strict=True))
    each = took / waits * 1000
    called = len(phone.records("attention"))
    print(f"replay of {waits} entries, {PHOTOS} photos: {took:.1f} s, {each:.1f} ms an entry, "
          f"{called} refused {'FLAG' if each > MOST_ENTRY or called else ''}")  # fmt: skip
    # On a busy machine this is what can be compared.
    print(f"processor time an entry: server {server:.1f} ms, browser {browser:.1f} ms")


def kinds_of(answers: list[Answer]) -> str:
    """Bytes by what they are: page, styles, scripts, faces."""
    ends = {"css": ".css", "js": ".js", "faces": ".woff2", "rest": ".svg"}
    sums = {
        kind: whole([one for one in answers if one.path.endswith(end)])
        for kind, end in ends.items()
    }
    page = whole(answers) - sum(sums.values())
    return ", ".join(f"{kind} {size / 1000:.1f}" for kind, size in {"page": page, **sums}.items())


def weights(phone: FieldPhone, before: dict[str, Any]) -> None:
    """First load and the heaviest later answer of the field pages, in kB as they are sent."""
    state = phone.context.storage_state()
    chromium = phone.playwright.chromium
    browser = chromium.launch(executable_path=browser_path(), args=["--no-sandbox"])
    for path in PAGES:
        context = browser.new_context(service_workers="block", viewport=PHONE)
        context.add_cookies([one | {"domain": "127.0.0.1"} for one in state["cookies"]])
        wire = Wire(context.new_page())
        address = f"http://127.0.0.1:{phone.site.rpartition(':')[2]}{path.format(**before)}"
        first, again = wire.load(address), wire.load(address)
        lists = [one for one in first if one.path.startswith("/bed/lists/")]
        later = max(one.size for one in lists + again)
        page, along = drawn_on(first), taken_along(first)
        flag = "FLAG" if whole(page) > MOST_FIRST or later > MOST_LATER else ""
        print(f"{path:24} first {whole(page) / 1000:5.1f} kB ({kinds_of(page)}), taken along "
              f"{whole(along) / 1000:.1f}, heaviest later {later / 1000:.1f} {flag}")  # fmt: skip
        context.close()
    browser.close()


def measure(driver: Playwright, folder: Path, times: int, secure: bool) -> None:
    argv = ("--here-only", "--empty", "--owner", "Wanda")
    with secured(folder / "data", *argv, hosts=OUTSIDE) as garden:
        before = asked(garden, BEFORE)
        name = "localhost" if secure else OUTSIDE
        phone = FieldPhone(driver, folder / "phone", f"http://{name}:{garden.port}", "Wanda")
        phone.switch_on()
        try:
            phone.sign_in()
            weights(phone, before)
            garden.kill()
            taps(phone, before, times, "none waiting")
            works = works_of(before, random.Random(7))
            for at in range(0, WAITING, PIECE):
                phone.keep(works[at : at + PIECE])
            taps(phone, before, times, f"{phone.waiting()} waiting")
            replay(garden, phone)
        finally:
            phone.switch_off()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--taps", type=int, default=40)
    parser.add_argument("--secure", action="store_true", help="localhost: locks, a service worker")
    asked_for = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="haftbook-speed-") as made, sync_playwright() as driver:
        measure(driver, Path(made), asked_for.taps, asked_for.secure)


if __name__ == "__main__":
    main()
