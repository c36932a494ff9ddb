// The page before handing in: it shows the newest answers, and nothing is handed in while one of them is unsaved.
import { deliver } from "../sending/delivery.js";
import { go } from "../sending/leaving.js";
import { answers } from "../sending/outbox.js";
import { say } from "../sending/status.js";
import "../sending/waiting.js";
import { words } from "../sending/words.js";

const form = document.querySelector("form[data-hand-in]");
const button = form.querySelector(".button");
const isPressed = () => button.getAttribute("aria-disabled") === "true";

const waiting = answers();
if (waiting.length) {
  say("page", ""); // the count is of before
  Promise.all(waiting.map(deliver)).then((outcomes) => {
    if (outcomes.every((outcome) => outcome?.state === "saved")) go(() => location.reload());
  });
}
form.addEventListener("submit", (event) => {
  if (!isPressed() && !answers().length && navigator.onLine) {
    button.setAttribute("aria-disabled", "true");
    return;
  }
  event.preventDefault();
  if (isPressed()) return;
  say("page", ""); // so that the same words are read out at each press
  say("page", words(answers().length ? "hand-in-waits" : "hand-in-offline"));
});
addEventListener("pageshow", () => button.removeAttribute("aria-disabled"));
