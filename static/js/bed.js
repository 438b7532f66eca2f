// The page 'In the bed': its addresses behind the #, its templates, and keeping what a form says.
//
//   haftbook.bed.page("walk/ROW/AT", render)  what a hash address shows; render(row, at) gives a node
//                                             or a promise of one. Words in capitals take any value.
//   haftbook.bed.go("pods")                   opens a hash address
//   haftbook.bed.copy("bed-pods")             a copy of <template id="bed-pods">, its first element
//   haftbook.bed.fill(node, {name: …})        [data-t=name] gets the text and hides without one;
//                                             [data-href=name] the address; [data-if=name] shows or
//                                             hides. Gives the node back.
//   haftbook.bed.each(node, "pods", rows, more)  fills the <template> within [data-each=pods] once
//                                             for every row; more(copy, row) may do the rest
//   haftbook.bed.form(templateId, {action, kind, values, title, check, after})
//                                             a form from its template. values: by field name; title:
//                                             text or title(form); check(form, button) gives, or
//                                             promises, {field: sentence} (refused) and, under
//                                             "doubts", what is told once and then kept all the
//                                             same; after(record) goes on once it is kept. Then the
//                                             receipt is scrolled into view, but with `stays`.
//   haftbook.bed.list("plants")               Promise of the rows on this phone (bedlists.js), with
//                                             what waits here worked in (bedhere.js)
//   haftbook.bed.said(sentence)               a line of its own above the page; "" takes it away
(() => {
  "use strict";
  window.haftbook ??= {};
  const pages = [];
  let turns = 0;
  const part = (name) => document.getElementById(`bed-${name}`);

  const page = (pattern, render) => {
    const shape = pattern.replace(/[A-Z]+/g, "([^/]*)");
    pages.push([new RegExp(`^${shape}$`), render]);
  };
  const go = (hash) => {
    if (location.hash.slice(1) === hash) show();
    else location.hash = hash;
  };

  const copy = (id) => shapeOf(document.getElementById(id));
  const shapeOf = (shape) => document.importNode(shape.content.firstElementChild, true);

  // What was filled by itself within a page stays as it is when the page is filled.
  const within = (node, name) =>
    [...(node.matches(`[data-${name}]`) ? [node] : []), ...node.querySelectorAll(`[data-${name}]`)]
      .filter((one) => {
        const own = one.closest("[data-filled]");
        return !own || own === node || !node.contains(own);
      });
  const fill = (node, values) => {
    node.dataset.filled = "";
    for (const one of within(node, "t")) {
      const told = values[one.dataset.t] ?? "";
      one.textContent = told;
      one.hidden = told === "";
    }
    for (const one of within(node, "href")) one.setAttribute("href", values[one.dataset.href]);
    for (const one of within(node, "if")) one.hidden = !values[one.dataset.if];
    return node;
  };
  const each = (node, name, rows, more) => {
    const place = node.querySelector(`[data-each="${name}"]`);
    const shape = place.querySelector("template");
    place.append(...rows.map((row) => {
      const one = fill(shapeOf(shape), row);
      more?.(one, row);
      return one;
    }));
    return node;
  };

  // A page that was overtaken by the next tap is not shown any more.
  const show = async () => {
    const here = decodeURIComponent(location.hash.slice(1));
    const turn = ++turns;
    const found = pages.map(([shape, render]) => [shape.exec(here), render]).find(([hit]) => hit);
    if (!found) return void (location.hash = "");
    const node = await found[1](...found[0].slice(1));
    if (turn !== turns) return;
    part("sheet").replaceChildren(node);
    const head = node.querySelector("h1, h2");
    if (head) document.title = `${head.textContent.trim()} · ${document.getElementById("bed").dataset.garden}`;
    const first = node.querySelector("[data-first]") || (turn > 1 && head);
    if (first) {
      if (first === head) head.tabIndex = -1;
      first.focus({ preventScroll: true });
    }
    if (here !== shown) window.scrollTo(0, 0);
    shown = here;
  };
  let shown = "";

  const said = (sentence) => {
    const line = part("said");
    line.textContent = sentence;
    line.hidden = !sentence;
  };

  // What is wrong stands at its field, as on a page of the garden.
  const fieldOf = (form, name) => {
    const control = form.elements.namedItem(name) || form.querySelector(`[data-field="${name}"]`);
    return (control instanceof RadioNodeList ? control[0] : control)?.closest(".field");
  };
  const complain = (form, told) => {
    form.querySelectorAll(".err").forEach((line) => line.remove());
    form.querySelectorAll(".field--bad").forEach((field) => field.classList.remove("field--bad"));
    const names = Object.keys(told);
    for (const name of names) {
      const line = Object.assign(document.createElement("p"), { className: "err" });
      line.textContent = told[name];
      line.setAttribute("role", "alert");
      const field = fieldOf(form, name);
      if (field?.closest("details")) field.closest("details").open = true;
      field?.classList.add("field--bad");
      const label = field?.querySelector("label, legend, .label");
      if (label) label.after(line);
      else form.prepend(line);
    }
    if (names.length) fieldOf(form, names[0])?.querySelector("input:not([type=hidden])")?.focus();
    return names.length > 0;
  };
  const missing = (form) => {
    const told = {};
    for (const field of form.querySelectorAll("[data-need]")) {
      if (!field.value.trim()) told[field.name] = field.dataset.need;
      else if (field.inputMode === "numeric" && !/^[\d\s'.#-]+$/.test(field.value))
        told[field.name] = "Write a whole number in digits.";
    }
    return told;
  };
  const mayGo = async (form, button, check) => {
    const { doubts = {}, ...wrong } = (await check?.(form, button)) ?? {};
    if (complain(form, { ...missing(form), ...wrong })) return false;
    const known = JSON.stringify(doubts);
    if (known === "{}" || form.dataset.doubted === known) return true;
    form.dataset.doubted = known;
    complain(form, doubts);
    return false;
  };

  const keep = async (form, button, { kind, title, check, after, stays }) => {
    if (form.dataset.keeping) return;
    form.dataset.keeping = "yes";
    try {
      if (!(await mayGo(form, button, check))) return;
      const what = await haftbook.outbox.gather(form, button);
      const name = typeof title === "function" ? title(form, button) : title;
      const record = await haftbook.outbox.keep({ ...what, kind, title: name });
      said("");
      document.dispatchEvent(new CustomEvent("bed:kept", { detail: record }));
      after?.(record);
      // What comes next is drawn in a moment: it stays at the top by itself.
      if (!stays) window.scrollTo(0, 0);
    } catch (error) {
      console.warn(error);
      said("This phone could not keep it: write it on paper, and free some space on the phone.");
    } finally {
      delete form.dataset.keeping;
    }
  };

  // A complaint goes as soon as something else stands there.
  const answered = ({ target }) => {
    const field = target.closest(".field--bad");
    field?.classList.remove("field--bad");
    field?.querySelectorAll(".err").forEach((line) => line.remove());
  };

  const put = (form, values) => {
    for (const [name, value] of Object.entries(values)) {
      const field = form.elements.namedItem(name);
      if (field && field.type === "checkbox") field.checked = Boolean(value);
      else if (field) field.value = value ?? "";
    }
  };
  const form = (id, { action, values = {}, ...how }) => {
    const node = copy(id);
    const made = node.matches("form") ? node : node.querySelector("form");
    made.setAttribute("action", action);
    made.noValidate = true;
    made.dataset.outbox = how.kind;
    const entry = made.elements.namedItem("entry");
    if (entry) entry.value = haftbook.outbox.newEntry();
    put(made, values);
    for (const turn of ["input", "change"]) made.addEventListener(turn, answered);
    made.addEventListener("submit", (event) => {
      event.preventDefault();
      event.stopPropagation();
      keep(made, event.submitter, how);
    });
    return node;
  };

  window.addEventListener("hashchange", show);
  document.addEventListener("DOMContentLoaded", () => haftbook.ready.catch(() => {}).then(show));
  haftbook.bed = { page, go, show, copy, fill, each, form, said, complain };
})();
