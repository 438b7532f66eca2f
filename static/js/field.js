// Small manners of the recording forms: the phone's clock, one tap is one entry, where to type next.
(() => {
  "use strict";

  const stamp = (form) => {
    const at = form.elements.namedItem("at");
    if (at) at.value = new Date().toISOString();
  };

  // A doubled tap sends once; the entry number would count it once anyway.
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (event.submitter && event.submitter.formMethod === "get") return;
    stamp(form);
    if (form.dataset.sent) {
      event.preventDefault();
      return;
    }
    form.dataset.sent = "yes";
    setTimeout(() => delete form.dataset.sent, 4000);
  });
  document.addEventListener("htmx:configRequest", (event) => {
    if ("at" in event.detail.parameters) event.detail.parameters.at = new Date().toISOString();
  });
  // A page that comes back from the browser's own store may be sent again.
  window.addEventListener("pageshow", () => {
    document.querySelectorAll("form[data-sent]").forEach((form) => delete form.dataset.sent);
  });

  // After a parent is chosen, go on to the next thing to type; when all is there, to the button.
  const toType = (form) =>
    [...form.querySelectorAll("[data-next]")].find((field) => !field.value);
  document.addEventListener("parent-chosen", () => {
    const form = document.querySelector("form[data-parents]");
    if (form) (toType(form) || form.querySelector(".btn--main")).focus();
  });

  // A plant on itself is allowed, and said.
  document.addEventListener("htmx:afterSettle", () => {
    const told = document.querySelector("[data-selfing]");
    if (!told) return;
    const [seed, pollen] = ["seed", "pollen"].map((side) =>
      document.querySelector(`input[type=hidden][name=${side}]`),
    );
    told.hidden = !(seed && pollen && seed.value === pollen.value);
  });

  // Enter in a name field takes the first answer instead of sending the form: the answer to what
  // stands there now, so that a quick hand waits for it.
  const take = (field) => {
    const list = document.getElementById(field.dataset.picks);
    const told = list.querySelector("[data-typed]");
    if (!told || told.dataset.typed.trim() !== field.value.trim()) return false;
    const first = list.querySelector("button.answer:not(.answer--new)");
    if (first) first.click();
    return true;
  };
  document.addEventListener("keydown", (event) => {
    const field = event.target;
    if (event.key !== "Enter" || !field.matches("[data-picks]")) return;
    event.preventDefault();
    if (!take(field)) field.dataset.waits = "yes";
  });
  document.addEventListener("input", (event) => delete event.target.dataset.waits);
  document.addEventListener("htmx:afterSettle", (event) => {
    const field = document.querySelector(`[data-picks="${event.detail.target?.id}"][data-waits]`);
    if (field && take(field)) delete field.dataset.waits;
  });

  // A refused form opens at the first thing to mend, another one at the first thing to type.
  const begin = () => {
    const wrong = ["input:not([type=hidden])", "select", "textarea"].map((one) => `.field--bad ${one}`);
    const first = document.querySelector(wrong.join(", "));
    const form = document.querySelector("form[data-parents]");
    if (first) first.focus();
    else if (form && !document.querySelector(".errors")) toType(form)?.focus();
  };
  document.addEventListener("DOMContentLoaded", begin);
  document.addEventListener("page-taken", () => (scrollTo(0, 0), begin()));
})();
