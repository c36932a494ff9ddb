// On every page: goes on sending what other pages of this tab could not, and says in the status line what became of it.
import { deliver, onProgress } from "./delivery.js";
import { go } from "./leaving.js";
import { drop, entries, entry } from "./outbox.js";
import { say } from "./status.js";
import { deliverTaps, isOld, isTap } from "./tap-queue.js";
import { copyOf, words } from "./words.js";

const own = document.querySelector("[data-save]")?.dataset.save;
const line = document.getElementById("said");
const again = { href: location.href };

const REFUSED = {
  "signed-out": () => [words("signed-out"), { ...again, text: words("sign-in") }],
  "someone-else": () => [words("someone-else")],
  "answer.changed-elsewhere": ({ label, page }) => [words("conflict-of", { label }), { href: page, text: words("open-answer") }],
};

const tellAnswer = ({ url, waits, state, refusal, sentence }) => {
  const { label } = waits;
  if (state === "saved") say(url, words("saved-of", { label }));
  else if (state !== "refused") say(url, words("waiting-of", { label }));
  else say(url, ...(REFUSED[refusal]?.(waits) ?? [words("refused-of", { label, sentence })]));
};

// ---- taps: a sign-off that waits ------------------------------------------------------------------------------------

// A page that lists the students of a group says it in their rows.
const rowOf = (url) => document.querySelector(`[data-tap-row="${url}"]`);
const buttonsOf = (url) => document.querySelector(`[data-tap="${url}"]`);

const offer = (url, names) => {
  buttonsOf(url)?.remove();
  const box = copyOf("[data-buttons]");
  box.dataset.tap = url;
  for (const button of box.querySelectorAll("button")) {
    if (names.includes(button.name)) button.setAttribute("aria-label", `${button.textContent}: ${entry(url).label}`);
    else button.remove();
  }
  box.addEventListener("click", ({ target }) => {
    if (target.name === "send") deliver(url);
    if (target.name === "forget") {
      say(url, words("tap-forgotten", entry(url)));
      drop(url);
      box.remove();
    }
  });
  (rowOf(url) ?? line).after(box);
};

const tellTap = ({ url, waits, state, refusal, sentence }) => {
  const { label, page } = waits;
  if (rowOf(url)) {
    if (REFUSED[refusal]) say(refusal, ...REFUSED[refusal](waits));
  } else if (state === "saved") say(url, words("tap-sent", { label }));
  else if (state !== "refused") say(url, words(`tap-${state}`, { label }));
  else say(url, ...(REFUSED[refusal]?.(waits) ?? [words("tap-refused", { label, sentence }), { href: page, text: words("open-tap") }]));
  if (state === "waiting") offer(url, ["forget"]);
  else buttonsOf(url)?.remove();
};

onProgress((progress) => {
  if (progress.url === own) return;
  if (progress.waits.kind === "tap") tellTap(progress);
  else tellAnswer(progress);
});
for (const url of entries()) {
  if (url === own) continue;
  if (isOld(url)) {
    say(url, words("tap-old", entry(url)));
    offer(url, ["send", "forget"]);
  } else if (!isTap(url)) deliver(url);
}
deliverTaps();

// A page that the browser kept whole says what was true when it was left.
addEventListener("pageshow", (event) => {
  if (event.persisted) go(() => location.reload());
});
