// Recording forms of ordinary pages: kept on the phone first, then sent. With the garden in reach
// all goes on as if the form had been posted; without it the form gives way to what was kept.
(() => {
  "use strict";

  const { outbox, facts } = haftbook;
  const PATIENCE = 2500;
  const shown = new Map(); // entry -> its form and what it waits for

  const make = (name, className, text = "") => {
    const made = document.createElement(name);
    Object.assign(made, { className, textContent: text });
    return made;
  };
  const link = (className, text, href) => Object.assign(make("a", className, text), { href });

  const say = (text) => {
    let note = document.getElementById("kept-here");
    if (!note) {
      note = make("p", "kept-here");
      Object.assign(note, { id: "kept-here", ariaLive: "polite" });
      document.body.append(note);
    }
    note.textContent = text;
    note.hidden = !text;
  };

  // The browser's own way of posting, where nothing can be kept on the phone.
  const postAsBefore = (form, submitter) => setTimeout(() => { // after the submit event is over
    delete form.dataset.keeping;
    form.dataset.plain = "yes";
    form.requestSubmit(submitter);
    delete form.dataset.plain;
  });

  const anew = (form) => {
    form.reset();
    form.querySelectorAll("[data-anew]").forEach((field) => { field.value = ""; });
    const entry = form.elements.namedItem("entry");
    if (entry) entry.value = outbox.newEntry();
    form.querySelectorAll("[type=file]").forEach((field) =>
      field.dispatchEvent(new Event("change", { bubbles: true })));
    document.getElementById("tag-said")?.replaceChildren();
  };
  const oneMore = (form, panel) => {
    anew(form);
    form.hidden = false;
    panel.remove();
    form.querySelector("[data-anew], input:not([type=hidden]), button").focus();
  };

  const wordsOf = () => facts.reach === "signed-out" ? "Sign in, then it goes to the garden."
    : "Goes to the garden when it is in reach.";
  const panelOf = (form) => {
    const small = !form.matches(".form");
    const panel = make("div", small ? "kept-panel kept-panel--small" : "kept-panel");
    panel.tabIndex = -1;
    panel.append(make("p", "kept-panel-said", "✓ Kept on this phone"), make("p", "", wordsOf()));
    if (small) return panel;
    const ways = make("div", "kept-panel-ways");
    if (form.dataset.again !== undefined) {
      const more = make("button", "btn btn--main", "One more");
      more.type = "button";
      more.addEventListener("click", () => oneMore(form, panel));
      ways.append(more);
    }
    ways.append(link("btn", "In the bed", "/bed/"), link("btn", "What waits", "/waiting/"));
    panel.append(ways);
    return panel;
  };
  const giveWay = (entry) => {
    const one = shown.get(entry);
    if (!one || one.panel) return;
    one.panel = panelOf(one.form);
    delete one.form.dataset.keeping;
    one.form.hidden = true;
    one.form.after(one.panel);
    outbox.onScreen.delete(entry);
    say("");
    if (!one.panel.matches(".kept-panel--small")) one.panel.focus({ preventScroll: true });
    one.panel.scrollIntoView({ block: "nearest" });
  };

  const attribute = (form, name) => form.closest(`[${name}]`)?.getAttribute(name);
  const headersOf = (form) => {
    const target = form.hasAttribute("hx-post") && attribute(form, "hx-target");
    if (!target) return { "Haftbook-Page": "1" };
    return { "Haftbook-Page": "1", "HX-Request": "true", "HX-Current-URL": location.href,
      "HX-Target": document.querySelector(target)?.id || "" };
  };
  // The answer's page takes the place of what stands there, as htmx would have put it.
  const swap = (form, { page, hx = {} }) => {
    const part = form.hasAttribute("hx-post") && attribute(form, "hx-target");
    const whole = !part || /^\s*<!doctype/i.test(page);
    const target = document.querySelector(whole ? "main" : part);
    const [select, selectOOB] = whole ? ["main"]
      : [attribute(form, "hx-select"), attribute(form, "hx-select-oob")];
    const swapStyle = (!whole && attribute(form, "hx-swap")) || "outerHTML";
    htmx.swap(target, page, { swapStyle, swapDelay: 0, settleDelay: 20 },
      { select, selectOOB, contextElement: target });
    if (hx["HX-Replace-Url"]) history.replaceState(history.state, "", hx["HX-Replace-Url"]);
    if (whole) document.dispatchEvent(new Event("page-taken"));
  };
  // htmx would have followed the way to the page and taken its part out of it.
  const follow = (form, at) => {
    const part = form.hasAttribute("hx-post") && attribute(form, "hx-target");
    if (!part || !attribute(form, "hx-select")) return location.assign(at);
    return fetch(at, { headers: { "HX-Request": "true" } }).then((said) => said.text())
      .then((page) => swap(form, { page })).catch(() => location.assign(at));
  };

  const late = (panel, className, text, href, word) => {
    const said = make("p", className, text);
    panel.querySelectorAll("p").forEach((one) => one.remove());
    panel.prepend(said);
    if (href && !panel.matches(".kept-panel--small"))
      panel.querySelector(".kept-panel-ways").append(link("btn", word, href));
  };
  const over = (entry) => {
    const one = shown.get(entry);
    if (!one) return null;
    shown.delete(entry);
    clearTimeout(one.timer);
    outbox.onScreen.delete(entry);
    delete one.form.dataset.keeping;
    if (!one.panel) say("");
    return one;
  };
  document.addEventListener("outbox:accepted", ({ detail: { record, answer } }) => {
    const one = over(record.entry);
    if (!one) return;
    if (one.panel) late(one.panel, "kept-panel-said", `✓ ${answer.text}`, answer.at, "Where it stands");
    else if (answer.page) swap(one.form, answer);
    else if (answer.at) follow(one.form, answer.at);
    else location.reload();
  });
  document.addEventListener("outbox:refused", ({ detail: { record, answer } }) => {
    const one = over(record.entry);
    if (!one) return;
    if (!one.panel && answer.page && [422, 409].includes(answer.status)) return swap(one.form, answer);
    const says = [...(answer.says || []), ...Object.values(answer.fields || {}).flat()].join(" ");
    if (!one.panel) { shown.set(record.entry, one); giveWay(record.entry); shown.delete(record.entry); }
    late(one.panel, "err", `Needs attention: ${says}`, "/waiting/", "Mend it");
  });
  document.addEventListener("outbox:state", ({ detail: { reach } }) => {
    if (reach === "out" || reach === "signed-out") [...shown.keys()].forEach(giveWay);
  });

  // A refused entry that went to its form: the garden has it now, or says once more why not.
  const recheck = async () => {
    const mended = (await outbox.list("attention")).filter((record) => record.mended);
    await Promise.all(mended.map(({ entry }) => outbox.sendAgain(entry)));
  };
  if (/[?&]kept=/.test(location.search) || location.pathname === "/waiting/")
    haftbook.ready.then(recheck).then(outbox.tellState).catch(() => {});

  // A part of the page that asks while nobody is signed in any more must not take a form away.
  document.addEventListener("htmx:beforeOnLoad", (event) => {
    const { xhr, elt } = event.detail;
    if (xhr.getResponseHeader("HX-Redirect") && elt.closest("form[data-outbox]")) event.preventDefault();
  });

  const mayKeep = (form, submitter) => form.dataset.outbox !== undefined && !form.dataset.plain &&
    !form.closest("[data-bed]") && form.method === "post" && submitter?.formMethod !== "get" &&
    !submitter?.hasAttribute("formaction") && !form.querySelector("[type=password]");
  const keep = async (form, submitter, since) => {
    const gathered = outbox.gather(form, submitter);
    const [, entry] = gathered.fields.find(([name]) => name === "entry") || [];
    // Sent as soon as it is kept, so the screen is known before.
    outbox.onScreen.set(entry, headersOf(form));
    shown.set(entry, { form, timer: setTimeout(giveWay, PATIENCE, entry) });
    try {
      const record = await outbox.keep(gathered);
      say("✓ Kept on this phone");
      performance.measure("tap to kept", { start: since, end: performance.now() });
      if (record.entry !== entry) location.assign("/waiting/"); // one like it waits already
    } catch {
      over(entry);
      form.elements.namedItem("entry").value = entry;
      // Posted to nobody, all that was typed would be gone.
      if (await outbox.greet()) postAsBefore(form, submitter);
      else say("Not kept: this phone has no room for it, and the garden is out of reach. It stays in the form.");
    }
  };
  // Before htmx and the browser; a doubled tap is one entry.
  document.addEventListener("submit", (event) => {
    const { target: form, submitter } = event;
    if (!mayKeep(form, submitter)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (form.dataset.keeping) return;
    form.dataset.keeping = "yes";
    keep(form, submitter, event.timeStamp);
  }, true);
})();
