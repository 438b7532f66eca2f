// The service worker: pages open while the garden is out of reach. Headed by the server with
// EDITION and FILES. What waits to be sent is not its business: the outbox has a store of its own.
"use strict";
const [FILED, SHELL, PAGES] = ["files", "shell", "pages"].map((one) => `haftbook-${one}-${EDITION}`);
const PICTURES = "haftbook-pictures";
const NOW = [FILED, SHELL, PAGES, PICTURES];
// Pages that name nobody and work without the garden; kept when somebody signs out.
const SHELL_PAGES = ["/bed/", "/waiting/"];
// About who may come in, or with a key in it: never kept.
const APART = /^\/(sign-in|sign-out|hello|password|people|phones|calendar|backups|settings|sw\.js)(\/|$)/;
const LABEL = /^\/t\/([^/]+)\/?$/i;
const PICTURE = /^\/photos\/[0-9a-f]{64}\/(small|middle)\.jpg$/;
const [MOST_PAGES, MOST_PICTURES, LARGEST_PAGE, LARGEST_PICTURE] = [80, 120, 600_000, 150_000];
// How long the garden may take (ms): at first, while it was out of reach just now, and for a page
// that is not kept here.
const [PATIENCE, SHORT, LONG, JUST_NOW] = [2500, 400, 10_000, 10_000];
const [WHEN, ALL] = ["Haftbook-Stored", { ignoreVary: true }];
let missed = 0;
let missing = null;
const opened = new Map(); // of a window: when the page it was given was stored

const wait = (ms) => new Promise((done) => setTimeout(done, ms, null));

const store = async (name, key, answer, largest, most) => {
  const body = await answer.blob();
  if (body.size > largest) return;
  const headers = new Headers(answer.headers);
  ["Content-Encoding", "Content-Length"].forEach((one) => headers.delete(one));
  headers.set(WHEN, Date.now());
  const cache = await caches.open(name);
  await cache.delete(key, ALL);
  await cache.put(key, new Response(body, { headers }));
  const keys = await cache.keys();
  await Promise.all(keys.slice(0, Math.max(0, keys.length - most)).map((old) => cache.delete(old, ALL)));
};

const isPage = (answer) =>
  answer.ok && answer.type === "basic" && !answer.redirected &&
  (answer.headers.get("Content-Type") || "").startsWith("text/html");

const keep = (url, answer) => {
  if (!isPage(answer) || APART.test(url.pathname) || url.searchParams.has("kept")) return null;
  if (SHELL_PAGES.includes(url.pathname)) {
    return store(SHELL, url.pathname, answer, LARGEST_PAGE, SHELL_PAGES.length);
  }
  return store(PAGES, url.pathname + url.search, answer, LARGEST_PAGE, MOST_PAGES);
};

// Of this edition; else of the one before, as long as its pages were not drawn anew.
const find = async (url) => {
  const key = SHELL_PAGES.includes(url.pathname) ? url.pathname : url.pathname + url.search;
  for (const name of [SHELL, PAGES, ...(await caches.keys()).reverse()]) {
    const found = name.startsWith("haftbook-") && (await (await caches.open(name)).match(key, ALL));
    if (found) return found;
  }
  return null;
};

const forget = async () => {
  const names = (await caches.keys()).filter((name) => /^haftbook-(pages|pictures)/.test(name));
  await Promise.all(names.map((name) => caches.delete(name)));
};

// The shell past the browser's own store, which may hold the one of an older edition for a week.
const fetched = async (request, url) => {
  const shell = SHELL_PAGES.includes(url.pathname);
  const answer = await fetch(shell ? new Request(url, { cache: "reload", redirect: "manual" }) : request);
  missed = 0;
  // The door stands open to whoever is not in: nothing of somebody's pages stays here.
  if (url.pathname === "/sign-in/" && answer.ok) await forget();
  else if (answer.ok) await keep(url, answer.clone());
  return answer;
};

