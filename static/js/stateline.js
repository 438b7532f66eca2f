// What waits on this phone, in the page's head: nothing is said while all is well.
(() => {
  "use strict";

  const { outbox } = haftbook;
  const [PATIENCE, A_DAY] = [2500, 86_400_000];
  // So long nobody walks out of reach as a rule: then the address may be another one.
  const LONG = 3 * 3_600_000;
  let [late, newest, heard] = [0, null, null];
  outbox.longOut = () => heard !== null && haftbook.facts.reach === "out" && Date.now() - heard > LONG;

  const counted = (number, one, many) => `${number} ${number === 1 ? one : many}`;
  const ageOf = (oldest) => {
    const days = Math.floor((haftbook.now() - new Date(oldest)) / A_DAY);
    return days >= 1 ? `, the oldest for ${counted(days, "day", "days")}` : "";
  };

  // An entry that has only just been kept is on its way, and nothing to speak of.
  const waits = ({ waiting, reach, kept }) => waiting > 0 &&
    (reach === "out" || reach === "signed-out" || Date.now() - kept >= PATIENCE);
  const wordsOf = (state) => {
    const { waiting, attention, reach, oldest, whose } = state;
    if (reach === "none") return ["Nothing can be kept on this phone"];
    const words = [];
    if (attention) words.push(`${counted(attention, "needs", "need")} attention`);
    if (waits(state)) words.push(`${waiting} waiting${whose ? ` for ${whose}` : ""}${ageOf(oldest)}`);
    if (reach === "out") words.push("out of reach");
    if (waiting && outbox.longOut())
      words.push("or the garden has another address now: save them as a file");
    if (reach === "signed-out") words.push(waiting ? "sign in, then they go" : "signed out: sign in");
    return words;
  };
  const atTheDoor = ({ waiting, oldest }) => waiting ? [
    `${counted(waiting, "entry waits", "entries wait")} on this phone${ageOf(oldest)}; ` +
      `sign in and ${waiting === 1 ? "it goes" : "they go"}`] : [];

  const show = (state) => {
    newest = state;
    const line = document.getElementById("state-line");
    if (!line) return;
    const words = line.dataset.door === undefined ? wordsOf(state) : atTheDoor(state);
    line.hidden = !words.length;
    line.classList.toggle("state-line--calls", Boolean(state.attention) || state.reach === "none");
    const link = line.querySelector("a");
    // With nothing to look at there, the line leads on to the door.
    const away = state.reach === "signed-out" && !state.waiting && !state.attention;
    link.href = away ? `/sign-in/?next=${encodeURIComponent(location.pathname)}` : "/waiting/";
    if (link.textContent !== words.join(", ")) link.textContent = words.join(", ");
    clearTimeout(late);
    if (state.waiting && !waits(state))
      late = setTimeout(() => show(newest), Math.max(50, PATIENCE - (Date.now() - state.kept)));
    leaving(state);
  };

  // Who signs out while entries wait is told before.
  const leaving = ({ waiting }) => document.querySelectorAll("[data-leaving]").forEach((told) => {
    told.hidden = !waiting;
    const go = waiting === 1 ? "It goes" : "They go";
    told.textContent = `${counted(waiting, "entry waits", "entries wait")} on this phone. ` +
      `${go} when the one who wrote ${waiting === 1 ? "it" : "them"} signs in again here.`;
  });

  document.addEventListener("outbox:state", ({ detail }) => show(detail));
  document.addEventListener("outbox:hello", () => { heard = Date.now(); });
  haftbook.ready.then(() => { heard ??= haftbook.facts.hello?.heard || null; });
  haftbook.ready.then(outbox.tellState).catch(() => show({ waiting: 0, attention: 0, reach: "none" }));
})();
