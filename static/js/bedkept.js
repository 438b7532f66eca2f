// What was kept just now, in words: on this phone, then in the garden; taken back and put back.
(() => {
  "use strict";
  const strip = () => document.getElementById("bed-kept");
  let last = null;

  // What cannot be told from the words alone keeps its label; the whole of it stands under 'What waits'.
  const FILE = /\.(jpe?g|png|webp|heic|heif|avif|gif)$/i;
  const details = ({ kind, told = [], hasFiles }) => told
    .filter(([, value]) => !(hasFiles && FILE.test(value)))
    .map(([label, value]) => (label === kind ? value : `${label.toLowerCase()} ${value}`));
  const words = (record) => {
    const { action, title, fields = [], hasFiles } = record;
    const { tag, outcome } = Object.fromEntries(fields);
    if (action === "/new-cross/") return `${title}, tag ${tag}`;
    if (outcome) return `${title}, ${outcome === "set" ? "Pod set" : `no pod: ${details(record).join(", ")}`}`;
    return [title, ...details(record), hasFiles && "with a photo"].filter(Boolean).join(", ");
  };
  const show = (head, text, button, act, refused = false) => {
    const one = haftbook.bed.fill(haftbook.bed.copy("bed-kept-line"), { head, text, button });
    one.classList.toggle("kept--refused", refused);
    one.querySelector("button").hidden = !button;
    if (button) one.querySelector("button").addEventListener("click", act, { once: true });
    strip().replaceChildren(one);
  };
  const hide = () => strip().replaceChildren();

  // It stands above the page that comes next, and makes room on the one after that.
  let turned = 0;
  window.addEventListener("hashchange", () => (turned += 1) > 1 && hide());
  const keptHere = (record) => {
    [last, turned] = [record, 0];
    show("Kept on this phone ✓", words(record), "Take back", () => takeBack(record));
  };

  // Still here: it is dropped, and nothing was ever said. Sent already: the garden undoes it, as
  // soon as it has answered.
  const takeBack = async (record) => {
    const files = (await haftbook.outbox.get("files", record.entry)) ?? [];
    if (!(await haftbook.outbox.drop(record.entry)))
      return last && show("On its way to the garden, where it can be undone", words(record), "", null);
    haftbook.outbox.tellState();
    last = null;
    show("Taken back", words(record), "Put back", async () => {
      const again = files.map((one) => ({ name: one.name, file: new File([one.body], one.filename, { type: one.type }) }));
      keptHere(await haftbook.outbox.keep({ ...record, files: again }));
      haftbook.bed.show();
    });
    haftbook.bed.show();
  };
  const undo = (line, text) => async () => {
    const fields = [["entry", haftbook.outbox.newEntry()], ["at", new Date().toISOString()]];
    const record = await haftbook.outbox.keep({ action: `/lines/${line}/undo/`, fields, files: [],
      kind: "Undo", title: `Undo: ${text}`, told: [] });
    keptHere(record);
  };

  document.addEventListener("bed:kept", ({ detail }) => keptHere(detail));
  document.addEventListener("outbox:accepted", ({ detail: { record, answer } }) => {
    if (record.entry !== last?.entry) return;
    last = null;
    const taken = record.action.endsWith("/undo/");
    show("In the garden ✓", answer.text, taken ? "" : "Undo", undo(answer.line, answer.text));
  });
  document.addEventListener("outbox:refused", ({ detail: { record, answer } }) => {
    if (record.entry !== last?.entry) return;
    const says = [...(answer.says ?? []), ...Object.values(answer.fields ?? {}).flat()].join(" ");
    show("Needs attention", `${record.title}: ${says}`, "See it", () => (location.href = "/waiting/"), true);
  });

  Object.assign(haftbook.bed, { keptHere, hideKept: hide });
})();
