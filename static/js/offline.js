// Where the browser has a service worker: pages that open out of reach, with their age said.
(() => {
  "use strict";
  const told = document.currentScript.dataset;
  if (!window.isSecureContext || !("serviceWorker" in navigator)) return;
  const { serviceWorker } = navigator;

  const words = (ms) => {
    const [then, today] = [new Date(ms), new Date()];
    const day = then.toDateString() === today.toDateString()
      ? "today" : then.toLocaleDateString("en-GB", { weekday: "long", day: "numeric", month: "long" });
    return `${day}, ${then.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" })}`;
  };

  const say = (text) => {
    const sheet = document.getElementById("sheet");
    const note = document.createElement("p");
    Object.assign(note, { className: "card card--next", textContent: text });
    note.setAttribute("role", "status");
    sheet?.prepend(note);
    document.addEventListener("outbox:hello", () => {
      const anew = document.createElement("a");
      Object.assign(anew, { href: location.href, textContent: "Load it anew" });
      note.replaceChildren("The garden is in reach again. ", anew);
    }, { once: true });
  };

  // A form that comes out of the store again and again is another entry each time.
  const freshEntries = () => document.querySelectorAll("input[name=entry]").forEach((field) => {
    field.value = crypto.randomUUID();
  });

  const ask = () => new Promise((done) => {
    const channel = new MessageChannel();
    channel.port1.onmessage = (event) => done(event.data);
    serviceWorker.controller.postMessage("how", [channel.port2]);
  });

  const look = async () => {
    if (!serviceWorker.controller) return;
    const { stored, lost } = await ask();
    if (lost) say("That page is not on this phone, and the garden is out of reach.");
    if (!stored) return;
    freshEntries();
    if (!document.querySelector("[data-bed], [data-waiting]")) {
      say(`The garden is out of reach. This page is as it was ${words(stored)}.`);
    }
    // Asked anew until it answers: a hello of a minute ago says nothing of now.
    await haftbook.outbox.greet?.();
    haftbook.outbox.send?.();
  };

  const forget = async () => {
    const names = (await caches.keys()).filter((name) => /^haftbook-(pages|pictures)/.test(name));
    await Promise.all(names.map((name) => caches.delete(name)));
  };

  document.addEventListener("DOMContentLoaded", look);
  document.addEventListener("outbox:state", (event) => {
    if (event.detail.reach === "signed-out") forget();
  });
  document.addEventListener("submit", (event) => {
    if (new URL(event.target.action, location.href).pathname === "/sign-out/") forget();
  });
  window.addEventListener("load", async () => {
    if (!told.worker) return;
    // What the page itself needs comes first.
    await new Promise((done) => setTimeout(done, 300));
    await serviceWorker.register(told.worker, { updateViaCache: "none" }).catch(() => null);
    serviceWorker.controller?.postMessage("move on");
  });
})();
