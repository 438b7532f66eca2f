// What becomes of an entry that waits: accepted, refused, put aside, sent once more. Each is one
// transaction, and does nothing where another tab was quicker.
(() => {
  "use strict";

  const { outbox } = haftbook;
  const { transact, got } = outbox;
  const ACCEPTED_SHOWN = 60;
  const ASIDE_FOR = 30 * 86_400_000;

  // Off the phone for good; false when it is not there any more, or when the garden may have it
  // already: its answer may be lost or on its way.
  const drop = (entry) => transact(["waiting", "attention", "aside", "files"], "readwrite",
    async (store) => {
      const waits = await got(store("waiting").index("entry").get(entry));
      if (waits?.sent) return false;
      const kept = await Promise.all(["attention", "aside"].map((name) =>
        got(store(name).getKey(entry))));
      if (waits) await got(store("waiting").delete(waits.n));
      await Promise.all(["attention", "aside", "files"].map((name) =>
        got(store(name).delete(entry))));
      return Boolean(waits) || kept.some((key) => key !== undefined);
    });
  // Just before it is sent; null when it was taken back meanwhile.
  const depart = (record) => transact(["waiting"], "readwrite", async (store) => {
    const waits = await got(store("waiting").get(record.n));
    if (waits && !waits.sent) await got(store("waiting").put({ ...waits, sent: true }));
    return waits ? { ...waits, sent: true } : null;
  });

  const settle = (record, durability, work, ...names) => transact(["waiting", ...names],
    "readwrite", async (store) => {
      if (!(await got(store("waiting").get(record.n)))) return false;
      await got(store("waiting").delete(record.n));
      await work(store);
      return true;
    }, durability);
  // What the garden has may come back to this phone after a power cut: it is known there.
  const accept = (record, { text, at }) => settle(record, "relaxed", async (store) => {
    const { entry, kind, title } = record;
    await got(store("files").delete(entry));
    const n = await got(store("accepted").add({ entry, kind, title, text, at, when: Date.now() }));
    await got(store("accepted").delete(IDBKeyRange.upperBound(n - ACCEPTED_SHOWN)));
  }, "files", "accepted");
  const refuse = (record, { says = [], fields = {} }, status) => settle(record, "strict", (store) =>
    got(store("attention").put({ ...record, says, fields_said: fields, status }, record.entry)),
  "attention");
  const triedAgain = (record) => transact(["waiting"], "readwrite", async (store) => {
    if (await got(store("waiting").get(record.n)))
      await got(store("waiting").put({ ...record, tries: record.tries + 1 }));
  });

  // Between the lists of the page Waiting; the files stay where they are.
  const move = (entry, from, to, more = {}) => transact([from, to], "readwrite", async (store) => {
    const record = await got(store(from).get(entry));
    if (!record) return;
    await got(store(from).delete(entry));
    const { n, ...rest } = { ...record, ...more };
    await got(to === "waiting" ? store(to).add(rest) : store(to).put(rest, entry));
  });
  const sendAgain = (entry) => move(entry, "attention", "waiting", { tries: 0, mended: false });

  // What the garden has under this entry already, in other words, goes as one of its own.
  const renew = (entry) => transact(["attention", "waiting", "files"], "readwrite",
    async (store) => {
      const record = await got(store("attention").get(entry));
      if (!record) return;
      const { n, ...rest } = outbox.withEntry({ ...record, tries: 0, sent: false }, outbox.newEntry());
      const files = await got(store("files").get(entry));
      if (files) await got(store("files").put(files, rest.entry));
      await Promise.all(["attention", "files"].map((name) => got(store(name).delete(entry))));
      await got(store("waiting").add(rest));
    });

  const clearAside = async () => {
    const old = (await outbox.list("aside")).filter(({ aside }) => aside < Date.now() - ASIDE_FOR);
    return Promise.all(old.map(({ entry }) => drop(entry)));
  };

  // Whoever signs out leaves nothing to read but what still waits for them.
  const leave = () => transact(["lists", "accepted", "facts"], "readwrite", (store) => Promise.all([
    ...["lists", "accepted"].map((name) => got(store(name).clear())),
    ...["since", "last-pollen"].map((key) => got(store("facts").delete(key))),
  ]));
  document.addEventListener("submit", ({ target }) => {
    if (new URL(target.action, location.href).pathname === "/sign-out/") leave().catch(() => {});
  });
  // So does a phone that was signed out from elsewhere, as soon as the garden or the door says so.
  let left = false;
  document.addEventListener("outbox:state", async ({ detail: { reach } }) => {
    const before = left;
    left = reach === "signed-out";
    if (!left || before) return;
    await leave().catch(() => { left = false; });
    if (!location.hash.slice(1)) haftbook.bed?.show?.();
  });

  Object.assign(outbox, {
    drop, depart, accept, refuse, triedAgain, move, sendAgain, renew, clearAside,
  });
})();
