// The lists as they stand on this phone: what the garden gave, and what was recorded here since.
//   haftbook.bed.list(name)  Promise of the rows; those that wait here have `here`
(() => {
  "use strict";
  const DOING = /^\/(tags|cups|pots)\/([^/]+)\/(look|harvest|sow|count|line-out)\/$/;

  // What the garden took in after a list was asked for is not in it yet: it is remembered.
  let [since, writing] = [null, 0];
  const remembered = async () => (since ??= (await haftbook.outbox.get("facts", "since")) ?? []);
  document.addEventListener("outbox:accepted", async ({ detail: { record } }) => {
    if (!record?.fields) return;
    const { action, fields, at, person } = record;
    (await remembered()).push({ action, fields, at, person, when: Date.now() });
    since = since.slice(-300);
    // While hundreds are sent it is written now and then, not whole for each of them.
    writing ||= setTimeout(() => {
      writing = 0;
      haftbook.outbox.put("facts", "since", since);
    }, 300);
  });

  const localDay = (at) => {
    const day = new Date(at);
    return [day.getFullYear(), day.getMonth() + 1, day.getDate()]
      .map((part) => String(part).padStart(2, "0")).join("-");
  };
  const act = (record, here) => {
    const told = Object.fromEntries(record.fields);
    const [, , code, verb] = DOING.exec(record.action) ?? [];
    return { ...told, code, verb: record.action === "/new-cross/" ? "cross" : verb, here,
      day: told.day || localDay(record.at) };
  };
  // Everything recorded here that the list cannot know yet, in order.
  const acts = async (asked) => {
    const before = (await remembered()).filter((one) => one.when >= asked);
    const waiting = await haftbook.outbox.list("waiting");
    return [...before.map((one) => act(one, false)), ...waiting.map((one) => act(one, true))];
  };

  // The same as this person recorded it: {action, told, day, at, entry, here}, in order.
  const recorded = async (asked) => {
    const waiting = (await haftbook.outbox.list("waiting")).map((one) => ({ ...one, here: true }));
    const { person } = haftbook.outbox.who();
    return [...(await remembered()).filter((one) => one.when >= asked), ...waiting]
      .filter((one) => one.person === person || one.person == null)
      .map((one) => ({ ...one, told: Object.fromEntries(one.fields), day: act(one).day }));
  };

  const number = (text) => parseInt(String(text).replace(/\D/g, ""), 10) || 0;
  const plain = (tag) => String(tag).replace(/[\s.#-]/g, "");

  // One that waits may be with the garden already, its answer lost: no other flower then.
  const isSame = (one, row) => row && !row.fresh && row.day === one.day &&
    ["seed", "pollen"].every((side) => !Number(one[side]) || row[`${side}_pk`] === Number(one[side]));

  // Flowers by tag: a new one, one that set, one that is done. A tag typed twice hides no flower: the
  // second stands beside the first, and what is noted by the tag is noted of the first.
  const flowers = (rows, done, plants) => {
    const byTag = new Map(rows.map((row) => [row.tag, row]));
    const name = (key) => (key === "unknown" ? "unknown" : plants.get(Number(key))?.name);
    for (const one of done) {
      const tag = plain(one.verb === "cross" ? one.tag : one.code);
      const before = byTag.get(tag);
      const twin = Boolean(before && one.here);
      if (one.verb === "cross" && isSame(one, before)) byTag.set(tag, { ...before, here: one.here });
      else if (one.verb === "cross")
        byTag.set(twin ? `${tag} ${one.entry}` : tag, { tag, fresh: one.here, twin, seed: name(one.seed) ?? one.seed_text, pollen: name(one.pollen) ?? one.pollen_text,
          seed_pk: Number(one.seed) || null, pollen_pk: Number(one.pollen) || null, day: one.day,
          state: "worked", cups: [], here: one.here });
      else if (one.verb === "look")
        byTag.set(tag, { tag, ...byTag.get(tag), state: one.outcome === "set" ? "set" : "failed", due: null, here: one.here });
      else if (one.verb === "harvest") byTag.set(tag, { tag, ...byTag.get(tag), state: "harvested", here: one.here });
    }
    return [...byTag.values()];
  };
  const changed = (rows, key, done, verbs, change) =>
    rows.map((row) => done.filter((one) => verbs.includes(one.verb) && one.code === row[key])
      .reduce((now, one) => ({ ...now, ...change(now, one), here: one.here }), row));
  const onward = (rows, done) =>
    rows.map((bed) => done.filter((one) => one.verb === "line-out" && Number(one.bed) === bed.pk)
      .reduce((now, one) => ({ ...now, next: [number(one.row), number(one.first) + number(one.seedlings)], last: true }), bed));

  const worked = (done) => done.filter((one) => one.verb === "cross");
  const here = {
    pods: (rows, done, plants) => flowers(rows, done, plants).filter((row) => ["worked", "set"].includes(row.state)),
    tags: (rows, done, plants) => [...rows.filter((row) => !row.tag),
      ...flowers(rows.filter((row) => row.tag), done, plants)],
    cups: (rows, done) => changed(rows, "code", done, ["sow"], (cup, one) =>
      ({ left: Math.max(0, cup.left - number(one.seeds)) })).filter((cup) => cup.left > 0),
    pots: (rows, done) => changed(rows, "code", done, ["count", "line-out"], (pot, one) => one.verb === "count"
      ? { standing: number(one.standing_now), counted: one.day, count: null }
      : { standing: Math.max(0, pot.standing - number(one.seedlings)) }),
    beds: onward,
    plan: (rows, done) => rows.map((row) => {
      const more = worked(done).filter((one) => Number(one.seed) === row.seed_pk && Number(one.pollen) === row.pollen_pk);
      return more.length ? { ...row, worked: row.worked + more.length, here: true } : row;
    }),
  };

  const list = async (name) => {
    const given = await haftbook.bed.kept(name);
    const change = here[name];
    if (!change) return given?.rows ?? [];
    const done = await acts(given?.asked ?? 0);
    const plants = worked(done).length ? ((await haftbook.bed.kept("plants"))?.rows ?? []) : [];
    return change(given?.rows ?? [], done, new Map(plants.map((plant) => [plant.pk, plant])));
  };

  Object.assign(haftbook.bed, { list, recorded, localDay, number });
})();
