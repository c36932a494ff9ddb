// Asks before a page with something unsaved is left, or its person signs out. What waits stays in the outbox either way.
import { deliver } from "./delivery.js";
import { answers, entries, entry, holdsAnything, keep } from "./outbox.js";
import { deliverTaps, isTap } from "./tap-queue.js";
import { copyOf } from "./words.js";

const SOON = 1500; // milliseconds that a save may take before the question comes
let going = false;
let asking = false;

// Leaves the page by `act` without a question.
export const go = (act) => {
  going = true;
  act();
};
addEventListener("pageshow", () => { going = false; });
addEventListener("beforeunload", (event) => {
  if (!going && entries().length) event.preventDefault();
});

const isUnasked = (url) => !entry(url).asked;

// Resolves to whether the person leaves. `how` names the button that leaves.
const agrees = (how, urls) => new Promise((resolve) => {
  const dialog = copyOf("dialog");
  dialog.querySelector("[data-list]").append(...urls.map((url) =>
    Object.assign(document.createElement("li"), { textContent: entry(url).label })));
  for (const part of dialog.querySelectorAll(`[data-how]:not([data-how~="${how}"])`)) part.remove();
  dialog.addEventListener("close", () => {
    resolve(dialog.returnValue === "leave");
    dialog.remove();
  });
  document.body.append(dialog);
  dialog.showModal();
});

// Runs `act` once the entries that `find` gives are sent, or the person agrees to leave them unsent.
const leave = async (how, find, act) => {
  if (asking) return;
  asking = true;
  const sent = Promise.all(find().map((url) => (isTap(url) ? deliverTaps() : deliver(url))));
  await Promise.race([sent, new Promise((resolve) => setTimeout(resolve, SOON))]);
  const left = find();
  const agreed = !left.length || (await agrees(how, left));
  asking = false;
  if (!agreed) return;
  for (const url of find()) keep(url, { ...entry(url), asked: true });
  go(act);
};

const leads = (event, link) =>
  link && !event.defaultPrevented && !(event.ctrlKey || event.metaKey || event.shiftKey || event.altKey)
  && !link.target && !link.hasAttribute("download") && link.origin === location.origin
  && !(link.hash && link.pathname === location.pathname);

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a[href]");
  if (!leads(event, link) || !entries().length) return;
  event.preventDefault();
  // The next page goes on sending: a sign-off needs no question, and an answer one.
  leave("leave", () => answers().filter(isUnasked), () => location.assign(link.href));
});

const signOut = document.querySelector("form.who");
signOut.addEventListener("submit", (event) => {
  if (!holdsAnything()) return;
  event.preventDefault();
  // The server empties the browser's storage at a sign-out unless the request says that something waits there.
  leave("sign-out", entries, () => {
    if (holdsAnything()) {
      signOut.append(Object.assign(document.createElement("input"), { type: "hidden", name: "waiting", value: "1" }));
    }
    signOut.submit();
  });
});
