// Waiting entries as a file: saved on the phone, taken in on the computer, where they go on their
// way under the same numbers, so that each counts once.
(() => {
  "use strict";

  const { outbox, facts } = haftbook;
  const WHAT = "Haftbook: entries that wait";
  const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/i;
  const garden = () => document.querySelector(".head-name").textContent.trim();

  // FNV-1a of 32 bits: tells a damaged file from a whole one.
  const markOf = (text) => {
    let mark = 0x811c9dc5;
    for (let i = 0; i < text.length; i += 1) mark = Math.imul(mark ^ text.charCodeAt(i), 0x01000193);
    return (mark >>> 0).toString(16).padStart(8, "0");
  };

  const inText = (body) => new Promise((done, fail) => {
    const reader = new FileReader();
    reader.onload = () => done(reader.result.slice(reader.result.indexOf(",") + 1));
    reader.onerror = () => fail(reader.error);
    reader.readAsDataURL(new Blob([body], { type: "application/octet-stream" }));
  });
  const entryOf = async ({ n, mended, says, fields_said, status, ...record }) => {
    const files = record.hasFiles ? (await outbox.get("files", record.entry)) || [] : [];
    const told = await Promise.all(files.map(async ({ name, filename, type, body }) =>
      ({ name, filename, type, base64: await inText(body) })));
    return { ...record, files: told };
  };
  const save = async () => {
    const records = [...(await outbox.list("waiting")), ...(await outbox.list("attention"))];
    const entries = [];
    for (const record of records) entries.push(await entryOf(record));
    const saved = haftbook.now().toISOString();
    const text = JSON.stringify(entries);
    const head = JSON.stringify({ what: WHAT, format: 1, garden: garden(), saved, mark: markOf(text) });
    const file = new Blob([head.slice(0, -1), ',"entries":', text, "}"], { type: "application/json" });
    const link = document.createElement("a");
    Object.assign(link, { href: URL.createObjectURL(file), download: `haftbook-waiting-${haftbook.today()}.json` });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
    document.querySelector("[data-list=waiting] [data-note]").textContent =
      `Saved: ${entries.length} in one file. They stay on this phone too; each counts once.`;
  };

  const isText = (value) => typeof value === "string";
  const isPair = (pair) => Array.isArray(pair) && pair.length === 2 && pair.every(isText);
  const isFile = (file) => [file?.name, file?.filename, file?.type, file?.base64].every(isText);
  const patterns = () => [...document.getElementById("recording").content.children]
    .map((one) => new RegExp(one.textContent));
  const isRecording = (action) => {
    const { origin, pathname } = new URL(action, location.origin);
    return action.startsWith("/") && origin === location.origin &&
      patterns().some((pattern) => pattern.test(pathname));
  };
  const isEntry = (one) => UUID.test(one?.entry) && isText(one.action) && isText(one.kind) &&
    isText(one.title) && isText(one.at) && !Number.isNaN(Date.parse(one.at)) &&
    (one.person === null || Number.isInteger(one.person)) && isText(one.personName) && (one.skew === null || Number.isInteger(one.skew)) &&
    [one.fields, one.told, one.files].every(Array.isArray) && one.fields.every(isPair) &&
    one.told.every(isPair) && one.files.every(isFile) && isRecording(one.action);

  // The entries of a file, or a sentence that says why it is not taken in.
  const read = (text) => {
    let told;
    try {
      told = JSON.parse(text);
    } catch {
      return "This file is no whole file of entries: it is damaged, or something else.";
    }
    if (told?.what !== WHAT || !Array.isArray(told.entries)) return "This is no file of waiting entries.";
    if (told.format !== 1) return "A newer Haftbook wrote this file; bring this one up to date first.";
    if (told.mark !== markOf(JSON.stringify(told.entries)))
      return "This file is damaged. Save it once more on the phone.";
    if (told.garden !== garden())
      return `This file comes from “${told.garden}”, and this is “${garden()}”.`;
    return told.entries.every(isEntry) ? told.entries
      : "This file holds something that no form of the field has sent. Nothing was taken in.";
  };

  const bytesOf = (base64) => Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0)).buffer;
  const take = async (entries) => {
    let taken = 0;
    for (const { files, ...one } of entries) {
      const record = { ...one, tries: 0, hasFiles: files.length > 0 };
      const bodies = files.map(({ base64, ...file }) => ({ ...file, body: bytesOf(base64) }));
      taken += await outbox.transact(["waiting", "files"], "readwrite", async (store) => {
        if (await outbox.got(store("waiting").index("entry").getKey(record.entry))) return 0;
        if (bodies.length) await outbox.got(store("files").put(bodies, record.entry));
        await outbox.got(store("waiting").add(record));
        return 1;
      });
    }
    return taken;
  };

  const show = (room, entries) => {
    const refused = isText(entries);
    const note = room.querySelector("[data-note]");
    [note.textContent, note.hidden] = [refused ? entries : "", !refused];
    room.querySelector("[data-found]").hidden = refused;
    if (refused) return;
    const others = new Set(entries.filter(({ person }) => person !== facts.hello?.person)
      .map(({ personName }) => personName));
    const whose = [...others].map((name) =>
      `Those of ${name} wait here until ${name} signs in on this computer.`);
    room.querySelector("[data-summary]").textContent =
      [`${entries.length} ${entries.length === 1 ? "entry" : "entries"}.`, ...whose].join(" ");
    room.querySelector("ul").replaceChildren(...entries.map(outbox.lineOf));
  };
  const begin = (room) => {
    let entries = [];
    room.querySelector("input").addEventListener("change", async ({ target }) => {
      if (!target.files[0]) return;
      entries = read(await target.files[0].text());
      show(room, entries);
    });
    room.querySelector("[data-take]").addEventListener("click", async () => {
      await take(entries);
      await outbox.tellState();
      location.assign("/waiting/");
    });
  };

  document.querySelector("[data-save]")?.addEventListener("click", save);
  const room = document.querySelector("[data-take-in]");
  if (room) begin(room);
})();
