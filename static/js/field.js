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

  // After a parent is chosen, go on to the next thing to type.
  const goOn = (form) => {
    const next = [...form.querySelectorAll("[data-next]")].find((field) => !field.value);
    if (next) next.focus();
  };
  document.addEventListener("parent-chosen", () => {
    const form = document.querySelector("form[data-parents]");
    if (form) goOn(form);
  });

  // Enter in a name field takes the first answer instead of sending the form.
  document.addEventListener("keydown", (event) => {
    const field = event.target;
    if (event.key !== "Enter" || !field.matches("[data-picks]")) return;
    event.preventDefault();
    const first = document.querySelector(`#${field.dataset.picks} .answer`);
    if (first) first.click();
  });
  document.addEventListener("DOMContentLoaded", () => {
    const form = document.querySelector("form[data-parents]");
    if (form && !form.querySelector(".field--bad")) goOn(form);
  });
})();
