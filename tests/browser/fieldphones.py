"""Phones for the far beds: a browser with a profile of its own, with several tabs, that is crashed,
killed and opened again. What its store holds and what the garden answered is asked for here."""

from __future__ import annotations

import contextlib
import os
import signal
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Error, expect

from tests.browser.conftest import PHONE, browser_path
from tests.browser.fieldday import Work
from tests.cast import PASSWORD

QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-sync"]
# A name that is no secure context: no locks, no service worker, as on a home network over http.
OUTSIDE = "garden.test"
RESOLVED = f"--host-resolver-rules=MAP {OUTSIDE} 127.0.0.1"

# Outcomes are counted where neither a crash of the tab nor one of the browser takes them away.
COUNTING = """
document.addEventListener("outbox:accepted", ({ detail }) => {
  if (detail.elsewhere) return;
  const { outcome } = detail.answer;
  localStorage[outcome] = Number(localStorage[outcome] ?? 0) + 1;
});
"""
# Fills the page's own forms and keeps them by its own script; only the hour is another one.
KEEP = """async (works) => {
  const { bed, outbox } = haftbook;
  for (const work of works) {
    const node = bed.form(work.template, work);
    const form = node.matches("form") ? node : node.querySelector("form");
    document.getElementById("bed-sheet").append(node);
    work.off.forEach((name) => { form.elements[name].disabled = true; });
    const next = form.querySelector("[data-next-stage]");
    if (next) next.value = work.button;
    const button = work.button ? form.querySelector(`button[value="${work.button}"]`) : null;
    if (work.button && !button) throw new Error(`no button ${work.button}`);
    if (work.photo) {
      const bytes = Uint8Array.from(atob(work.photo), (sign) => sign.charCodeAt(0));
      const chosen = new DataTransfer();
      chosen.items.add(new File([bytes], "photo.jpg", { type: "image/jpeg" }));
      form.elements.photo.files = chosen.files;
    }
    const gathered = outbox.gather(form, button);
    node.remove();
    const fields = gathered.fields.map(([name, value]) =>
      [name, name === "at" ? work.at || value : value]);
    await outbox.keep({ ...gathered, fields, kind: work.kind, title: work.title });
  }
}"""
TELLING = """document.addEventListener("outbox:kept", ({ detail }) => {
  if (!detail.elsewhere) saidKept(detail.record.entry);
})"""
WAITING = "haftbook.outbox.state().then((state) => state.waiting)"
RECORDS = """(name) => haftbook.outbox.list(name).then((all) =>
  all.map(({ n, told, ...record }) => record))"""
# The very body once more, past the sender: what the garden makes of each.
BY_HAND = """async (records) => {
  const { token } = await (await fetch("/hello/", { cache: "no-store" })).json();
  const said = [];
  for (const { entry, action, fields, hasFiles } of records) {
    const files = hasFiles ? await haftbook.outbox.get("files", entry) : [];
    if (hasFiles && !files) continue;
    const body = files.length ? new FormData() : new URLSearchParams(fields);
    if (files.length) fields.forEach(([name, value]) => body.append(name, value));
    files.forEach((one) => body.append(one.name, new File([one.body], one.filename), one.filename));
    const headers = { "Haftbook-Entry": entry, "Haftbook-Clock": new Date().toISOString(),
      "X-CSRFToken": token };
    const answer = await fetch(action, { method: "POST", headers, body, redirect: "manual" });
    said.push((await answer.json()).outcome);
  }
  return said;
}"""


