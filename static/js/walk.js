// The look-over by swiping: to the left nothing, to the right look again; the buttons do the same.
// And a thumb that trembles says nothing of the next seedling.
(() => {
  "use strict";

  const [FAR, SETTLED] = [80, 400];
  let [from, since] = [null, -SETTLED];

  document.addEventListener("pointerdown", (event) => {
    const card = event.isPrimary && event.target.closest("[data-swipe]");
    from = card ? { x: event.clientX, y: event.clientY } : null;
  });
  document.addEventListener("pointercancel", () => (from = null));
  document.addEventListener("pointerup", (event) => {
    if (!from) return;
    const [right, down] = [event.clientX - from.x, event.clientY - from.y];
    from = null;
    if (Math.abs(right) < FAR || Math.abs(right) < 2 * Math.abs(down)) return;
    const answer = right < 0 ? "nothing" : "again";
    document.querySelector(`#walk button[name=found][value=${answer}]:enabled`)?.click();
  });

  // The second tap of a doubled one would meet the buttons of the position that has just come.
  ["htmx:afterSwap", "bed:moved"].forEach((moved) =>
    document.addEventListener(moved, () => (since = performance.now())));
  document.addEventListener("click", (event) => {
    if (performance.now() - since > SETTLED || !event.target.closest("#walk .walk-act")) return;
    event.preventDefault();
    event.stopPropagation();
  }, true);
})();
