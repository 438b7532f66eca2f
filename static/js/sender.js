// Sends what waits, one after the other in the order in which it was kept, from one tab at a time.
// Only an answer that names the entry takes it off the phone; everything else tries again later.
(() => {
  "use strict";

  const { outbox, facts } = haftbook;
  const PAUSES = [1000, 2000, 4000, 8000, 16_000, 30_000];
  const [FRESH, LIMIT, LIMIT_WITH_FILES, LEASE] = [120_000, 15_000, 120_000, 5000];
  const MOST_TRIES = 5;
  const ME = outbox.newEntry();
  // Forms still on the screen: entry -> the headers that bring their page along.
  const onScreen = (outbox.onScreen = new Map());
  const atTheDoor = document.body.classList.contains("page--door");
  let [running, again, failures, busy, timer] = [false, false, 0, 0, 0];

  const ask = async (address, options, limit) => {
    try {
      const signal = AbortSignal.timeout(limit);
      const answer = await fetch(address, { redirect: "manual", ...options, signal });
      const json = (answer.headers.get("Content-Type") || "").startsWith("application/json");
      return { status: answer.status, said: json ? await answer.json() : null };
    } catch {
      return null; // nobody there, or gone in the middle of a word
    }
  };

  // The only test of reach; brings the token, the person, the clock and the version along.
  const greet = (outbox.greet = async () => {
    const since = Date.now();
    const heard = await ask("/hello/", { cache: "no-store" }, LIMIT);
    const { said } = heard || {};
    if (heard?.status !== 200 || !said?.token) {
      facts.reach = heard?.status === 401 && said ? "signed-out" : "out";
      if (facts.hello) facts.hello.heard = 0;
      return null;
    }
    const skew = Math.round(Date.parse(said.now) - (since + Date.now()) / 2);
    facts.hello = { ...said, skew, heard: Date.now() };
    facts.reach = "ok";
    // A phone that is full can still send, and has room again.
    await outbox.put("facts", "hello", facts.hello).catch(() => null);
    outbox.tell("hello", { hello: facts.hello });
    return facts.hello;
  });
  // A token is renewed whenever somebody signs in, so an old one cannot write for somebody else.
  const fresh = () => {
    const { hello } = facts;
    const known = hello && Date.now() - hello.heard < FRESH && hello.heard <= Date.now();
    return known && hello.person === outbox.who().person ? hello : null;
  };

  const bodyOf = async (record) => {
    const files = record.hasFiles ? (await outbox.get("files", record.entry)) || [] : [];
    if (!files.length) return new URLSearchParams(record.fields);
    const body = new FormData();
    record.fields.forEach(([name, value]) => body.append(name, value));
    files.forEach((file) => body.append(file.name,
      new File([file.body], file.filename, { type: file.type }), file.filename));
    return body;
  };
  const post = async (record, hello) => {
    const headers = {
      "Haftbook-Entry": record.entry, "Haftbook-Clock": new Date().toISOString(),
      "X-CSRFToken": hello.token, ...onScreen.get(record.entry),
    };
    if (record.skew !== null) headers["Haftbook-Skew"] = String(record.skew);
    const limit = record.hasFiles ? LIMIT_WITH_FILES : LIMIT;
    const body = await bodyOf(record);
    return ask(record.action, { method: "POST", headers, body }, limit);
  };

  const failed = async (record, status) => {
    if (facts.hello) facts.hello.heard = 0; // asked anew before the next try
    await outbox.triedAgain(record);
    if (record.tries + 1 < MOST_TRIES) return false;
    const says = ["The garden could not take this in."];
    if (await outbox.refuse(record, { says }, status))
      outbox.tell("refused", { record, answer: { outcome: "refused", says } });
    return true;
  };
  // What an answer means: true to go on with the next, false to stop for now.
  const settle = async (record, answer) => {
    const { status, said } = answer || {};
    if (!answer || (status === 401 && said)) {
      facts.reach = answer ? "signed-out" : "out";
      if (facts.hello) facts.hello.heard = 0;
      return false;
    }
    if (status === 503) return false; // busy, or its disk is full: no fault of this entry
    if (!said || said.entry !== record.entry || status >= 500) return failed(record, status);
    facts.reach = "ok";
    const kept = status === 200 && ["kept", "already"].includes(said.outcome);
    if (!kept && !["refused", "conflict"].includes(said.outcome)) return failed(record, status);
    const mine = await (kept ? outbox.accept(record, said) : outbox.refuse(record, said, status));
    if (mine) outbox.tell(kept ? "accepted" : "refused", { record, answer: { ...said, status } });
    return true;
  };

  const run = async () => {
    // With nothing to send the line in the head still wants to know when the garden is back.
    if (!(await outbox.first())) return facts.reach !== "out" || Boolean(await greet());
    // Asked first each time: what was sent to nobody could not be taken back any more.
    let [hello, renewed] = [await greet(), false];
    while (hello) {
      const { person } = hello;
      const next = await outbox.first((one) => one.person === null || one.person === person);
      if (!next) return true;
      const record = await outbox.depart(next).catch(() => next);
      if (!record) continue;
      const answer = await post(record, hello);
      if (answer?.said?.outcome === "token") {
        if (renewed) return false;
        [hello, renewed] = [await greet(), true];
        continue;
      }
      renewed = false;
      if (!(await settle(record, answer))) return false;
      outbox.tellState();
    }
    return false;
  };

  // One sender: a lock where the browser has them, else a short lease in the store.
  const lease = (until) => outbox.transact(["facts"], "readwrite", async (store) => {
    const held = await outbox.got(store("facts").get("lease"));
    const left = held && held.by !== ME ? held.until - Date.now() : 0;
    if (left > 0 && left <= LEASE) return false; // longer: a clock was put back
    await outbox.got(store("facts").put({ by: ME, until }, "lease"));
    return true;
  }, "relaxed");
  const leased = async (work) => {
    if (!(await lease(Date.now() + LEASE))) return false;
    const renewing = setInterval(() => lease(Date.now() + LEASE), LEASE / 3);
    try {
      await work();
    } finally {
      clearInterval(renewing);
      await lease(0);
    }
    return true;
  };
  const locked = (work) => navigator.locks.request(
    // A tab that sleeps with the lock is passed over after a while: the garden counts once anyway.
    "haftbook-sender", busy > 240 ? { steal: true } : { ifAvailable: true },
    async (lock) => { if (lock) await work(); return Boolean(lock); },
  );

  const once = async () => {
    let done = true;
    const work = async () => { done = await run(); };
    const had = await (navigator.locks ? locked(work) : leased(work));
    busy = had ? 0 : busy + 1;
    failures = done ? 0 : failures + 1;
    if (!had) return (await outbox.first()) ? 500 : 0;
    return done ? 0 : PAUSES[Math.min(failures, PAUSES.length) - 1];
  };
  outbox.send = async () => {
    if (atTheDoor) return;
    again = true;
    if (running) return;
    running = true;
    clearTimeout(timer);
    let pause = 0;
    try {
      while (again) {
        again = false;
        pause = await once();
        await outbox.tellState();
      }
    } catch {
      pause = PAUSES.at(-1); // the store failed: what it holds is tried again
    } finally {
      running = false;
    }
    if (pause) timer = setTimeout(outbox.send, pause);
  };

  ["online", "focus", "pageshow"].forEach((name) => window.addEventListener(name, outbox.send));
  document.addEventListener("visibilitychange", () => document.hidden || outbox.send());
  document.addEventListener("outbox:kept", outbox.send);
  window.addEventListener("pagehide", () => running && !navigator.locks && lease(0));
  // A page that the phone itself brought says by this whether the garden is there.
  haftbook.ready.then(async () => {
    if (atTheDoor) {
      facts.reach = "signed-out";
      return outbox.tellState();
    }
    if (!document.body.dataset.person || !fresh()) await greet();
    return outbox.send();
  }).catch(() => {});
})();
