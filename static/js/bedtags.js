// Tags typed outdoors: the check digit (ISO/IEC 7064, MOD 11-2), and what this phone knows of a tag.
//   haftbook.bed.readTag(text)  {code} or {says: sentence}
//   haftbook.bed.tag(text)      Promise of {code, flower, twin, used, free, says}; flower is the row it
//                               hangs on, twin another that waits here under the same number; used
//                               says that it hangs on a flower of any season
(() => {
  "use strict";

  // The remainder by 11 of sum(digit × 2^place) is 1 for a number that was typed right.
  const fits = (code) => [...code].reduce((sum, digit, at) =>
    at === code.length - 1 ? (sum + Number(digit)) % 11 : ((sum + Number(digit)) * 2) % 11, 0) === 1;

  const readTag = (text) => {
    const code = String(text).replace(/[\s.#-]/g, "");
    if (!/^\d{2,12}$/.test(code))
      return { says: "A tag number has only digits: type it as it stands on the tag." };
    if (!fits(code))
      return { says: `${code} is mistyped: its last digit does not fit the others. Look at the tag again.` };
    return { code };
  };

  const tag = async (text) => {
    const { code, says } = readTag(text);
    if (!code) return { says };
    const [pods, tags] = await Promise.all([haftbook.bed.list("pods"), haftbook.bed.list("tags")]);
    const under = [...pods, ...tags].filter((row) => row.tag === code);
    // What the garden knows comes before what only waits here.
    const flower = under.find((row) => !row.fresh) ?? under[0];
    const twin = under.find((row) => row.twin && row !== flower);
    const serial = Number(code.slice(0, -1));
    const within = (name) => tags.some((row) =>
      row[name]?.some(([first, last]) => first <= serial && serial <= last));
    return { code, flower, twin, used: Boolean(flower) || within("used"), free: !flower && within("free") };
  };

  Object.assign(haftbook.bed, { readTag, tag });
})();