@dataclass
class FieldPhone:
    """One person's phone; `site` is the address that it knows the garden by."""

    playwright: Any
    home: Path
    site: str
    person: str
    tabs: list[Any] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    crashes: int = 0
    restarted: bool = False
    context: Any = None

    def switch_on(self) -> None:
        """Open the browser with what its profile holds."""
        self.context = self.playwright.chromium.launch_persistent_context(
            self.home, executable_path=browser_path(), args=[*QUIET, RESOLVED], viewport=PHONE,
            has_touch=True,
        )  # fmt: skip
        self.context.set_default_timeout(60_000)
        self.context.add_init_script(COUNTING)
        self.context.on("weberror", lambda told: self.errors.append(str(told.error)))
        self.tabs = []

    def tab(self, path: str = "/bed/") -> Any:
        """Another tab, at an address typed or kept as a bookmark."""
        page = self.context.new_page()
        page.on("crash", self._crashed)
        try:
            page.goto(self.site + path)
        except Error:
            page.close()
            raise
        self.tabs.append(page)
        return page

    def _crashed(self, page: Any) -> None:
        self.crashes += 1
        self.tabs = [tab for tab in self.tabs if tab != page]

    def take_up(self) -> None:
        """Switched on with two tabs, as far as pages open with the garden out of reach."""
        if self.context is None:
            self.switch_on()
            self.restarted = True
        with contextlib.suppress(Error):
            while len(self.tabs) < 2:
                self.tab()

    def settle_in(self) -> None:
        """With the garden in reach: signed in again where the cookies went with the battery."""
        if not self.restarted:
            return
        self.restarted = False
        if len(self.tabs) == 2 and self.tabs[0].evaluate("haftbook.outbox.greet()"):
            return
        for page in self.tabs:
            page.close()
        self.tabs = []
        self.sign_in()
        self.tab()

    def sign_in(self, path: str = "/bed/") -> Any:
        """A tab with the page in the bed and its lists; signed in where that is asked for."""
        page = self.tab(path)
        # A page out of the browser's own store opens for whoever is there.
        if "sign-in" not in page.url and not page.evaluate("haftbook.outbox.greet()"):
            page.goto(f"{self.site}/sign-in/")
        if page.url.startswith(f"{self.site}/sign-in/"):
            page.get_by_label("Your name").fill(self.person)
            page.get_by_label("Password").fill(PASSWORD)
            page.get_by_role("button", name="Sign in").tap()
            page.wait_for_url(lambda url: "sign-in" not in url)
            page.goto(self.site + path)
        if path == "/bed/":
            expect(page.get_by_text("Lists from")).to_be_visible(timeout=60_000)
        return page

    def keep(self, works: list[Work]) -> None:
        self.tabs[0].evaluate(KEEP, [work.told() for work in works])

    def keep_until_it_dies(self, works: list[Work], most: int) -> list[str]:
        """The battery dies as soon as `most` were said to be kept, in the middle of more."""
        said: list[str] = []

        def heard(_: Any, entry: str) -> None:
            said.append(entry)
            if len(said) == most:
                os.kill(pid, signal.SIGKILL)

        pid = self.pid()
        self.context.expose_binding("saidKept", heard)
        page = self.tab()
        page.evaluate(TELLING)
        page.evaluate(f"(works) => void ({KEEP})(works)", [work.told() for work in works])
        end = time.monotonic() + 60
        while not _over(pid):
            assert time.monotonic() < end, said
            with contextlib.suppress(Error):
                page.wait_for_timeout(5)
        self._gone()
        return said

    def records(self, store: str = "waiting") -> list[dict[str, Any]]:
        return self.tabs[0].evaluate(RECORDS, store)

    def waiting(self) -> int:
        """What waits on it, asked in the first tab whose page has come; one that came half goes."""
        while self.tabs:
            try:
                return self.tabs[0].evaluate(WAITING)
            except Error:
                self.tabs.pop(0).close()
        return 0

    def hurry(self) -> None:
        """What a person does who wants it to go on: the phone is taken up again, in every tab."""
        for page in self.tabs:
            page.evaluate("window.dispatchEvent(new Event('focus'))")

    def outcomes(self) -> dict[str, int]:
        told = self.tabs[0].evaluate("({ ...localStorage })")
        return {name: int(told.get(name, 0)) for name in ("kept", "already")}

    def crash(self, which: int = 0) -> None:
        """Kill a tab's process: it says goodbye to nobody."""
        crash(self.tabs[which])

    def battery_dies(self) -> None:
        """SIGKILL for the browser itself, and nothing else; its profile stays on the disk."""
        pid = self.pid()
        os.kill(pid, signal.SIGKILL)
        end = time.monotonic() + 15
        while not _over(pid):
            assert time.monotonic() < end, "the browser lives on"
            time.sleep(0.02)
        self._gone()

    def _gone(self) -> None:
        with contextlib.suppress(Error):
            self.context.close()
        self.context, self.tabs = None, []

    def pid(self) -> int:
        """The process that was started with this phone's profile; its children have a type."""
        mine = f"--user-data-dir={self.home}"
        found = []
        for path in Path("/proc").glob("[0-9]*/cmdline"):
            with contextlib.suppress(OSError):
                words = path.read_bytes().decode(errors="replace").split("\0")
                if mine in words and not any(word.startswith("--type=") for word in words):
                    found.append(int(path.parent.name))
        (pid,) = found
        return pid

    def switch_off(self) -> None:
        if self.context is not None:
            with contextlib.suppress(Error):
                self.context.close()


def crash(page: Any) -> None:
    """Kill the process of a tab, and see that it is gone."""
    gone: list[Any] = []
    page.on("crash", lambda page: gone.append(page))
    with contextlib.suppress(Error):
        page.goto("chrome://crash", timeout=5_000)
    end = time.monotonic() + 10
    while not gone:
        assert time.monotonic() < end, "the tab lives on"
        with contextlib.suppress(Error):
            next(one for one in page.context.pages if one != page).wait_for_timeout(20)
    page.close()


def _over(pid: int) -> bool:
    """Whether a process is gone, or only waits to be counted by the one that started it."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except OSError:
        return True
