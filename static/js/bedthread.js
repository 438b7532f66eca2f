// In the bed, from pod to row: lists of what is open, and the form behind each line.
(() => {
  "use strict";
  const { bed } = haftbook;
  const of = (count, one) => `${count} ${one}${count === 1 ? "" : "s"}`;
  const day = (iso) => (iso ? new Date(`${iso}T12:00`).toLocaleDateString("en-GB", { day: "numeric", month: "short" }) : "");
  const parents = (row) => `${row.seed ?? "?"} × ${row.pollen ?? "unknown"}`;
  const here = (row) => (row.here ? "on this phone" : "");
  const words = (...told) => told.filter(Boolean).join(", ");
  bed.day = day;

  // A list with a field above it that leaves what holds the typed letters; a whole number opens.
  const lines = (title, nothing, rows, { label, numeric, typed }) => {
    const node = bed.fill(bed.copy("bed-lines"), { title, nothing: rows.length ? "" : nothing, label });
    bed.each(node, "lines", rows);
    const [field, items] = [node.querySelector("input"), [...node.querySelectorAll("li")]];
    if (numeric) field.inputMode = "numeric";
    field.addEventListener("input", () => {
      const asked = bed.fold(field.value);
      items.forEach((item) => (item.hidden = !bed.fold(item.textContent).includes(asked)));
    });
    node.querySelector("form").addEventListener("submit", async (event) => {
      event.preventDefault();
      event.stopPropagation();
      const told = await typed(field.value.trim());
      if (told.href) bed.go(told.href);
      else bed.complain(event.target, { q: told.says });
    });
    return node;
  };
  const due = (row, today) => row.due && row.due <= today;
  const byDue = (rows) => rows.sort((a, b) => ((a.due ?? "9") < (b.due ?? "9") ? -1 : 1));

  const flowerLine = (to, state, today) => (row) => {
    const now = row.state === state && due(row, today);
    return { href: `#${to}/${row.tag}`, mark: row.tag, name: parents(row), late: now ? `since ${day(row.due)}` : "",
      told: words(`worked ${day(row.day)}`, row.state === "set" && "pod set", row.twin && "a second flower under this tag",
        !now && row.state === state && row.due && `due ${day(row.due)}`, here(row)) };
  };
  const tagTyped = (to) => (text) => {
    const { code, says } = bed.readTag(text);
    return code ? { href: `${to}/${code}` } : { says };
  };
  const flowersPage = (to, title, nothing, state) => async () => {
    const pods = await bed.list("pods");
    const rows = state.flatMap((one) => byDue(pods.filter((row) => row.state === one)));
    return lines(title, nothing, rows.map(flowerLine(to, state[0], haftbook.today())), { label: "Tag", numeric: true, typed: tagTyped(to) });
  };
  bed.page("pods", flowersPage("look", "Pods", "No flower waits to be looked at.", ["worked"]));
  bed.page("harvest", flowersPage("harvest", "Harvest", "No pod is known to be ripening.", ["set", "worked"]));

  const flowerOf = async (tag) => {
    const { flower, twin } = await bed.tag(tag);
    return { tag, ...flower, also: twin ? `${parents(twin)}, worked ${day(twin.day)}, waits on this phone under the same tag.` : "" };
  };
  const headOf = (row, told) => ({ told, also: row.also ?? "", name: row.seed ? parents(row) : "", unknown: !row.seed && !row.cross, cross: row.cross ?? "" });
  bed.page("look/TAG", async (tag) => {
    const flower = await flowerOf(tag);
    const node = bed.form("bed-look", {
      action: `/tags/${tag}/look/`, kind: "Pod", title: `Tag ${tag}`, after: () => bed.go("pods"),
      check: (form, button) => button?.value === "other" && !form.elements.reason.value.trim()
        ? { reason: "Write why, in a few words." } : {},
    });
    return bed.fill(node, { ...headOf(flower, words(`Tag ${tag}`, flower.day && `worked ${day(flower.day)}`, here(flower))), harvest: `#harvest/${tag}`, photo: `#photo` });
  });

  // One of the cups of that cross that nothing was sown from, or a new one.
  const cups = (form, row) => {
    const place = form.querySelector("[data-cups]");
    const all = [...(row.cups ?? []).map(([pk, code, seeds]) => ({ value: pk, label: `cup ${code}, ${of(seeds, "seed")}` })),
      { value: "", label: "a new cup" }];
    bed.each(place, "cups", all, (one, { value }) => (one.querySelector("input").value = value));
    place.querySelectorAll("input")[Math.max(0, all.length - 2)].checked = true;
    place.hidden = all.length < 2;
  };
  bed.page("harvest/TAG", async (tag) => {
    const flower = await flowerOf(tag);
    const node = bed.form("bed-harvest", { action: `/tags/${tag}/harvest/`, kind: "Harvest", title: `Tag ${tag}`, after: () => bed.go("harvest") });
    cups(node.querySelector("form"), flower);
    return bed.fill(node, headOf(flower, words(`Tag ${tag}`, flower.day && `worked ${day(flower.day)}`, here(flower))));
  });

  const codeTyped = (to, list) => async (text) => {
    const code = text.replace(/\s/g, "");
    if ((await bed.list(list)).some((row) => row.code === code)) return { href: `${to}/${code}` };
    return { says: `Nothing on this phone has the number ${text}.` };
  };
  const codePage = (name, list, to, title, nothing, label, choose, told) =>
    bed.page(name, async () => {
      const rows = (await bed.list(list)).filter(choose).map((row) => ({ href: `#${to}/${row.code}`, mark: "", code: row.code,
        name: parents(row), told: words(told(row), here(row)) }));
      return lines(title, nothing, rows, { label, typed: codeTyped(to, list) });
    });
  codePage("cups", "cups", "sow", "Sowing", "No cup holds seed.", "Cup", () => true, (cup) => `${of(cup.left, "seed")} left`);
  codePage("pots", "pots", "count", "Count", "No pot waits to be counted.", "Pot", () => true,
    (pot) => words(`${of(pot.seeds, "seed")} sown ${day(pot.sown)}`, pot.counted && `${pot.standing} standing ${day(pot.counted)}`));
  codePage("line-out", "pots", "line-out", "Lining out", "No seedling waits in its pot.", "Pot", (pot) => pot.standing > 0,
    (pot) => `${of(pot.standing, "seedling")} standing`);

  // What a count rests on may have changed in the garden: more than is known is asked about once.
  const atMost = (field, most, sentence) => (form) =>
    most != null && bed.number(form.elements[field].value) > most && !form.elements.more_reason.value.trim()
      ? { doubts: { [field]: sentence, more_reason: "Counts grow only with a reason." } } : {};
  const codeForm = (verb, list, shape, how) =>
    bed.page(`${verb}/CODE`, async (code) => {
      const row = (await bed.list(list)).find((one) => one.code === code) ?? { code };
      const { told, values, after, check, more } = how(row);
      const where = list === "cups" ? "Cup" : "Pot";
      const node = bed.form(shape, { action: `/${list}/${code}/${verb}/`, kind: how.kind, title: `${where} ${code}`, values, check, after: () => bed.go(after) });
      await more?.(node.querySelector("form"));
      return bed.fill(node, headOf(row, words(`${where} ${code}`, told)));
    });
  codeForm("sow", "cups", "bed-sow", Object.assign((cup) => ({
    told: cup.left != null && `${of(cup.left, "seed")} left`, values: { seeds: cup.left ?? "" }, after: "cups",
    check: atMost("seeds", cup.left, `Cup ${cup.code} holds ${of(cup.left ?? 0, "seed")} as this phone knows.`),
  }), { kind: "Sowing" }));
  codeForm("count", "pots", "bed-count", Object.assign((pot) => ({
    told: words(pot.seeds && `${of(pot.seeds, "seed")} sown ${day(pot.sown)}`, pot.lined_out && `${pot.lined_out} lined out: count those in the pot`), after: "pots",
    check: atMost("standing_now", pot.seeds && pot.seeds - pot.lined_out, `${of(pot.seeds ?? 0, "seed")} were sown in pot ${pot.code}.`),
  }), { kind: "Count" }));

  const putBeds = (form, beds) => {
    const { bed: choice, row, first } = form.elements;
    choice.replaceChildren(...beds.map((one) => new Option(one.name, one.pk)));
    const onward = () => {
      const chosen = beds.find((one) => String(one.pk) === choice.value);
      if (chosen) [row.value, first.value] = chosen.next;
    };
    choice.addEventListener("change", onward);
    choice.value = (beds.filter((one) => one.last).at(-1) ?? beds[0])?.pk ?? "";
    onward();
  };
  codeForm("line-out", "pots", "bed-line-out", Object.assign((pot) => ({
    told: pot.standing != null && `${of(pot.standing, "seedling")} standing`, values: { seedlings: pot.standing ?? "" }, after: "line-out",
    check: atMost("seedlings", pot.standing, `${of(pot.standing ?? 0, "seedling")} stood in pot ${pot.code} as this phone knows.`),
    more: async (form) => putBeds(form, await bed.list("beds")),
  }), { kind: "Lining out" }));
})();
