// The page before handing in: it shows the newest answers, and nothing is handed in while one of them is unsaved.
import { deliver } from "./delivery.js";
import { go } from "./leaving.js";
import { answers } from "./outbox.js";
import { say } from "./status.js";
import "./waiting.js";
import { words } from "./words.js";

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
