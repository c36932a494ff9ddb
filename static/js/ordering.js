// Up and down buttons beside the steps of an order and the matches of a pair. The lists to choose from stay: the
// buttons fill them in, and saving.js hears of it as of any other change. Where an item stands is in the names of its
// buttons, and is told after each move in a place of its own, so that "Saved" does not talk over it.
const list = document.querySelector("[data-order], [data-pair]");
const told = document.querySelector("[data-told]");
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
  },
  pair(items, item, by) {
    fillIn(items);
    const other = items[items.indexOf(item) + by];
    if (other) [picked(item).value, picked(other).value] = [picked(other).value, picked(item).value];
  },
};

const standing = {
  order: (item) => picked(item).value ? `step ${picked(item).value} of ${list.children.length}` : "no step yet",
  pair: (item) => picked(item).value ? `with ${picked(item).selectedOptions[0].text}` : "no match yet",
};
const kind = "order" in list.dataset ? "order" : "pair";
const name = () => {
  for (const item of list.children) {
    for (const place of item.querySelectorAll("[data-place]")) place.textContent = `, ${standing[kind](item)}`;
  }
};

for (const movers of document.querySelectorAll(".movers, [data-arrows]")) movers.hidden = false;
name();
list.addEventListener("input", name);
addEventListener("pageshow", name); // the way back may bring choices that the page was not sent with
list.addEventListener("click", (event) => {
  const button = event.target.closest("[data-by]");
  if (!button) return;
  const item = button.closest("li");
  moved[kind]([...list.children], item, Number(button.dataset.by));
  button.focus(); // moving the item took the focus away
  picked(item).dispatchEvent(new Event("input", { bubbles: true }));
  told.textContent = `${item.querySelector("label").textContent}: ${standing[kind](item)}.`;
});