const page = async (event, url) => {
  const asked = fetched(event.request, url);
  event.waitUntil(asked.catch(() => null));
  const patience = Date.now() - missed < JUST_NOW ? SHORT : PATIENCE;
  const answer = await Promise.race([asked.catch(() => null), wait(patience)]);
  if (answer) return answer;
  missed = Date.now();
  const stored = await find(url);
  if (stored) {
    if (opened.size > 50) opened.clear();
    opened.set(event.resultingClientId, Number(stored.headers.get(WHEN)));
    return stored;
  }
  const late = await Promise.race([asked.catch(() => null), wait(LONG)]);
  if (late || !(await find(new URL("/bed/", location.href)))) return late || asked;
  missed = Date.now();
  // A label's code: what is due for it may be on this phone (bedscan.js).
  const [, code] = LABEL.exec(url.pathname) ?? [];
  if (code) return Response.redirect(`/bed/#t/${code}`);
  missing = { path: url.pathname, at: Date.now() };
  return Response.redirect("/bed/");
};

const hello = async (request) => {
  const answer = await fetch(request);
  if (answer.status === 401) await forget();
  return answer;
};

const file = async (request) =>
  (await caches.match(request, { ...ALL, cacheName: FILED })) ||
  (await caches.match(request, ALL)) || fetch(request);

const picture = async (event, url) => {
  const known = await caches.match(event.request, ALL);
  if (known) return known;
  const answer = await fetch(event.request);
  if (answer.ok && answer.type === "basic") {
    event.waitUntil(store(PICTURES, url.pathname, answer.clone(), LARGEST_PICTURE, MOST_PICTURES));
  }
  return answer;
};

self.addEventListener("fetch", (event) => {
  const [{ request }, url] = [event, new URL(event.request.url)];
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(file(request));
  else if (url.pathname === "/hello/") event.respondWith(hello(request));
  else if (request.mode === "navigate") event.respondWith(page(event, url));
  else if (PICTURE.test(url.pathname)) event.respondWith(picture(event, url));
  else if (SHELL_PAGES.includes(url.pathname)) event.respondWith(fetched(request, url));
});

const fill = async () => {
  for (const path of SHELL_PAGES) {
    const url = new URL(path, location.href);
    if (!(await caches.match(path, { ...ALL, cacheName: SHELL }))) {
      await fetched(null, url).catch(() => null);
    }
  }
};

// The pages that are open, and Today, where they came before there was a worker.
const keepOpen = async (paths) => {
  for (const path of new Set(paths)) {
    const url = new URL(path, location.href);
    const cache = await caches.open(PAGES);
    if (url.origin !== location.origin || (await cache.match(url.pathname + url.search, ALL))) continue;
    await keep(url, await fetch(url, { cache: "no-store" }));
  }
};

// After a new edition: its files first, then the pages kept by the old one are drawn anew.
const moveOn = async () => {
  await fill();
  const old = (await caches.keys()).filter((name) => /^haftbook-/.test(name) && !NOW.includes(name));
  for (const name of old.filter((one) => one.startsWith("haftbook-pages-"))) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      await keep(new URL(request.url), await fetch(request.url));
      await cache.delete(request, ALL);
    }
  }
  await Promise.all(old.map((name) => caches.delete(name)));
};

self.addEventListener("install", (event) => event.waitUntil((async () => {
  await (await caches.open(FILED)).addAll(FILES);
  await fill();
  await self.skipWaiting();
})()));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("message", (event) => {
  if (event.data === "forget") event.waitUntil(forget());
  if (event.data === "move on") event.waitUntil(moveOn().catch(() => null));
  if (event.data.open) event.waitUntil(keepOpen(event.data.open).catch(() => null));
  if (event.data !== "how") return;
  const lost = missing && Date.now() - missing.at < 15_000 ? missing.path : null;
  event.ports[0].postMessage({ stored: opened.get(event.source.id) || null, lost });
  missing = null;
});
