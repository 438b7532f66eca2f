// In the bed: the first page with today's plan, and the flower just worked.
(() => {
  "use strict";
  const { bed } = haftbook;

  const READY = ["OPEN", "STORED"];
  // The menu stays in reach of the thumb under a few of them.
  const FIRST = 3;
  const planned = (row) => ({
    ...row,
    href: `#cross/${row.seed_pk}/${row.pollen_pk}`,
    flowers: `${row.worked} of ${row.flowers} worked${row.here ? ", some on this phone" : ""}`,
    where: [row.stands && `♀ ${row.stands}`, row.fetch && `♂ ${row.fetch}`].filter(Boolean).join(", "),
  });
  const toCross = async () =>
    (await bed.list("plan")).filter((row) => READY.includes(row.way) && row.worked < row.flowers);
  bed.page("plan", async () => bed.each(bed.copy("bed-plan"), "plan", (await toCross()).map(planned)));
  bed.page("", async () => {
    const [node, ready, ages] = [bed.copy("bed-home"), await toCross(), await bed.ages()];
    bed.each(node, "plan", ready.slice(0, FIRST).map(planned));
    bed.fill(node, { ...ages, planned: ready.length, missing: !ages.oldest,
      further: ready.length > FIRST ? `All ${ready.length}` : "" });
    node.querySelector("[data-anew]").addEventListener("click", async (event) => {
      const [button, anew] = [event.currentTarget, node.querySelector("[data-anew-told]")];
      button.disabled = true;
      const reached = await bed.refresh();
      button.disabled = false;
      if (!reached) anew.textContent = "The garden is out of reach: the lists stay as they are.";
    });
    return node;
  });
  document.addEventListener("bed:lists", ({ detail }) => {
    if (!location.hash.slice(1) && detail.reached) bed.show();
  });

  // Parents lately worked with, the latest first.
  const lately = async (side, plants) => {
    const flowers = [...(await bed.list("pods")), ...(await bed.list("tags"))].filter((row) => row.tag);
    flowers.sort((a, b) => (a.day < b.day ? 1 : a.day > b.day ? -1 : 0));
    const keys = [...new Set(flowers.map((row) => row[`${side}_pk`]).filter(Boolean))];
    return keys.map((key) => plants.get(key)).filter(Boolean).slice(0, 4);
  };
  const lastPollen = async () => {
    const last = await haftbook.outbox.get("facts", "last-pollen");
    return last && last.day === haftbook.today() ? last.pollen : null;
  };

  const saidOfTag = async (form) => {
    const place = form.querySelector("[data-tag-said]");
    place.replaceChildren();
    const typed = form.elements.tag.value;
    if (!typed.trim()) return;
    const known = await bed.tag(typed);
    // Another tag by now, or it was told already by the button.
    if (form.elements.tag.value !== typed || place.closest(".field").querySelector(":scope > .err")) return;
    const { code, free, says } = known;
    const worked = hangs(known);
    const line = document.createElement("p");
    line.className = says || worked ? "err" : "hint";
    line.textContent = says || worked || (free ? `Tag ${code} is free.`
      : `Tag ${code} is not on this phone’s list of tags.`);
    place.replaceChildren(line);
  };
  const hangs = ({ code, flower, used }) => {
    if (!flower) return used ? `Tag ${code} is on a flower of an earlier season.` : "";
    const on = `Tag ${code} is on ${flower.seed ?? "a flower"} × ${flower.pollen ?? "unknown"}`;
    return `${on}${flower.day ? `, worked ${bed.day(flower.day)}` : ""}${flower.here ? ", on this phone" : ""}.`;
  };

  const UNCLEAR = "Choose the plant: type a few letters of its name or number.";
  const parentOf = (form, side, plants) => {
    const key = form.elements[side].value;
    if (key) return {};
    const typed = form.elements[`${side}_text`].value.trim();
    if (!typed) return { wrong: UNCLEAR };
    const found = bed.find(typed, plants);
    if (found.length > 1) return { wrong: "More than one plant could be meant. Choose one of these." };
    if (found.length) return { wrong: "Did you mean this one? Tap it." };
    return { doubt: `No plant on this phone is called “${typed}”. Keep it again, and the garden looks for it.` };
  };
  // The tag is looked up here too: a tap on the button comes before what its field asked for.
  const checked = (plants) => async (form) => {
    const [wrong, doubts] = [{}, {}];
    for (const side of ["seed", "pollen"]) {
      const told = parentOf(form, side, plants);
      if (told.wrong) wrong[`${side}_text`] = told.wrong;
      if (told.doubt) doubts[`${side}_text`] = told.doubt;
    }
    const typed = form.elements.tag.value;
    const known = typed.trim() ? await bed.tag(typed) : {};
    if (known.says) wrong.tag = known.says;
    if (hangs(known)) doubts.tag = `${hangs(known)} Keep it again if this is the tag in your hand.`;
    return { ...wrong, doubts };
  };
  const nameOf = (form, side, plants) => {
    const key = form.elements[side].value;
    return key === "unknown" ? "unknown" : plants.get(Number(key))?.name ?? form.elements[`${side}_text`].value.trim();
  };

  const cross = async (seed = "", pollen = "") => {
    const rows = await bed.list("plants");
    const plants = new Map(rows.map((plant) => [plant.pk, plant]));
    const before = await lastPollen();
    const again = (record) => {
      const told = Object.fromEntries(record.fields);
      haftbook.outbox.put("facts", "last-pollen",
        { pollen: told.pollen, seed: told.seed, day: haftbook.today() });
      bed.go(`cross/-/${told.pollen || "-"}`);
    };
    const node = bed.form("bed-cross", {
      action: "/new-cross/", kind: "New cross", check: checked(rows), after: again,
      title: (form) => `${nameOf(form, "seed", plants)} × ${nameOf(form, "pollen", plants)}`,
    });
    const form = node.querySelector("form");
    form.addEventListener("bed:parent", () => {
      const { seed: one, pollen: other } = form.elements;
      form.querySelector("[data-selfing]").hidden = !one.value || one.value !== other.value;
    });
    const chosen = { seed: seed === "-" ? "" : seed, pollen: pollen === "-" ? "" : pollen || before || "" };
    for (const side of ["seed", "pollen"])
      bed.pick(form, side, { plants: rows, recent: await lately(side, plants), chosen: chosen[side] });
    form.elements.tag.addEventListener("change", () => saidOfTag(form));
    const first = [...form.querySelectorAll("[data-next]")].find((field) => !field.closest("[hidden]"));
    (first ?? form.elements.tag).dataset.first = "";
    const last = await haftbook.outbox.get("facts", "last-pollen");
    bed.fill(node, { again: Boolean(last), pollen: `#cross/-/${last?.pollen || "-"}`, seed: `#cross/${last?.seed || "-"}/-` });
    return node;
  };
  bed.page("cross", () => cross());
  bed.page("cross/SEED/POLLEN", cross);
})();
