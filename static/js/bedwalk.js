// In the bed, the look-over: this person's walk as the garden knew it, with what this phone recorded
// since. Positions, their order and the ways on are those of the garden's own page.
//   haftbook.bed.walks()       Promise of the rows by their keys, walked as far as is known here
//   haftbook.bed.inOrder(walks)  the same as they stand: by bed, row and first position
(() => {
  "use strict";
  const { bed } = haftbook;
  const FOUND = { nothing: "n", again: "a", gap: "g", dead: "d" };
  const WORDS = { n: "Nothing", a: "Look again", g: "Gap", d: "Dead", s: "Scored" };
  const [LEFT, GONE, TAKEN_UP] = [".", "x", 3];
  const of = (count, one) => `${count} ${one}${count === 1 ? "" : "s"}`;
  const where = (walk) => `${walk.bed}, row ${walk.row}`;
  const days = (one, other) => Math.abs(Date.parse(one) - Date.parse(other)) / 864e5;

  const sign = (walk, at) => walk.signs[at - walk.first];
  const signsOf = (walk, wanted) => walk.signs.filter((one) => wanted.includes(one)).length;
  // Another walk along the row: where nothing stood, nothing stands.
  const begin = (walk, backward, anew = false) => Object.assign(walk, {
    backward, anew, at: null, on: "", notes: {},
    signs: walk.signs.map((one) => ("gdx".includes(one) ? GONE : LEFT)),
  });
  const isOpen = (walk, day) => walk.on && days(walk.on, day) <= TAKEN_UP;
  const note = (walk, { position, found, note: words, anew, backward }, day) => {
    if (anew || !isOpen(walk, day)) begin(walk, Boolean(backward));
    const at = Number(position);
    walk.signs[at - walk.first] = FOUND[found];
    if (words) walk.notes[at] = words;
    Object.assign(walk, { at, on: day, anew: false });
  };
  const scored = (walk, at) => {
    if (sign(walk, at) === LEFT) walk.signs[at - walk.first] = "s";
  };

  const DONE = /^\/rows\/(\d+)\/(?:walk\/$|(\d+)\/score\/)/;
  bed.walks = async () => {
    const list = await bed.kept("rows");
    const walks = new Map((list?.rows ?? []).map((row) => [row.pk,
      { on: "", known: {}, ...row, signs: [...row.signs], at: row.at ?? null, notes: { ...row.notes } }]));
    for (const { action, told, day } of await bed.recorded(list?.asked ?? 0)) {
      const [, row, position] = DONE.exec(action) ?? [];
      const walk = walks.get(Number(row));
      if (walk && position) scored(walk, Number(position));
      else if (walk) note(walk, told, day);
    }
    for (const walk of walks.values())
      if (walk.on && !isOpen(walk, haftbook.today())) begin(walk, false);
    return walks;
  };
  bed.inOrder = (walks) => [...walks.values()].sort((a, b) =>
    a.bed.localeCompare(b.bed) || a.row - b.row || a.first - b.first);

  const seen = (walk) => {
    const stands = walk.signs.flatMap((one, i) => (one === GONE ? [] : [walk.first + i]));
    return walk.backward ? stands.reverse() : stands;
  };
  const beyond = (walk, from) => (at) => (walk.backward ? at < from : at > from);
  const next = (walk, from = walk.at) => {
    const left = seen(walk).filter((at) => sign(walk, at) === LEFT);
    return (from === null ? left[0] : left.find(beyond(walk, from)) ?? left[0]) ?? null;
  };
  const before = (walk, at) => seen(walk).filter((one) => beyond(walk, one)(at)).at(-1) ?? null;
  const passed = (walk, position) => {
    const [step, told] = [walk.backward ? 1 : -1, []];
    for (let at = position + step; sign(walk, at) === GONE; at += step) told.push(at);
    return told.sort((a, b) => a - b).join(", ");
  };
  const along = (walk) => bed.inOrder(walks).filter((one) => one.bed_pk === walk.bed_pk &&
    one.row === walk.row && one.blooms <= haftbook.today());
  const further = (walk) => {
    const others = walk.backward ? along(walk).reverse() : along(walk);
    const ahead = others.filter((one) => (walk.backward ? one.last < walk.first : one.first > walk.last));
    return ahead.find((one) => next(one) !== null) ?? null;
  };

  // The rows, those begun first, those walked to their end last.
  let walks = new Map();
  const line = (walk) => {
    const [looked, all] = [signsOf(walk, "nagds"), seen(walk).length];
    const [called, past] = [signsOf(walk, "a"), !walk.on && walk.looked];
    const told = past ? `${walk.looked} of ${all} looked at this season`
      : looked ? `${looked} of ${all} looked at${called ? `, ${called} called` : ""}` : of(all, "seedling");
    const state = looked >= all || past >= all ? 2 : looked || past ? 0 : 1;
    return { href: `#walk/${walk.pk}`, name: `${where(walk)}, ${walk.first}–${walk.last}`, told,
      cross: walk.cross, state, share: state || looked ? Math.min(100, (100 * (looked || past)) / all) : 0 };
  };
  bed.page("walk", async () => {
    walks = await bed.walks();
    const rows = bed.inOrder(walks).filter((walk) => walk.due || walk.on).map(line);
    rows.sort((a, b) => a.state - b.state);
    const node = bed.fill(bed.copy("bed-rows"), { 
      nothing: rows.length ? "" : "No row on this phone is expected to bloom.", none: !rows.length });
    return bed.each(node, "rows", rows, (one, { share }) =>
      one.querySelector(".is").setAttribute("width", share));
  });

  const place = Object.assign(document.createElement("div"), { className: "bed-place" });
  const draw = (node, walk) => {
    place.replaceChildren(node);
    history.replaceState(null, "", `#walk/${walk.pk}`);
    document.dispatchEvent(new Event("bed:moved"));
    return place;
  };
  const end = (walk) => {
    const all = along(walk).includes(walk) ? along(walk) : [walk];
    const on = further(walk);
    const counts = Object.entries(WORDS).map(([one, word]) =>
      ({ word, count: all.reduce((sum, each) => sum + signsOf(each, one), 0) })).filter(({ count }) => count);
    const called = all.flatMap((one) => one.signs.flatMap((each, i) => (each === "a"
      ? [{ href: `#score/row/${one.pk}/${one.first + i}`, name: `Score ${one.first + i}` }] : [])));
    const node = bed.fill(bed.copy("bed-walk-end"), { where: where(walk), others: !on, called: called.length,
      onward: on ? `Go on with ${on.first}–${on.last}` : "" });
    bed.each(bed.each(node, "counts", counts), "called", called);
    node.querySelector("[data-onward]").addEventListener("click", () => enter(on, walk.backward));
    node.querySelector("[data-anew]").addEventListener("click", () => step(begin(walk, walk.backward, true)));
    return draw(node, walk);
  };

  // A row not begun yet is walked the way that one came.
  const enter = (walk, backward, onward = false) => {
    if (!walk.on) begin(walk, backward);
    return step(walk, next(walk), onward);
  };
  const goOn = (walk) => {
    if (next(walk) !== null) return step(walk);
    const on = further(walk);
    return on ? enter(on, walk.backward, on.cross !== walk.cross) : end(walk);
  };
  const told = (walk, at, onward) => {
    const [[letter, ...lines], now] = [walk.known[at] ?? [""], sign(walk, at)];
    const noted = WORDS[now] && `Noted on this walk: ${[WORDS[now].toLowerCase(), walk.notes[at]].filter(Boolean).join(", ")}`;
    const [order, called] = [seen(walk), walk.at !== null && sign(walk, walk.at) === "a" && walk.at];
    return { where: where(walk), position: at, letter, onward, noted, lines: lines.length || noted,
      cross: walk.cross, parents: `${walk.seed} × ${walk.pollen ?? "unknown"}`, passed: passed(walk, at),
      step: order.includes(at) ? `${order.indexOf(at) + 1} of ${order.length}` : "",
      young: walk.blooms > haftbook.today(), called, score: `#score/row/${walk.pk}/${at}`,
      scoreCalled: `#score/row/${walk.pk}/${called}`, toScore: walk.blooms <= haftbook.today() };
  };
  const step = (walk, at = next(walk), onward = false) => {
    if (at === null) return end(walk);
    const values = { position: at, backward: walk.backward ? "1" : "", anew: walk.anew ? "1" : "" };
    const node = bed.form("bed-walk", {
      action: `/rows/${walk.pk}/walk/`, kind: "Look-over", values, title: `${where(walk)}, position ${at}`,
      after: ({ fields, at: moment }) => {
        const said = Object.fromEntries(fields);
        note(walk, said, said.day || bed.localDay(moment));
        goOn(walk);
        place.querySelector(".walk-at, h1").focus({ preventScroll: true });
      },
    });
    const form = node.querySelector("form");
    for (const name of ["backward", "anew"]) form.elements[name].disabled = !values[name];
    bed.fill(node, told(walk, at, onward));
    bed.each(node, "lines", (walk.known[at] ?? [""]).slice(1).map((line) => ({ line })));
    node.querySelector(".walk-at").classList.toggle("walk-at--long", at > 999);
    for (const name of ["nothing", "again"])
      form.querySelector(`[value=${name}]`).disabled = walk.blooms > haftbook.today();
    const [back, elsewhere] = [node.querySelector("[data-back]"), node.querySelector("[data-to]")];
    back.hidden = before(walk, at) === null;
    back.addEventListener("click", () => step(walk, before(walk, at)));
    const there = () => {
      const wanted = bed.number(elsewhere.value);
      if (sign(walk, wanted)) return step(walk, wanted);
      elsewhere.value = "";
    };
    node.querySelector("[data-there]").addEventListener("click", there);
    // Enter says none of the answers.
    form.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || !event.target.matches("input")) return;
      event.preventDefault();
      if (event.target === elsewhere) there();
    });
    node.querySelector("[data-anew]").addEventListener("click", () => step(begin(walk, !walk.backward, true)));
    return draw(node, walk);
  };
  const open = async (row, at) => {
    walks = await bed.walks();
    const walk = walks.get(Number(row));
    if (!walk) return bed.copy("bed-walk-none");
    return at ? step(walk, bed.number(at)) : step(walk);
  };
  bed.page("walk/ROW", open);
  bed.page("walk/ROW/AT", open);
})();
