// A phone has scanned what the laptop shows: the token stands behind the # of the address, which no
// server or log sees. It goes into the form, out of the address, and is sent by a tap: a preview of
// the address uses nothing up.
(() => {
  "use strict";

  const take = () => {
    const token = location.hash.slice(1);
    if (!/^[A-Za-z0-9_-]{22}$/.test(token)) return;
    history.replaceState(null, "", location.pathname + location.search);
    const form = document.querySelector("[data-scanned]");
    form.elements.namedItem("token").value = token;
    form.hidden = false;
    document.querySelectorAll("[data-unscanned]").forEach((other) => (other.hidden = true));
    document.querySelectorAll(".errors").forEach((old) => old.remove());
    form.querySelector("button").focus();
  };
  take();
  window.addEventListener("hashchange", take);
})();
