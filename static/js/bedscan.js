// In the bed, a label scanned with the garden out of reach: sw.js leads its address to #t/CODE.
(() => {
  "use strict";
  const { bed } = haftbook;
  const named = async (list, code) => (await bed.list(list)).find((one) => one.code === code);

  const tagged = async (tag) => {
    const { flower } = await bed.tag(tag);
    return flower ? `${flower.state === "set" ? "harvest" : "look"}/${tag}` : "cross";
  };
  const potted = (pot, today) => (pot.out && pot.out <= today && !(pot.count <= today) ? "line-out" : "count");
  const lettered = (code, walks) => {
    for (const walk of walks.values())
      for (const [at, [letter]] of Object.entries(walk.known))
        if (letter === code) return `score/row/${walk.pk}/${at}`;
    return "";
  };

  // The form that is due for it, as far as this phone knows it; "" for what is not here.
  const wayTo = async (code) => {
    const [, kind, key] = /^([PR])(\d+)[0-9A-Z]$/.exec(code) ?? [];
    if (/^\d+$/.test(code)) return bed.readTag(code).code ? tagged(code) : "";
    if (kind === "P") return (await bed.list("plants")).some(({ pk }) => String(pk) === key) ? `bloom/${key}` : "";
    if (kind === "R") return (await bed.walks()).has(Number(key)) ? `walk/${key}` : "";
    if (await named("cups", code)) return `sow/${code}`;
    const pot = await named("pots", code);
    return pot ? `${potted(pot, haftbook.today())}/${code}` : lettered(code, await bed.walks());
  };

  bed.page("t/CODE", async (typed) => {
    const code = typed.toUpperCase();
    const way = await wayTo(code);
    bed.said(way ? "" : `Nothing on this phone has the code ${code}, and the garden is out of reach.`);
    location.replace(`#${way}`);
    // The page it leads to is drawn instead of this one.
    return new Promise(() => {});
  });
})();
