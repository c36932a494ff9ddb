// Up and down buttons beside the steps of an order and the matches of a pair. The arrows only move what is there: an
// order counts once every item has a step, or the student says that it is theirs, by its button or by going on after a
// move; a pair's arrows move chosen matches.
// The lists to choose from stay, and saving.js hears of a move as of any other change. Where an item stands is in the
// names of its buttons, and is told after each move in a place of its own, so that "Saved" does not talk over it.
const list = document.querySelector("[data-order], [data-pair]");
const told = document.querySelector("[data-told]");
const state = document.querySelector("[data-state]");
const mine = document.querySelector("[data-mine]");
const kind = "order" in list.dataset ? "order" : "pair";
const picked = (item) => item.querySelector("select");
const items = () => [...list.children];
const chosen = () => items().map((item) => picked(item).value).filter(Boolean);
const whole = () => new Set(chosen()).size === list.children.length;
let moves = false; // items were moved that are no answer yet

const number = (order) => order.forEach((item, place) => { picked(item).value = String(place + 1); });

// Each returns whether an answer has changed.
const moved = {
  order(item, by) {
    const answered = whole();
    const now = items();
    if (answered) now.sort((one, other) => picked(one).value - picked(other).value);
    const from = now.indexOf(item);
    if (now[from + by]) [now[from], now[from + by]] = [now[from + by], now[from]];
    if (answered) number(now);
    list.append(...now);
    moves = !answered;
    return answered;
  },
  pair(item, by) {
    const other = items()[items().indexOf(item) + by];
    if (!other || picked(item).value === picked(other).value) return false;
    [picked(item).value, picked(other).value] = [picked(other).value, picked(item).value];
    return true;
  },
};

const standing = {
  order(item) {
    const place = `${items().indexOf(item) + 1} of ${list.children.length}`;
    if (whole()) return `step ${picked(item).value} of ${list.children.length}`;
    return picked(item).value ? `step ${picked(item).value}, now ${place}` : `no step yet, now ${place}`;
  },
  pair: (item) => (picked(item).value ? `with ${picked(item).selectedOptions[0].text}` : "no match yet"),
};

const STATES = {
  order: {
    none: "This is not an answer yet. Move the items, then press “This is my order”. Or give each item its step.",
    moved: "Not saved yet. Press “This is my order” or “Save and continue”, or the items go back to where they were.",
    some: "Not finished. Give each item its own step. Or press “This is my order” to number them from the top.",
    whole: "This is your answer. You can still change it.",
  },
  pair: {
    none: "This is not an answer yet. Choose a match for each item.",
    some: "Not finished. Each item needs a match of its own.",
    whole: "This is your answer. You can still change it.",
  },
};
const tell = () => {
  state.textContent = STATES[kind][whole() ? "whole" : moves ? "moved" : chosen().length ? "some" : "none"];
  if (mine) mine.hidden = whole();
  for (const item of items()) {
    for (const place of item.querySelectorAll("[data-place]")) place.textContent = `, ${standing[kind](item)}`;
  }
};
const changed = () => list.dispatchEvent(new Event("input", { bubbles: true }));

for (const movers of document.querySelectorAll(".movers, [data-arrows]")) movers.hidden = false;
tell();
list.addEventListener("input", tell);
addEventListener("pageshow", tell); // the way back may bring choices that the page was not sent with
list.addEventListener("click", (event) => {
  const button = event.target.closest("[data-by]");
  if (!button) return;
  const item = button.closest("li");
  const answer = moved[kind](item, Number(button.dataset.by));
  button.focus(); // moving the item took the focus away
  if (answer) changed();
  else tell();
  told.textContent = `${item.querySelector("label").textContent}: ${standing[kind](item)}.`;
});
mine?.addEventListener("click", () => {
  number(items());
  moves = false;
  list.closest("form").querySelector(".actions .button").focus(); // the button pressed goes
  changed();
});
// Whoever moves items and goes on means the order that stands there. Before saving.js looks at what was given.
document.addEventListener("submit", () => {
  if (moves && !whole()) number(items());
}, { capture: true });
