// Steps are put in order by a press on each, first to last. A press gives a step the lowest number that is free, and a
// second press takes the number away. Without scripts each press is sent, and the server numbers the steps alike.
const list = document.querySelector("[data-order]");
const form = list.closest("form");
const buttons = [...list.querySelectorAll("button")];
const field = (button) => button.closest("li").querySelector("input");

const lowestFree = () => {
  const taken = new Set(buttons.map((button) => field(button).value));
  return buttons.map((_, place) => String(place + 1)).find((step) => !taken.has(step));
};

const show = () => {
  const free = lowestFree();
  for (const button of buttons) {
    const step = field(button).value;
    button.classList.toggle("placed", step !== "");
    button.firstElementChild.textContent = step;
    const about = step ? list.dataset.placed : list.dataset.open;
    button.querySelector("[data-about]").textContent = about.replace("{step}", step || free);
  }
  const placed = buttons.filter((button) => field(button).value).length;
  const isHalf = placed > 0 && placed < buttons.length;
  if (form) form.dataset.progress = isHalf ? list.dataset.half.replace("{placed}", placed) : "";
};

list.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  event.preventDefault();
  field(button).value = field(button).value ? "" : lowestFree();
  show();
  field(button).dispatchEvent(new Event("input", { bubbles: true }));
});
form?.addEventListener("filled", show);
show();
