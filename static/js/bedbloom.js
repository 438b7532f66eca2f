// In the bed, bloom: the plants that matter now, bed after bed, one tap each; taken back while it
// waits on this phone.
(() => {
  "use strict";
  const { bed } = haftbook;
  const NOTED = /^\/plants\/(\d+)\/bloom\/note\/$/;
  const FIELDS = { first: "first_on", peak: "peak_on", last: "last_on" };
  const TAPS = { first: "Open", peak: "Peak", last: "Over" };
  const SAID = { first: "opened", peak: "peak", last: "over" };

  // What was noted here, worked into what the garden gave; after the day of a note the next is due.
  const stopsNow = async () => {
    const [list, today] = [await bed.kept("bloom"), haftbook.today()];
    const stops = new Map((list?.rows ?? []).map((row) => [String(row.pk), { ...row }]));
    for (const { action, told, day, entry, here } of await bed.recorded(list?.asked ?? 0)) {
      const stop = stops.get(NOTED.exec(action)?.[1]);
      if (!stop) continue;
      const next = Object.keys(FIELDS)[Object.keys(FIELDS).indexOf(told.stage) + 1] ?? "";
      Object.assign(stop, { [FIELDS[told.stage]]: day, also: "", asks: "", expected: "", stage: next, here,
        noted: day === today || !next ? { stage: told.stage, day, entry, here } : null });
    }
    return [...stops.values()];
  };

  const daysOf = (stop) => Object.keys(FIELDS).filter((stage) => stop[FIELDS[stage]] && stage !== stop.noted?.stage)
    .map((stage) => `${SAID[stage]} ${bed.day(stop[FIELDS[stage]])}`).join(", ");
  const words = ({ noted, ...stop }) => ({
    name: stop.name, place: stop.place, days: daysOf({ noted, ...stop }),
    expected: stop.expected && !noted ? `expected ${bed.day(stop.expected)}` : "",
    noted: noted ? `✓ ${SAID[noted.stage]} ${bed.day(noted.day)}${noted.here ? ", on this phone" : ""}` : "",
    tap: noted ? "" : TAPS[stop.stage], also: !noted && stop.also, asks: !noted && stop.asks, back: noted?.here,
  });
  const stopOf = (stop) => {
    const node = bed.form("bed-bloom-stop", {
      action: `/plants/${stop.pk}/bloom/note/`, kind: "Bloom", title: stop.name, after: () => refresh(), stays: true,
      check: ({ elements: { day } }) => (!day.disabled && !day.value ? { day: "Put in the day that you know." } : {}),
    });
    const told = words(stop);
    bed.fill(node, told);
    const { day } = node.querySelector("form").elements;
    Object.assign(day, { disabled: !told.asks, max: haftbook.today(), id: `bloom-day-${stop.pk}` });
    day.labels?.[0] ?? (day.closest(".field").querySelector("label").htmlFor = day.id);
    node.querySelector("[data-next-stage]").value = stop.stage;
    node.querySelectorAll("[data-named]").forEach((button) =>
      button.setAttribute("aria-label", `${button.textContent}: ${stop.name}`));
    node.classList.toggle("bloom-stop--kept", Boolean(stop.noted));
    node.querySelector("[data-back]").addEventListener("click", async () => {
      await haftbook.outbox.drop(stop.noted.entry);
      bed.hideKept();
      refresh();
    });
    return node;
  };
  const draw = async () => {
    const stops = await stopsNow();
    const node = bed.fill(bed.copy("bed-bloom"), { nothing: stops.length ? "" : "Nothing on this phone is expected to open, peak or end about now." });
    await bed.plantForm(node.querySelector("[data-plant]"), "bloom");
    const beds = [...new Set(stops.map((stop) => stop.bed ?? ""))];
    return bed.each(node, "beds", beds.map((name) => ({ name, bed: name || "No place noted" })), (section, { name }) =>
      section.querySelector("[data-stops]").append(...stops.filter((stop) => (stop.bed ?? "") === name).map(stopOf)));
  };
  // The page stays where it is; what is told of a plant grows no taller than its tap.
  const refresh = () => location.hash === "#bloom" && bed.show();
  bed.page("bloom", draw);

  // Any plant, expected or not: each of its days can be noted.
  bed.page("bloom/PLANT", async (key) => {
    const name = (await bed.list("plants")).find(({ pk }) => String(pk) === key)?.name ?? "A plant";
    const stop = (await stopsNow()).find(({ pk }) => String(pk) === key);
    const node = bed.form("bed-bloom-of", {
      action: `/plants/${key}/bloom/note/`, kind: "Bloom", title: name, after: () => bed.go("bloom"),
    });
    node.querySelector("[name=day]").max = haftbook.today();
    return bed.fill(node, { name, days: stop ? daysOf({ ...stop, noted: null }) : "" });
  });
  document.addEventListener("outbox:accepted", ({ detail: { record } }) => NOTED.test(record?.action) && refresh());
})();
