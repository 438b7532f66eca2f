// The stalk of a seedling: chips and taps on its picture write the counts into the text field, and
// what is typed there redraws the picture. Until somebody touches it the field stays empty.
(() => {
  "use strict";

  const MOST = 4;
  const START = { T: 3, B: 2, S: 1 };
  const ROWS = [["B", 5, "branch", "branches"], ["S", 3, "spur", "spurs"]];

  const read = (text) => {
    const plain = text.toUpperCase().replace(/[\s,;+]+/g, "");
    if (!/^([TBS][0-6])+$/.test(plain)) return null;
    const counts = { T: [], B: [], S: [] };
    for (const [, kind, buds] of plain.matchAll(/(.)(.)/g)) counts[kind].push(Number(buds));
    const fits = counts.T.length === 1 && counts.B.length <= 8 && counts.S.length <= 4;
    return fits ? counts : null;
  };
  const tell = (counts) =>
    ["T", "B", "S"].flatMap((kind) => counts[kind].map((buds) => kind + buds)).join(" ");
  const counted = (number, one, many = `${one}s`) => `${number} ${number === 1 ? one : many}`;
  const make = (name, className, text = "") => {
    const made = document.createElement(name);
    made.className = className;
    made.textContent = text;
    if (name === "button") made.type = "button";
    return made;
  };

  const words = (counts, text) => {
    if (!text) return "Tap how many branches";
    if (!counts) return "Not understood yet: T, B or S and 0 to 6 buds, as T3 B2 S1";
    const all = Object.values(counts).flat();
    const buds = all.reduce((sum, one) => sum + one, 0);
    const places = all.filter((one) => one > 0).length;
    return `${counted(buds, "bud")} in ${counted(places, "position")}`;
  };

  const drawSocket = (socket, kind, number, counts) => {
    const buds = counts?.[kind][number];
    const there = buds !== undefined;
    if (there || kind !== "T") socket.setAttribute("display", there ? "inline" : "none");
    socket.setAttribute("tabindex", there ? "0" : "-1");
    if (!there) return;
    socket.setAttribute("data-buds", buds);
    socket.setAttribute("aria-label", `${socket.dataset.name}: ${counted(buds, "bud")}`);
    socket.querySelector("text").textContent = buds;
    socket.querySelectorAll("[data-bud]").forEach((bud) =>
      bud.setAttribute("display", Number(bud.dataset.bud) < buds ? "inline" : "none"),
    );
    const steps = socket.dataset.at?.split(";");
    if (!steps) return;
    const at = steps[Math.min(counts.B.length, steps.length) - 1];
    socket.setAttribute("transform", `translate(${at})`);
  };

  const build = (picture) => {
    const stalk = picture.closest("[data-stalk]");
    const input = stalk.querySelector("input");
    const sockets = ["T", "B", "S"].flatMap((kind) =>
      [...picture.querySelectorAll(`[data-socket=${kind}]`)].map((socket, i) => [socket, kind, i]),
    );
    const said = make("p", "stalk-said");
    said.setAttribute("role", "status");
    const clear = make("button", "btn btn--bare", "Not counted");
    const chips = [];

    const draw = () => {
      const counts = read(input.value);
      sockets.forEach(([socket, kind, number]) => drawSocket(socket, kind, number, counts));
      chips.forEach(([chip, kind, many]) => {
        chip.setAttribute("aria-pressed", String(Boolean(counts) && counts[kind].length === many));
        chip.disabled = kind === "S" && !counts;
      });
      stalk.classList.toggle("stalk--blank", !counts);
      said.textContent = words(counts, input.value.trim());
      clear.hidden = !input.value;
    };
    const write = (text) => {
      input.value = text;
      input.dispatchEvent(new Event("input", { bubbles: true }));
    };
    // Sockets that are there keep their buds; new ones begin with the usual number.
    const set = (kind, many) => {
      const counts = read(input.value) || { T: [START.T], B: [], S: [] };
      counts[kind] = Array.from({ length: many }, (_, i) => counts[kind][i] ?? START[kind]);
      write(tell(counts));
    };
    const tap = (kind, number) => {
      const counts = read(input.value);
      if (!counts) return;
      counts[kind][number] = counts[kind][number] >= MOST ? 0 : counts[kind][number] + 1;
      write(tell(counts));
    };

    ROWS.forEach(([kind, most, one, several]) => {
      const row = make("div", "stalk-row");
      row.setAttribute("role", "group");
      row.setAttribute("aria-label", several);
      row.append(make("span", "stalk-word", several));
      for (let many = 0; many <= most; many += 1) {
        const chip = make("button", "stalk-chip", many);
        chip.setAttribute("aria-label", counted(many, one, several));
        chip.addEventListener("click", () => set(kind, many));
        chips.push([chip, kind, many]);
        row.append(chip);
      }
      picture.before(row);
    });
    sockets.forEach(([socket, kind, number]) => {
      socket.addEventListener("click", () => tap(kind, number));
      socket.addEventListener("keydown", (event) => {
        if (event.key !== "Enter" && event.key !== " ") return;
        event.preventDefault();
        tap(kind, number);
      });
    });
    clear.addEventListener("click", () => write(""));
    input.addEventListener("input", draw);
    const foot = make("div", "stalk-foot");
    foot.append(said, clear);
    picture.before(foot);
    picture.hidden = false;
    draw();
  };

  // Without the script the picture stays hidden, so a hidden one is one not built yet.
  const begin = () => document.querySelectorAll("[data-stalk-picture][hidden]").forEach(build);
  begin();
  ["htmx:afterSettle", "bed:marks"].forEach((shown) => document.addEventListener(shown, begin));
})();
