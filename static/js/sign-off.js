// Signing off at the machine. A tap that finds no network waits in the outbox, and every page of the program goes on
// sending it. Its id makes sure that it signs off once.
import { deliver } from "./delivery.js";
import { go } from "./leaving.js";
import { keep } from "./outbox.js";
import "./waiting.js";

const form = document.getElementById("watch");
const all = form?.querySelector(".all-points");
const button = form?.querySelector(".big");

if (all) {
  all.hidden = false;
  all.addEventListener("click", () => {
    for (const box of form.querySelectorAll("input[name=point]")) box.checked = true;
    button.focus();
  });
}

form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (button.getAttribute("aria-disabled") === "true") return;
  button.setAttribute("aria-disabled", "true");
  const url = new URL(form.action).pathname;
  const now = [...new FormData(form)].filter(([name]) => name !== "csrfmiddlewaretoken");
  keep(url, { kind: "tap", label: button.textContent.trim(), page: url, sent: null, now, pressed: Date.now() });
  const outcome = await deliver(url);
  button.removeAttribute("aria-disabled");
  if (outcome?.state === "saved") go(() => location.assign(outcome.body.onward));
  // The server's own page says why not: sent again as an ordinary form, it is the same tap.
  else if (outcome?.refusal === "refused") go(() => form.submit());
});
