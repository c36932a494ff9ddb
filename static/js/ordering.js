// Up and down buttons beside the steps of an order and the matches of a pair. The lists to choose from stay: the
// buttons fill them in, and saving.js hears of it as of any other change.
const list = document.querySelector("[data-order], [data-pair]");
const said = document.getElementById("said");
const picked = (item) => item.querySelector("select");

// The items as they stand now: by their steps where each has one of its own, else as they are shown.
const inOrder = (items) => {
  const steps = items.map((item) => Number(picked(item).value));
  const whole = steps.every(Boolean) && new Set(steps).size === items.length;
  return whole ? [...items].sort((one, other) => picked(one).value - picked(other).value) : items;
};

// Gives each item without a match one that nobody has yet, from the top.
const fillIn = (items) => {
  const taken = new Set(items.map((item) => picked(item).value));
  for (const item of items) {
    if (picked(item).value) continue;
    const free = [...picked(item).options].find((option) => option.value && !taken.has(option.value));
    picked(item).value = free.value;
    taken.add(free.value);
  }
};

const moved = {
  order(items, item, by) {
    const now = inOrder(items);
    const from = now.indexOf(item);
    if (now[from + by]) [now[from], now[from + by]] = [now[from + by], now[from]];
    now.forEach((one, place) => { picked(one).value = String(place + 1); });
    list.append(...now);
    return `Step ${picked(item).value}`;
  },
  pair(items, item, by) {
    fillIn(items);
    const other = items[items.indexOf(item) + by];
    if (other) [picked(item).value, picked(other).value] = [picked(other).value, picked(item).value];
    return picked(item).selectedOptions[0].text;
  },
};

for (const movers of list.querySelectorAll(".movers")) movers.hidden = false;
list.addEventListener("click", (event) => {
  const button = event.target.closest("[data-by]");
  if (!button) return;
  const item = button.closest("li");
  const kind = "order" in list.dataset ? "order" : "pair";
  const place = moved[kind]([...list.children], item, Number(button.dataset.by));
  button.focus(); // moving the item took the focus away
  picked(item).dispatchEvent(new Event("input", { bubbles: true }));
  said.textContent = `${item.querySelector("label").textContent}: ${place}.`;
});
