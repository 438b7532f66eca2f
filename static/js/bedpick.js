// Parents picked from the plants on this phone, names compared as the garden compares them.
//   haftbook.bed.fold(text)             as garden/names.py has it
//   haftbook.bed.find(text, plants)     likeliest first: beginning, word, anywhere, one slip
//   haftbook.bed.pick(form, side, {plants, recent, chosen})  one parent's part of a form
(() => {
  "use strict";
  const MOST = 6;
  const SPACES = /[\t-\r\x1c-\x1f\x85\p{Z}\u115f\u1160\u2800\u3164\uffa0]/gu;
  const UNSEEN = /(?![\u200c\u200d])[\p{Cc}\p{Cf}]/gu;
  const QUOTES = /['"‘’‚‛“”„`´]/g;
  const PLAIN = { ł: "l", ø: "o", đ: "d", æ: "ae", œ: "oe", þ: "th" };

  const tidy = (text) =>
    text.normalize("NFC").replace(SPACES, " ").replace(UNSEEN, "").split(" ").filter(Boolean).join(" ");
  // Marks that join the letter before them are put in order by normalizing; others stay in place.
  const joins = (mark) => [`\u0345${mark}`, `${mark}\u0334`].some((pair) => pair.normalize("NFD") !== pair);
  const lower = (sign) => (sign === "ı" ? sign : sign.toLowerCase().toUpperCase().toLowerCase());
  const fold = (text) => {
    const small = [...tidy(text).replace(QUOTES, "").normalize("NFKD")].map(lower).join("").normalize("NFKD");
    const bare = small.replace(/\p{M}/gu, (mark) => (joins(mark) ? "" : mark));
    const plain = bare.replace(/[łøđæœþ]/g, (sign) => PLAIN[sign]).replace(QUOTES, "");
    return tidy(tidy(plain).replace(/[\u200c\u200d]/g, ""));
  };

  // Whether `asked` begins `name` but for one letter wrong, lost, doubled or swapped.
  const slipped = (asked, name) => {
    let at = 0;
    while (at < asked.length && asked[at] === name[at]) at += 1;
    const [left, rest] = [asked.slice(at), name.slice(at)];
    return rest.slice(1).startsWith(left.slice(1)) || rest.startsWith(left.slice(1)) || rest.slice(1).startsWith(left) ||
      (left[0] === rest[1] && left[1] === rest[0] && rest.slice(2).startsWith(left.slice(2)));
  };
  const rank = (asked, names) => {
    const any = (test) => names.some(test);
    if (any((name) => name.startsWith(asked))) return 0;
    if (any((name) => name.includes(` ${asked}`))) return 1;
    if (any((name) => name.includes(asked))) return 2;
    if (any((name) => asked.split(" ").every((word) => name.includes(word)))) return 3;
    if (asked.length > 2 && any((name) => [name, ...name.split(" ").slice(1)].some((word) => slipped(asked, word)))) return 4;
    return 9;
  };
  const find = (text, plants) => {
    const asked = fold(text);
    if (!asked) return [];
    const ranked = plants.map((plant) => [rank(asked, (plant.fold ?? plant.name.toLowerCase()).split("\n")), plant])
      .filter(([at]) => at < 9);
    const best = Math.min(...ranked.map(([at]) => at));
    // Slips are only forgiven where nothing holds the letters.
    return ranked.filter(([at]) => at < 4 || best === 4)
      .sort(([a, one], [b, other]) => a - b || one.name.length - other.name.length || (one.name < other.name ? -1 : 1))
      .map(([, plant]) => plant);
  };

  const NOBODY = { pk: "unknown", name: "Not known", words: "a bee pod" };

  const pick = (form, side, { plants, recent = [], chosen }) => {
    const place = form.querySelector(`[data-side="${side}"]`);
    const [key, text] = [side, `${side}_text`].map((name) => form.elements.namedItem(name));
    const [answers, chips, card] = ["answers", "chips", "chosen"].map((name) => place.querySelector(`[data-${name}]`));
    const told = place.querySelector("[data-told]");

    const button = (plant, shape) => {
      const one = haftbook.bed.copy(shape);
      const made = haftbook.bed.fill(one.querySelector("button") ?? one, plant);
      made.addEventListener("click", () => take(plant));
      return one;
    };
    const offer = () => {
      const found = find(text.value, plants).slice(0, MOST);
      answers.replaceChildren(...found.map((plant) => button(plant, "bed-answer")));
      const typed = text.value.trim();
      told.textContent = typed ? `${found.length} ${found.length === 1 ? "plant" : "plants"}` : "";
    };
    const take = (plant, quietly) => {
      key.value = plant ? plant.pk : "";
      key.dataset.told = plant?.name ?? "";
      text.value = "";
      answers.replaceChildren();
      haftbook.bed.fill(card, plant ?? { name: "", words: "" });
      card.hidden = !plant;
      place.querySelector("[data-open]").hidden = Boolean(plant);
      place.classList.remove("field--bad");
      place.querySelector(".err")?.remove();
      form.dispatchEvent(new CustomEvent("bed:parent", { detail: { side } }));
      if (quietly) return;
      if (!plant) return text.focus();
      const next = [...form.querySelectorAll("[data-next]")].find((field) => !field.value && !field.closest("[hidden]"));
      (next ?? form.querySelector(".btn--main"))?.focus();
    };

    text.addEventListener("input", offer);
    text.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || !text.value.trim()) return;
      event.preventDefault();
      const [first] = find(text.value, plants);
      if (first) take(first);
    });
    card.querySelector("button").addEventListener("click", () => take(null));
    const lately = [...recent, ...(side === "pollen" ? [NOBODY] : [])];
    chips.replaceChildren(...lately.map((plant) => button(plant, "bed-chip")));
    chips.hidden = !lately.length;
    const known = chosen === "unknown" ? NOBODY : plants.find((plant) => String(plant.pk) === String(chosen));
    take(known ?? null, true);
  };

  Object.assign(haftbook.bed, { fold, find, pick });
})();
