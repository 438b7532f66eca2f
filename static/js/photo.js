// A photo in a form: shown at once, and made smaller on the phone where the browser can. Whatever
// fails here, the file goes as it is: the garden cleans it in any case.
(() => {
  "use strict";
  const [MOST, MOST_BYTES] = [1600, 15_000_000];

  const smaller = async (file) => {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const factor = MOST / Math.max(picture.width, picture.height);
    if (factor >= 1) return file;
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] =
      [picture.width, picture.height].map((side) => Math.round(side * factor));
    const paper = canvas.getContext("2d");
    Object.assign(paper, { fillStyle: "white", imageSmoothingQuality: "high" });
    paper.fillRect(0, 0, canvas.width, canvas.height);
    paper.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const made = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.92));
    return made ? new File([made], "photo.jpg", { type: made.type }) : file;
  };

  // The day, lost when it is made smaller: as the camera wrote it, else as the file is dated.
  const takenOn = async (file) => {
    const head = await file.slice(0, 262144).text();
    const told = [...head.matchAll(/((?:19|20)\d\d):(\d\d):(\d\d) \d\d:\d\d:\d\d/g)];
    const dated = new Date(file.lastModified);
    const parts = [dated.getFullYear(), dated.getMonth() + 1, dated.getDate()];
    return told.map((found) => found.slice(1).join("-")).sort()[0] ||
      parts.map((part) => String(part).padStart(2, "0")).join("-");
  };

  document.addEventListener("change", async (event) => {
    const input = event.target;
    if (!input.matches("[data-photo]")) return;
    const [preview, told, taken] = ["preview", "told", "taken"].map((name) =>
      input.closest(".photo-field").querySelector(`[data-${name}]`));
    const file = input.files[0];
    preview.hidden = true;
    told.textContent = taken.value = "";
    if (!file) return;
    preview.onload = () => { preview.hidden = false; preview.scrollIntoView({ block: "nearest" }); };
    preview.src = URL.createObjectURL(file);
    told.textContent = "Chosen: this photo.";
    try {
      const [day, made] = await Promise.all([takenOn(file), smaller(file).catch(() => file)]);
      if (input.files[0] !== file) return; // another one was chosen meanwhile
      if (made.size > MOST_BYTES) {
        told.textContent = "This file is larger than 15 MB; choose another one.";
        return void (input.value = ""); // sent, it might take the whole form with it
      }
      taken.value = day;
      const words = new Date(`${day}T12:00`).toLocaleDateString("en-GB", { dateStyle: "long" });
      told.textContent = `Chosen: this photo, taken on ${words} as its file tells.`;
      const sent = new DataTransfer();
      sent.items.add(made);
      input.files = sent.files;
    } catch { /* sent as it is */ }
  });
})();
