// Where the browser has a service worker: pages that open out of reach, with their age said.
(() => {
  "use strict";
  const told = document.currentScript.dataset;
  const SHELL = ["/bed/", "/waiting/"];
  const [MOMENT, PATIENCE, ANEW] = [400, 2500, 3 * 86_400_000];
  let shelving = false;

  const drawnOn = (text) => [...new DOMParser().parseFromString(text, "text/html")
    .querySelectorAll("script[src], link[rel=stylesheet]:not([media=print])")]
    .map((one) => one.getAttribute("src") ?? one.getAttribute("href"));

  const read = async (path, cache) => {
    const answer = await fetch(path, { cache, redirect: "manual" });
    if (!answer.ok) throw new RangeError(`${path}: ${answer.status}`);
    return answer.text();
  };

  // The pages that open out of reach, over http too, out of the browser's own store: asked for once
  // for each version from whatever page is open, and again before the week is over.
  const shelve = async (hello) => {
    const known = await haftbook.outbox.get("facts", "shell");
    const age = Date.now() - (known?.at ?? 0);
    if (shelving || (known?.version === hello.version && age >= 0 && age < ANEW)) return;
    shelving = true;
    // What the page itself needs comes first.
    await new Promise((done) => setTimeout(done, MOMENT));
    // What they draw on comes first and the pages last: whatever happens between, a page that opens
    // out of reach is whole. Read to the end: only then does the browser keep them.
    const texts = await Promise.all(SHELL.map((path) => read(path, "no-store")));
    await Promise.all([...new Set(texts.flatMap(drawnOn))].map((path) => read(path, "default")));
    for (const path of SHELL) await read(path, "reload");
    shelving = false;
    await haftbook.outbox.put("facts", "shell", { version: hello.version, at: Date.now() });
    document.dispatchEvent(new CustomEvent("outbox:shelved", { detail: { hello } }));
  };
  const tryToShelve = (hello) => shelve(hello).catch(() => { shelving = false; });
  document.addEventListener("outbox:hello", ({ detail: { hello, elsewhere } }) => {
    if (!elsewhere) tryToShelve(hello);
  });
  haftbook.ready.then(() => {
    const { hello } = haftbook.facts;
    if (hello && document.body.dataset.person) tryToShelve(hello);
  }).catch(() => {});

  const say = (text) => {
    const sheet = document.getElementById("sheet");
    const note = document.createElement("p");
    Object.assign(note, { className: "card card--next", textContent: text });
    note.setAttribute("role", "status");
    document.getElementById("said-offline")?.remove();
    note.id = "said-offline";
    sheet?.prepend(note);
    note.scrollIntoView({ block: "nearest" });
    document.addEventListener("outbox:hello", () => {
      const anew = document.createElement("a");
      Object.assign(anew, { href: location.href, textContent: "Load it anew" });
      note.replaceChildren("The garden is in reach again. ", anew);
    }, { once: true });
  };

  // Without a service worker a page that is not stored ends in the browser's own error page, and
  // what was half typed is gone with this one: the garden is asked first.
  const leadsAway = (link) => link && !link.target && !link.hasAttribute("download") &&
    !link.hasAttribute("hx-get") && link.origin === location.origin &&
    link.pathname !== location.pathname && !SHELL.includes(link.pathname);
  const inReach = () => Promise.race([
    haftbook.outbox.greet(), new Promise((done) => setTimeout(done, PATIENCE, null))]);
  document.addEventListener("click", async (event) => {
    const link = event.target.closest?.("a[href]");
    const plain = !event.button && !event.ctrlKey && !event.metaKey && !event.shiftKey;
    if (event.defaultPrevented || !plain || haftbook.facts.reach !== "out" || !leadsAway(link)) return;
    if (navigator.serviceWorker?.controller) return;
    event.preventDefault();
    if (await inReach()) location.assign(link.href);
    else say("The garden is out of reach, so that page does not open. In the bed and Waiting do.");
  });

  if (!window.isSecureContext || !("serviceWorker" in navigator)) return;
  const { serviceWorker } = navigator;

  const words = (ms) => {
    const [then, today] = [new Date(ms), new Date()];
    const day = then.toDateString() === today.toDateString()
      ? "today" : then.toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long" });
    return `${day}, ${then.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" })}`;
  };

  // A form that comes out of the store again and again is another entry each time.
  const freshEntries = () => document.querySelectorAll("input[name=entry]").forEach((field) => {
    field.value = crypto.randomUUID();
  });

  const ask = () => new Promise((done) => {
    const channel = new MessageChannel();
    channel.port1.onmessage = (event) => done(event.data);
    serviceWorker.controller.postMessage("how", [channel.port2]);
  });

  const look = async () => {
    if (!serviceWorker.controller) return;
    const { stored, lost } = await ask();
    if (lost) say("That page is not on this phone, and the garden is out of reach.");
    if (!stored) return;
    freshEntries();
    if (!document.querySelector("[data-bed], [data-waiting]")) {
      say(`The garden is out of reach. This page is as it was ${words(stored)}.`);
    }
    // Asked anew until it answers: a hello of a minute ago says nothing of now.
    await haftbook.outbox.greet?.();
    haftbook.outbox.send?.();
  };

  const forget = async () => {
    const names = (await caches.keys()).filter((name) => /^haftbook-(pages|pictures)/.test(name));
    await Promise.all(names.map((name) => caches.delete(name)));
  };

  document.addEventListener("DOMContentLoaded", look);
  document.addEventListener("outbox:state", (event) => {
    if (event.detail.reach === "signed-out") forget();
  });
  document.addEventListener("submit", (event) => {
    if (new URL(event.target.action, location.href).pathname === "/sign-out/") forget();
  });
  window.addEventListener("load", async () => {
    if (!told.worker) return;
    await new Promise((done) => setTimeout(done, MOMENT));
    const registered = await serviceWorker.register(told.worker, { updateViaCache: "none" })
      .catch(() => null);
    if (!registered) return;
    serviceWorker.controller?.postMessage("move on");
    // The first page came before there was a worker to keep it.
    const { active } = await serviceWorker.ready;
    active.postMessage({ open: [location.pathname + location.search, "/"] });
  });
})();
