// Signing off at the machine. A tap that finds no network waits in the outbox, and every page of the program goes on
// sending it. Its id makes sure that it signs off once.
import { go } from "../sending/leaving.js";
import { keep } from "../sending/outbox.js";
import { deliverTap } from "../sending/tap-queue.js";
import "../sending/waiting.js";

const form = document.getElementById("watch");
const all = document.querySelector(".all-points");
const button = document.querySelector(".sign-now"); // at the foot of the page, outside of the form

// The address is kept without its query; the machine's page goes on with the class that the teacher came from.
function inClass(onward) {
  const address = new URL(onward, location.href);
  const section = new URL(location.href).searchParams.get("class");
  if (section) address.searchParams.set("class", section);
  return address.href;
}

if (all) {
  all.hidden = false;
  all.addEventListener("click", () => {
    for (const box of document.querySelectorAll("input[name=point]")) box.checked = true;
    button.focus();
  });
}

form?.addEventListener("submit", async (event) => {
  if (event.submitter && event.submitter !== button) return; // "Not yet" is a page of its own
  event.preventDefault();
  if (button.getAttribute("aria-disabled") === "true") return;
  button.setAttribute("aria-disabled", "true");
  const url = new URL(form.action).pathname;
  const now = [...new FormData(form)].filter(([name]) => name !== "csrfmiddlewaretoken");
  keep(url, { kind: "tap", label: button.dataset.label, page: url, sent: null, now, pressed: Date.now() });
  const outcome = await deliverTap(url);
  button.removeAttribute("aria-disabled");
  if (outcome?.state === "saved") go(() => location.assign(inClass(outcome.body.onward)));
  // The server's own page says why not: sent again as an ordinary form, it is the same tap.
  else if (outcome?.refusal === "refused") go(() => form.submit());
});
