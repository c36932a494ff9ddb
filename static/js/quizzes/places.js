// Places of a picture: a click in the picture sets a corner of the place whose field was last used. Without scripts
// the corners are typed. The picture is drawn again after every change.
const plate = document.querySelector("[data-plate]");
const fields = [...document.querySelectorAll("[name^=points-]")];
const CORNER = /(\d+(?:\.\d+)?)\s*,\s*(\d+(?:\.\d+)?)/g;

const corners = (field) => [...field.value.matchAll(CORNER)].map(([, x, y]) => [Number(x), Number(y)]);
const letter = (field) => String.fromCharCode(64 + Number(field.name.split("-")[1]));
const svg = (name, attributes, text = "") => {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.textContent = text;
  return made;
};

const draw = () => {
  for (const old of plate.querySelectorAll(".area")) old.remove();
  for (const field of fields) {
    const points = corners(field);
    if (!points.length) continue;
    const area = svg("g", { class: "area" });
    const [x, y] = points[0];
    area.append(svg("polygon", { points: points.join(" ") }));
    for (const [cx, cy] of points) area.append(svg("circle", { cx, cy, r: 4 }));
    area.append(svg("text", { x, y, dy: ".36em", "text-anchor": "middle" }, letter(field)));
    plate.append(area);
  }
};

if (plate) {
  let current = fields.find((field) => !field.value.trim()) ?? fields[0];
  document.querySelector("[data-how]").hidden = false;
  plate.classList.add("clickable");
  for (const field of fields) {
    field.addEventListener("focus", () => { current = field; });
    field.addEventListener("input", draw);
    const back = field.closest(".edit-row").querySelector("[data-back]");
    back.hidden = false;
    back.addEventListener("click", () => {
      field.value = corners(field).slice(0, -1).map((point) => point.join(",")).join(" ");
      current = field;
      draw();
    });
  }
  plate.addEventListener("click", (event) => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(plate.getScreenCTM().inverse());
    const { width, height } = plate.viewBox.baseVal;
    const x = Math.round(Math.min(Math.max(at.x, 0), width));
    const y = Math.round(Math.min(Math.max(at.y, 0), height));
    current.value = `${current.value.trim()} ${x},${y}`.trim();
    draw();
  });
  draw();
}
