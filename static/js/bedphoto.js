// In the bed, a photo of a plant: kept with its bytes until the garden has it.
(() => {
  "use strict";
  const { bed } = haftbook;
  bed.page("photo", async () => {
    const node = bed.copy("bed-photo-of");
    await bed.plantForm(node.querySelector("form"), "photo");
    return node;
  });
  bed.page("photo/PLANT", async (key) => {
    const plant = (await bed.list("plants")).find(({ pk }) => String(pk) === key);
    const name = plant?.name ?? "A plant";
    return bed.fill(bed.form("bed-photo", {
      action: `/plants/${key}/photo/`, kind: "Photo", title: name, after: () => bed.go("photo"),
    }), { name });
  });
})();
