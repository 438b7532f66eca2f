// In the bed, the score: the marks of each rubric are forms of the garden, kept among the lists.
(() => {
  "use strict";
  const { bed } = haftbook;
  const where = (walk) => `${walk.bed}, row ${walk.row}`;

  // Whom: those called on the walks of this phone, a position of a row, or a plant.
  const calledOf = (walks) => bed.inOrder(walks).flatMap((walk) => walk.signs.flatMap((sign, i) =>
    sign === "a" ? [{ href: `#score/row/${walk.pk}/${walk.first + i}`, name: `${where(walk)}: ${walk.first + i}` }] : []));
  const placeForm = (form, walks) => {
    const { row, position } = form.elements;
    row.append(...bed.inOrder(walks).map((walk) =>
      new Option(`${where(walk)}, ${walk.first}–${walk.last}`, walk.pk)));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      event.stopPropagation();
      const [walk, at] = [walks.get(Number(row.value)), bed.number(position.value)];
      if (at >= walk.first && at <= walk.last) bed.go(`score/row/${walk.pk}/${at}`);
      else bed.complain(form, { position: `This row has the positions ${walk.first} to ${walk.last}.` });
    });
  };
  // A plant chosen is opened at once.
  bed.plantForm = async (form, address) => {
    const plants = await bed.list("plants");
    bed.pick(form, "plant", { plants });
    const open = (key) => key && bed.go(`${address}/${key}`);
    form.addEventListener("bed:parent", () => open(form.elements.plant.value));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      event.stopPropagation();
      const found = bed.find(form.elements.plant_text.value, plants);
      if (found.length === 1) open(found[0].pk);
      else bed.complain(form, { plant_text: found.length ? "More than one plant could be meant. Tap it."
        : "Type a few letters of its name or number." });
    });
  };
  bed.page("score", async () => {
    const [node, walks] = [bed.copy("bed-score-whom"), await bed.walks()];
    const called = calledOf(walks);
    bed.each(bed.fill(node, { called: called.length, rows: walks.size }), "called", called);
    placeForm(node.querySelector("[data-place]"), walks);
    await bed.plantForm(node.querySelector("[data-plant]"), "score/plant");
    return node;
  });

  const FULL_FIRST = (a, b) => a.purpose.localeCompare(b.purpose) || a.name.localeCompare(b.name);
  // Marks fill the same criteria of another rubric; those that it has not come back with theirs.
  const putMarks = (form, html, aside) => {
    const [place, shape] = [form.querySelector("[data-marks]"), document.createElement("template")];
    for (const { name, type, checked, value } of place.querySelectorAll("input"))
      if (type !== "radio" || checked) aside[name] = value;
    shape.innerHTML = html;
    place.replaceChildren(document.importNode(shape.content, true));
    for (const field of place.querySelectorAll("input")) {
      if (field.type === "radio") field.checked = (aside[field.name] ?? "") === field.value;
      else field.value = aside[field.name] ?? "";
    }
    document.dispatchEvent(new Event("bed:marks"));
  };
  const chooser = (node, form, address, rubrics, first) => {
    const [buttons, aside] = [new Map(), {}];
    const choose = (rubric) => {
      form.setAttribute("action", `${address}?rubric=${rubric.pk}`);
      putMarks(form, rubric.html, aside);
      buttons.forEach((button) => button.removeAttribute("aria-current"));
      buttons.get(rubric).setAttribute("aria-current", "true");
      haftbook.outbox.put("facts", "rubric", rubric.pk);
    };
    bed.each(node, "rubrics", rubrics, (button, rubric) => {
      buttons.set(rubric, button);
      button.addEventListener("click", () => choose(rubric));
    });
    if (first) choose(first);
  };
  const check = (form) => {
    const { reason, note, photo } = form.elements;
    const given = [...new FormData(form)].some(([name, value]) => /^(mark_|stalk$)/.test(name) && value);
    if (!given && !note.value.trim() && !photo.files.length)
      return { note: "Give at least one mark, or write a note." };
    const decided = form.querySelector("[name=verdict]:checked")?.value;
    return reason.value.trim() && !decided
      ? { verdict: "Choose the decision that this is the reason for." } : {};
  };

  const clock = (at) => new Date(at).toLocaleTimeString("en-GB", { hour: "numeric", minute: "2-digit" });
  const waitsOf = async (address, rubrics) => (await bed.recorded(Date.now()))
    .filter(({ action }) => action.startsWith(address)).map(({ action, at }) => {
      const name = rubrics.find(({ pk }) => action.endsWith(`=${pk}`))?.name;
      return { line: `Scored at ${clock(at)}${name ? ` under ${name}` : ""}: it waits on this phone.` };
    });

  const scorePage = async (address, told, usual, after) => {
    const list = await bed.kept("rubrics");
    const rubrics = (list?.rows ?? []).sort(FULL_FIRST);
    const last = await haftbook.outbox.get("facts", "rubric");
    const first = rubrics.find(({ pk }) => pk === last) ?? rubrics.find(({ purpose }) => purpose === usual) ?? rubrics[0];
    const node = bed.form("bed-score", { action: address, kind: "Score", title: told.name, check, after: () => bed.go(after) });
    bed.fill(node, { ...told, back: `#${after}`, known: told.lines?.length, missing: !rubrics.length, age: list ? bed.age(list.made) : "" });
    bed.each(node, "known", (told.lines ?? []).map((line) => ({ line })));
    bed.each(node, "waits", await waitsOf(address, rubrics));
    chooser(node, node.querySelector("form"), address, rubrics, first);
    node.querySelector("form .btn--main").disabled = !rubrics.length;
    return node;
  };
  bed.page("score/row/ROW/AT", async (row, at) => {
    const walk = (await bed.walks()).get(Number(row));
    if (!walk) return bed.copy("bed-walk-none");
    const [letter, ...lines] = walk.known[at] ?? [""];
    return scorePage(`/rows/${row}/${at}/score/`, {
      name: `${where(walk)}, position ${at}${letter ? `, ${letter}` : ""}`, cross: walk.cross,
      parents: `${walk.seed} × ${walk.pollen ?? "unknown"}`, lines, seedling: !letter }, "walk", `walk/${row}`);
  });
  bed.page("score/plant/PLANT", async (key) => {
    const plant = (await bed.list("plants")).find(({ pk }) => String(pk) === key);
    return scorePage(`/plants/${key}/score/`, { name: plant?.name ?? "A plant" }, "full", "score");
  });
})();
