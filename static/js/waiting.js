// The page Waiting: what is on this phone, what needs attention, what the garden has accepted.
(() => {
  "use strict";

  const { outbox, facts } = haftbook;
  const MOST_SHOWN = 100;
  const section = (name) => document.querySelector(`[data-list=${name}]`);

  const whenOf = (at, skew) => new Date(Date.parse(at) + (skew ?? 0)).toLocaleString("en-GB",
    { day: "numeric", month: "long", hour: "2-digit", minute: "2-digit", timeZone: facts.hello?.zone });
  const workedOf = ({ at, skew }) => `worked ${whenOf(at, skew)}`;
  const isMine = ({ person }) => person === null || person === facts.hello?.person;
  // A copy of a template whose [data-t=name] get their texts; those without one go.
  const fill = (id, texts) => {
    const made = document.getElementById(id).content.firstElementChild.cloneNode(true);
    made.querySelectorAll("[data-t]").forEach((node) => {
      const text = texts[node.dataset.t];
      if (!text) node.remove();
      else if (node.dataset.t === "link") node.href = text;
      else node.textContent = text;
    });
    return made;
  };
  const lineOf = (record) => fill("waits-one", {
    kind: record.kind, title: record.title, when: workedOf(record),
    whose: isMine(record) ? "" : `For ${record.personName}: goes when ${record.personName} signs in`,
  });
  const acceptedOf = (record) => fill("waits-one", {
    kind: record.kind, title: record.text, link: record.at,
    when: `accepted ${whenOf(new Date(record.when).toISOString())}`,
  });

  // The garden's sentences, each after the field it is about where it does not name it itself.
  const saysOf = ({ says = [], fields_said: fields = {} }) => [...says,
    ...Object.entries(fields).flatMap(([name, said]) => said.map((one) => {
      const field = name.replace(/_text$/, "").replaceAll("_", " ");
      return one.toLowerCase().includes(field) ? one
        : `${field[0].toUpperCase()}${field.slice(1)}: ${one}`;
    }))];

  const element = (name, text) => Object.assign(document.createElement(name), { textContent: text });
  const calledOf = (record) => {
    const made = fill("waits-called", {
      kind: record.kind, title: record.title, when: workedOf(record),
      whose: isMine(record) ? "" : `Written by ${record.personName}`,
    });
    made.dataset.entry = record.entry;
    made.querySelector("[data-says]").append(...saysOf(record).map((one) => element("li", one)));
    made.querySelector("[data-words]").append(...record.told.map(([label, value]) => {
      const row = document.createElement("div");
      row.append(element("dt", label), element("dd", value));
      return row;
    }));
    if (record.status === 409) {
      // The entry is in the record already, with other words; what stands here is one more.
      made.querySelector("[data-do=mend]").remove();
      Object.assign(made.querySelector("[data-do=again]"), { textContent: "Send it as a new entry" });
    }
    return made;
  };
  const asideOf = (record) => {
    const made = fill("waits-aside", { kind: record.kind, title: record.title,
      when: workedOf(record) });
    made.dataset.entry = record.entry;
    return made;
  };

  const put = (name, records, lineFor) => {
    const room = section(name);
    room.querySelector("ul").replaceChildren(...records.map(lineFor));
    const empty = room.querySelector("[data-empty]");
    if (empty) empty.hidden = records.length > 0;
    else room.hidden = !records.length;
  };
  const told = { out: "The garden is out of reach. What is here goes by itself when it answers.",
    "signed-out": "Sign in, then they go.", ok: "", unknown: "" };
  const MOVED = "The garden has been out of reach for more than three hours. What is here goes by " +
    "itself when it answers at this address. Or it has another address now: then nothing goes from " +
    "here; save the entries as a file, and take it in on the computer.";
  const draw = async () => {
    const [waiting, attention, accepted, aside] = await Promise.all(
      ["waiting", "attention", "accepted", "aside"].map(outbox.list));
    // Somebody in the middle of a question is not interrupted.
    if (!document.querySelector(".wait-sure:not([hidden])")) put("attention", attention, calledOf);
    put("waiting", waiting.slice(0, MOST_SHOWN), lineOf);
    document.querySelector("[data-empty]").textContent =
      attention.length ? "Nothing else waits." : "Nothing waits.";
    put("accepted", accepted.reverse(), acceptedOf);
    put("aside", aside, asideOf);
    const [more, ways] = ["[data-more]", "[data-some]"].map((one) => document.querySelector(one));
    more.hidden = waiting.length <= MOST_SHOWN;
    more.textContent = `And ${waiting.length - MOST_SHOWN} more.`;
    document.querySelector("[data-all]").hidden = false;
    document.querySelector("[data-go]").hidden = !waiting.length;
    ways.hidden = !waiting.length && !attention.length;
    document.querySelector("[data-told]").textContent = (outbox.longOut() && MOVED) || told[facts.reach] ||
      "What this phone keeps until the garden has it.";
  };

  const note = (line, text) => {
    const told = line.querySelector("[data-note]");
    told.textContent = text;
    told.hidden = !text;
  };
  // The very body goes to its address as a form, so that the garden shows its own with the reasons.
  const post = async (record, token) => {
    const form = document.createElement("form");
    Object.assign(form, { method: "post", action: record.action, hidden: true,
      enctype: record.hasFiles ? "multipart/form-data" : "application/x-www-form-urlencoded" });
    for (const [name, value] of [...record.fields, ["csrfmiddlewaretoken", token]])
      form.append(Object.assign(document.createElement("input"), { type: "hidden", name, value }));
    for (const one of record.hasFiles ? (await outbox.get("files", record.entry)) || [] : []) {
      const sent = new DataTransfer();
      sent.items.add(new File([one.body], one.filename, { type: one.type }));
      const field = Object.assign(document.createElement("input"), { type: "file", name: one.name });
      field.files = sent.files;
      form.append(field);
    }
    document.body.append(form);
    HTMLFormElement.prototype.submit.call(form);
  };
  // A form that is sent anew gets the moment of its new tap: its day stays the one that was meant.
  const withDay = (record, { skew, zone }) => {
    const meant = new Date(Date.parse(record.at) + (record.skew ?? skew));
    const day = new Intl.DateTimeFormat("en-CA", { timeZone: zone }).format(meant);
    if (day === haftbook.today()) return record;
    const fields = record.fields.map(([name, value]) => [name, name === "day" && !value ? day : value]);
    return { ...record, fields };
  };
  const mend = async (line, record) => {
    const hello = await outbox.greet();
    if (!hello)
      return note(line, facts.reach === "signed-out" ? "Sign in, then mend it. Nothing has changed."
        : "The garden is out of reach: its form cannot come. Everything stays here as it is.");
    if (!isMine(record))
      return note(line, `${record.personName} wrote this and mends it: sign in as ${record.personName}.`);
    const dated = withDay(record, hello);
    await outbox.put("attention", record.entry, { ...dated, mended: Date.now() });
    return post(dated, hello.token);
  };
  const again = async (record) => {
    if (record.status === 409) await outbox.renew(record.entry);
    else await outbox.sendAgain(record.entry);
    return outbox.send();
  };
  const ask = (line, asking) => {
    const [ways, sure] = [line.querySelector(".wait-ways"), line.querySelector(".wait-sure")];
    [ways.hidden, sure.hidden] = [asking, !asking];
    (asking ? sure : ways).querySelector("button").focus();
  };
  const ACTS = {
    mend, again: (line, record) => again(record),
    ask: (line) => ask(line, true), leave: (line) => ask(line, false),
    aside: (line, { entry }) => {
      line.remove();
      return outbox.move(entry, "attention", "aside", { aside: Date.now() });
    },
    back: (line, { entry }) => outbox.move(entry, "aside", "attention"),
  };
  document.addEventListener("click", async ({ target }) => {
    const button = target.closest("[data-do]");
    if (!button) return;
    const line = button.closest("li");
    const { entry } = line.dataset;
    const record = await outbox.get(button.dataset.do === "back" ? "aside" : "attention", entry);
    if (record) await ACTS[button.dataset.do](line, record);
    if (!["ask", "leave", "mend"].includes(button.dataset.do)) outbox.tellState();
  });

  outbox.lineOf = lineOf;
  if (!section("waiting")) return; // the page that takes a file in
  document.querySelector("[data-here]").textContent = location.origin;
  document.querySelector("[data-http]").hidden = isSecureContext;
  document.querySelector("[data-go]").addEventListener("click", outbox.send);
  document.addEventListener("outbox:state", draw);
  haftbook.ready.then(outbox.clearAside).then(draw).catch(() => {
    document.querySelector("[data-told]").textContent = "Nothing can be kept on this phone: its " +
      "browser has no store for this page, as in a private window. Forms are sent at once or not at all.";
  });
})();
