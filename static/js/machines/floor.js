// The floor asks for news so often that a change shows within two seconds. Without any for a minute, or once presence is over, every tile says keep
// off: by the clock of this device, also after it was asleep. Tagged-out machines stay tagged out.
import { words } from "./page-words.js";

const EVERY = 1500;
const STALE = 60000;
const room = document.getElementById("room");
let heard = Date.now();
let pressed = false;

const head = () => room.querySelector(".floor-head");

const keepOff = (why) => {
  for (const tile of room.querySelectorAll(".tile:not([data-state='tagged-out'])")) {
    tile.className = "tile keep-off";
    tile.querySelector(".label")?.remove();
    const user = tile.dataset.state === "in-use" || tile.dataset.state === "checking" ? tile.querySelector(".state").textContent.trim() : "";
    if (tile.dataset.off) continue;
    tile.dataset.off = "1";
    tile.querySelector(".state").textContent = words("keep-off");
    tile.querySelector(".tile-body").replaceChildren(
      Object.assign(document.createElement("p"), { className: "more", textContent: user ? words(`${why}-user`, { user }) : words(why) }),
    );
    for (const act of tile.querySelectorAll("a.button")) act.remove();
  }
};

const sinceHeard = () => {
  const age = Date.now() - heard;
  return age < -5000 ? STALE : age; // the clock of this device was set back: that is no news either
};

const judge = () => {
  const age = sinceHeard();
  if (age >= STALE) {
    room.querySelector(".no-news").hidden = false;
    keepOff("no-news");
  } else if (head().dataset.secondsLeft !== undefined) {
    const left = Number(head().dataset.secondsLeft) - (Date.now() - Number(room.dataset.shownAt)) / 1000;
    if (left <= 0) keepOff("no-teacher");
    for (const minutes of room.querySelectorAll("[data-minutes-left]")) minutes.textContent = Math.max(0, Math.ceil(left / 60));
  }
};

const show = (html) => {
  const active = document.activeElement?.id;
  room.innerHTML = html; // our own server's partial, escaped there
  room.dataset.shownAt = Date.now();
  if (active) document.getElementById(active)?.focus();
};

const ask = async () => {
  const seen = encodeURIComponent(head().dataset.version);
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), 8000);
  try {
    const response = await fetch(`${room.dataset.news}&seen=${seen}${location.search.replace("?", "&")}`, {
      headers: { "Shopsafe-By-Itself": "1" },
      signal: stop.signal,
    });
    const clock = response.headers.get("Shopsafe-Clock");
    if (!clock) return; // signed out, or not our server: that is no news
    heard = Date.now();
    if (response.status === 200 && !pressed) show(await response.text());
    else if (room.querySelector(".no-news")?.hidden === false) head().dataset.version = ""; // draw the tiles again
    for (const place of room.querySelectorAll("[data-heard-clock]")) place.textContent = clock;
  } catch {
    // no network: judge() says so after a minute
  } finally {
    clearTimeout(timer);
  }
};

const round = async () => {
  await ask();
  judge();
  setTimeout(round, EVERY);
};

if (room) {
  room.dataset.shownAt = Date.now();
  addEventListener("pointerdown", () => { pressed = true; });
  for (const name of ["pointerup", "pointercancel"]) addEventListener(name, () => { pressed = false; });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) judge(); });
  setInterval(judge, 1000);
  setTimeout(round, EVERY);
}
