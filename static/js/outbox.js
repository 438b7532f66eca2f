// The outbox: forms and their files in the browser's own store until the garden has them. It is the
// same over http and https; what is said to be kept has been written to the phone's disk.
(() => {
  "use strict";

  const NUMBERED = { keyPath: "n", autoIncrement: true };
  const STORES = {
    waiting: NUMBERED, accepted: NUMBERED, files: {}, attention: {}, aside: {}, lists: {}, facts: {},
  };
  const ASKED_AGAIN = new Set(["facts", "lists"]);
  const facts = { hello: null, reach: "unknown" };
  let opening = null;

  const build = (db, transaction) => {
    for (const [name, options] of Object.entries(STORES)) db.createObjectStore(name, options);
    transaction.objectStore("waiting").createIndex("entry", "entry");
  };
  const opened = (done, fail) => {
    const asked = indexedDB.open("haftbook", 1);
    asked.onupgradeneeded = () => build(asked.result, asked.transaction);
    asked.onerror = () => fail(asked.error);
    asked.onsuccess = () => {
      const db = asked.result;
      const shut = () => { opening = null; };
      db.onclose = shut;
      db.onversionchange = () => { db.close(); shut(); };
      done(db);
    };
  };
  const open = () => (opening ||= new Promise(opened).catch((error) => {
    opening = null;
    throw error;
  }));

  const got = (request) => new Promise((done, fail) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error);
  });
  // `work` within one transaction; done only when all of it is on disk. What may be forgotten in a
  // power cut, as the garden has it or is asked again, need not wait for the disk: "relaxed".
  const transact = async (names, mode, work, durability = "strict") => {
    const transaction = (await open()).transaction(names, mode, { durability });
    const over = new Promise((done, fail) => {
      transaction.oncomplete = done;
      transaction.onabort = () => fail(transaction.error || new Error("not kept"));
    });
    const doing = work((name) => transaction.objectStore(name)).catch((error) => {
      // All of it or nothing, whatever went wrong.
      try { transaction.abort(); } catch { /* it is over already */ }
      throw error;
    });
    const [, made] = await Promise.all([over, doing]);
    return made;
  };
  const get = (name, key) => transact([name], "readonly", (store) => got(store(name).get(key)));
  const put = (name, key, value) => transact([name], "readwrite",
    (store) => got(store(name).put(value, key)), ASKED_AGAIN.has(name) ? "relaxed" : "strict");
  const list = (name) => transact([name], "readonly", (store) => got(store(name).getAll()));

  // The first that waits for one of these people, or for anybody. Files are never read along.
  const first = (may = () => true) => transact(["waiting"], "readonly", async (store) => {
    const [front] = await got(store("waiting").getAll(null, 1));
    if (!front || may(front)) return front;
    return (await got(store("waiting").getAll())).find(may);
  });

  const newEntry = () => {
    if (crypto.randomUUID) return crypto.randomUUID();
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 15) | 64;
    bytes[8] = (bytes[8] & 63) | 128;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
  };
  const field = (fields, name) => fields.find(([known]) => known === name)?.[1];
  const withEntry = (record, entry) => ({
    ...record, entry,
    fields: [...record.fields.filter(([name]) => name !== "entry"), ["entry", entry]],
  });

  const sameBytes = (one, other) => {
    const bytes = new Uint8Array(other);
    return one.byteLength === bytes.length && new Uint8Array(one).every((byte, i) => byte === bytes[i]);
  };
  const sameFiles = (some, others) => some.length === others.length && some.every((file, i) =>
    file.name === others[i].name && file.filename === others[i].filename &&
    sameBytes(file.body, others[i].body));
  const meant = (record) =>
    JSON.stringify([record.action, record.fields.filter(([name]) => name !== "at").sort()]);

  // A photo that the garden holds for a refused form goes along once more: it is not held for ever.
  const stillNeeded = (record, files) => files.every(({ name }) =>
    field(record.fields, `${name}_kept`) && !field(record.fields, `${name}_drop`));

  const write = async (store, record, files) => {
    const same = await got(store("waiting").index("entry").get(record.entry));
    const known = (await got(store("files").get(record.entry))) || [];
    if (same && meant(same) === meant(record) && sameFiles(files, known)) return same;
    // The same form with other words, while the first still waits: both are sent.
    let kept = same ? withEntry(record, newEntry()) : record;
    if (files.length) await got(store("files").put(files, kept.entry));
    else if (!same && known.length && stillNeeded(kept, known)) kept = { ...kept, hasFiles: true };
    await got(store("attention").delete(kept.entry));
    return { ...kept, n: await got(store("waiting").add(kept)) };
  };
  const held = async ({ name, file }) =>
    ({ name, filename: file.name, type: file.type, body: await file.arrayBuffer() });

  // For whom: whoever the garden drew this page for; a page from the phone itself asks the store.
  const who = () => {
    const { person, personName } = document.body.dataset;
    if (person) return { person: Number(person), personName };
    return { person: facts.hello?.person ?? null, personName: facts.hello?.name ?? "" };
  };

  const keep = async ({ action, fields, files = [], kind, title, told = [] }) => {
    const { hello } = facts;
    const record = withEntry({
      kind, title, told, action, fields, ...who(),
      at: field(fields, "at") || new Date().toISOString(),
      skew: hello?.skew ?? null, kept: Date.now(), tries: 0, hasFiles: files.length > 0,
    }, field(fields, "entry") || newEntry());
    const bodies = await Promise.all(files.map(held));
    const kept = await transact(["waiting", "files", "attention"], "readwrite",
      (store) => write(store, record, bodies));
    tell("kept", { record: kept });
    return kept;
  };

  const state = () => transact(["waiting", "attention"], "readonly", async (store) => {
    const [waiting, attention, [oldest]] = await Promise.all([
      got(store("waiting").count()), got(store("attention").count()),
      got(store("waiting").getAll(null, 1)),
    ]);
    const mine = !oldest || oldest.person === null || oldest.person === who().person;
    return { waiting, attention, reach: facts.reach, oldest: oldest?.at ?? null,
      kept: oldest?.kept ?? null, whose: mine ? null : oldest.personName };
  });

  // Events on the document, and the same in the other tabs of this phone, without the pages.
  const channel = "BroadcastChannel" in window ? new BroadcastChannel("haftbook") : null;
  const say = (name, detail) =>
    document.dispatchEvent(new CustomEvent(`outbox:${name}`, { detail }));
  const tell = (name, detail) => {
    say(name, detail);
    const answer = detail.answer && { ...detail.answer, page: null };
    channel?.postMessage({ name, detail: { ...detail, answer, elsewhere: true } });
  };
  const tellState = async () => say("state", await state());
  channel?.addEventListener("message", ({ data }) => {
    if (data.name === "hello") facts.hello = data.detail.hello;
    if (data.name === "hello" || data.name === "accepted") facts.reach = "ok";
    say(data.name, data.detail);
    tellState();
  });
  document.addEventListener("visibilitychange", () => document.hidden || tellState());

  const now = () => new Date(Date.now() + (facts.hello?.skew ?? 0));
  const today = () =>
    new Intl.DateTimeFormat("en-CA", { timeZone: facts.hello?.zone }).format(now());
  const ready = get("facts", "hello").then((hello) => { facts.hello ??= hello ?? null; });

  window.haftbook = { now, today, ready, facts, outbox: { keep, get, put, list, state, first, who,
    newEntry, withEntry, field, transact, got, tell, tellState } };
})();
