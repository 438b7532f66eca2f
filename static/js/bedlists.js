// Lists of the garden on this phone: fetched page after page, asked again cheaply, with their age.
//
//   haftbook.bed.kept(name)     Promise of {made, asked, rows} as the garden gave it; null when it is not here
//   haftbook.bed.refresh()      asks the garden for all of them; true when it answered
//   haftbook.bed.ages()         Promise of {plants: "this morning 7:12", …, oldest: …}; "" as long as one is missing
//   "bed:lists" on document     when some list changed
(() => {
  "use strict";
  const OLD = 10 * 60_000;
  const home = () => document.getElementById("bed");
  const names = () => home().dataset.lists.split(" ");
  const box = () => haftbook.outbox;
  let running = null;

  const person = () => haftbook.facts.hello?.person ?? null;
  const stored = async (name) => {
    const list = await box().get("lists", name);
    return list && list.person === person() ? list : null;
  };
  const kept = async (name) => {
    const list = await stored(name);
    return list && { made: list.made, asked: list.asked, rows: list.pages.flatMap((page) => page.rows) };
  };

  // One answer; what has not changed since comes from the store.
  const fetchPage = async (name, after, before) => {
    const headers = { Accept: "application/json" };
    if (before) headers["If-None-Match"] = before.mark;
    const answer = await fetch(`${home().dataset.address}lists/${name}/?after=${encodeURIComponent(after)}`,
      { headers, cache: "no-store", redirect: "manual", signal: AbortSignal.timeout(15_000) });
    const mark = answer.headers.get("ETag");
    if (answer.status === 304 && before) return { ...before, mark, same: true };
    if (!answer.ok) throw new RangeError(`${name}: ${answer.status}`);
    const told = await answer.json();
    if (told.name !== name) throw new Error(`${name}: another answer`);
    return { after, mark, made: told.made, rows: told.rows, more: told.more };
  };
  const fetchList = async (name) => {
    const began = Date.now();
    const [before, who] = [await stored(name), person()];
    const known = new Map(before?.pages.map((page) => [page.after, page]));
    const pages = [];
    for (let after = ""; after !== null; after = pages.at(-1).more)
      pages.push(await fetchPage(name, after, known.get(after)));
    const changed = pages.some((page) => !page.same) || pages.length !== before?.pages.length;
    pages.forEach((page) => delete page.same);
    const made = new Date(haftbook.now()).toISOString();
    await box().put("lists", name, { name, person: who, made, asked: began, pages });
    return changed;
  };
  const fetchAll = async () => {
    let [changed, reached] = [false, true];
    for (const name of names()) {
      try {
        changed = (await fetchList(name)) || changed;
      } catch (error) {
        reached = false;
        // One list that the garden fails at keeps the others from nothing.
        if (!(error instanceof RangeError)) break;
      }
    }
    document.dispatchEvent(new CustomEvent("bed:lists", { detail: { changed, reached } }));
    return reached;
  };
  const refresh = () => (running ??= fetchAll().finally(() => (running = null)));

  // 'this morning 7:12', 'yesterday 18:40', '3 June 7:12'.
  const age = (iso) => {
    const [then, now] = [new Date(iso), haftbook.now()];
    const clock = then.toLocaleTimeString("en-GB", { hour: "numeric", minute: "2-digit" });
    const days = Math.round((new Date(now).setHours(0, 0, 0, 0) - new Date(then).setHours(0, 0, 0, 0)) / 864e5);
    const day = then.toLocaleDateString("en-GB", { day: "numeric", month: "long" });
    const words = days > 1 ? day : days === 1 ? "yesterday" : then.getHours() < 12 ? "this morning" : "today";
    return `${words} ${clock}`;
  };
  const ages = async () => {
    const lists = await Promise.all(names().map(stored));
    const told = Object.fromEntries(names().map((name, at) => [name, lists[at] ? age(lists[at].made) : "not here yet"]));
    const all = lists.every(Boolean) && lists.map((list) => list.made).sort();
    return { ...told, oldest: all ? age(all[0]) : "" };
  };

  // What the garden took in is in its lists a moment later; and lists grow old by themselves.
  let soon = 0;
  const refreshSoon = () => {
    clearTimeout(soon);
    soon = setTimeout(refresh, 1200);
  };
  const isOld = async () => {
    const lists = await Promise.all(names().map(stored));
    return lists.some((list) => !list || Date.now() - list.asked > OLD);
  };
  document.addEventListener("outbox:accepted", refreshSoon);
  document.addEventListener("outbox:hello", async () => (await isOld()) && refresh());

  // A newer page is offered as soon as it is on the phone with all that it draws on (offline.js).
  const offer = async ({ detail: { hello } }) => {
    const { version } = hello;
    if (!version || version === home().dataset.version) return;
    const shelf = await box().get("facts", "shell");
    if (shelf?.version !== version) return;
    const line = document.getElementById("bed-newer");
    line.hidden = false;
    line.querySelector("button").onclick = () => location.reload();
  };
  ["outbox:hello", "outbox:shelved"].forEach((name) => document.addEventListener(name, offer));

  Object.assign(haftbook.bed, { kept, refresh, ages, age });
})();
