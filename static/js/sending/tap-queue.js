// Sends the sign-offs that wait, one after another, the oldest first: a later one may rest on an earlier one.
import { deliver } from "./delivery.js";
import { entries, entry } from "./outbox.js";

const OLD = 60 * 60 * 1000; // milliseconds: a sign-off that waited longer goes only when its teacher says so
export const isTap = (url) => entry(url)?.kind === "tap";
export const isOld = (url) => isTap(url) && Date.now() - entry(url).pressed > OLD;

const order = (first, second) => entry(first).pressed - entry(second).pressed;
const press = (url) => `${url} ${entry(url).pressed}`;
const outcomes = new Map();
let current = null;
let done = null;

const sendAll = async () => {
  const tried = new Set();
  for (;;) {
    current = entries().filter((url) => isTap(url) && !isOld(url) && !tried.has(press(url))).sort(order)[0];
    if (!current) return;
    tried.add(press(current));
    outcomes.set(current, await deliver(current));
  }
};

// Resolves when each of them was confirmed or refused. A press while they wait brings the next try forward.
export const deliverTaps = () => {
  if (done && current) deliver(current);
  done ??= sendAll().finally(() => { done = null; });
  return done;
};

// Resolves to what became of the sign-off of that address, after the older ones.
export const deliverTap = async (url) => {
  await deliverTaps();
  return outcomes.get(url);
};
