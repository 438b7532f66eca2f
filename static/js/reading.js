// Reads a form as it stands: the body that would be posted, and the same in words for a person.
(() => {
  "use strict";

  const words = (node) => {
    if (!node) return "";
    const copy = node.cloneNode(true);
    copy.querySelectorAll(".opt, .hint, .err, input, select, textarea").forEach((one) => one.remove());
    return copy.textContent.replace(/\s+/g, " ").trim();
  };
  const labelOf = (control) => control.dataset.label ||
    words((control.type === "radio" && control.closest("fieldset")?.querySelector("legend")) ||
      control.labels?.[0]);

  const valueOf = (control) => {
    if (control.dataset.told) return control.dataset.told;
    if (control.type === "radio") return control.checked && control.value ? words(control.labels[0]) : "";
    if (control.type === "checkbox") return control.checked ? "yes" : "";
    if (control.type === "file") return [...control.files].map((file) => file.name).join(", ");
    if (control.tagName === "SELECT")
      return control.value && [...control.selectedOptions].map(words).join(", ");
    return control.value.trim();
  };
  const isTold = (control) => control.name && !control.disabled && control.type !== "submit" &&
    (control.type !== "hidden" || control.dataset.told) && control.tagName !== "FIELDSET";

  const toldOf = (form, submitter) => {
    const told = [...form.elements].filter(isTold)
      .map((control) => [labelOf(control), valueOf(control)]).filter(([, value]) => value);
    return submitter?.name ? [...told, [form.dataset.outbox, words(submitter)]] : told;
  };

  // What it is about: as the page says, or the two parents, or the page's heading.
  const aboutOf = (form) => {
    const parents = ["seed", "pollen"].map((side) =>
      form.querySelector(`input[type=hidden][name=${side}]`)?.dataset.told);
    const heading = form.closest("main, body").querySelector("h1");
    return form.dataset.about || parents.filter(Boolean).join(" × ") || words(heading);
  };

  const bodyOf = (form, submitter) => {
    const [fields, files] = [[], []];
    const data = new FormData(form);
    if (submitter?.name) data.append(submitter.name, submitter.value);
    for (const [name, value] of data) {
      if (name === "csrfmiddlewaretoken") continue;
      if (typeof value !== "string") {
        if (value.size || value.name) files.push({ name, file: value });
      } else fields.push([name, value.replace(/\r\n|\r|\n/g, "\r\n")]); // as a form is posted
    }
    return { fields, files };
  };

  // The form gets the moment of the tap, and afterwards an entry of its own for what comes next.
  haftbook.outbox.gather = (form, submitter) => {
    const [at, entry] = ["at", "entry"].map((name) => form.elements.namedItem(name));
    if (at) at.value = new Date().toISOString();
    if (entry && !entry.value) entry.value = haftbook.outbox.newEntry();
    const address = submitter?.hasAttribute("formaction") ? submitter.formAction : form.action;
    const { pathname, search } = new URL(address || location.href, location.href);
    const gathered = {
      action: pathname + search, ...bodyOf(form, submitter), kind: form.dataset.outbox,
      title: aboutOf(form), told: toldOf(form, submitter),
    };
    if (entry) entry.value = haftbook.outbox.newEntry();
    return gathered;
  };
})();
