// Sends what waits in the outbox, one request for an entry at a time, until this server confirms or refuses it. What may
// have arrived goes again before anything newer: so the revision tells a save of this tab from a save of another.
import { drop, entry, keep, leaveForLater, same } from "./outbox.js";
import { freshPage, isSomeoneElse, post, takeTokens } from "./requests.js";

const PAUSES = [1, 2, 4, 8, 15, 30].map((seconds) => seconds * 1000);
const NEAREST = 2000; // milliseconds between two tries, however often the student presses
const CONFIRMS = { answer: (body) => Number.isInteger(body.revision), tap: (body) => typeof body.onward === "string" };
const running = new Map();

// The listener gets {url, waits, state}: "sending", "waiting" after a try that failed, "saved" with `body` and `sent`,
// "refused" with `refusal` and `sentence`.
export const onProgress = (listener) => document.addEventListener("delivery", (event) => listener(event.detail));
const report = (url, waits, progress) => {
  document.dispatchEvent(new CustomEvent("delivery", { detail: { url, waits, ...progress } }));
  return progress;
};

// Resolves to true when the whole time has passed, to false when a press or the network's return ended it.
const pause = (run, time) => new Promise((resolve) => {
  const timer = setTimeout(resolve, time, true);
  run.wake = () => { clearTimeout(timer); resolve(false); };
});

// A press brings the next try forward, and never lengthens a pause.
const hurry = (run) => {
  const left = run.tried + NEAREST - Date.now();
  run.hurry ??= setTimeout(() => {
    run.hurry = null;
    if (Date.now() < run.tried + NEAREST) hurry(run);
    else run.wake();
  }, Math.max(0, left));
};
addEventListener("online", () => {
  for (const run of running.values()) { run.step = 0; run.wake(); }
});

const KEPT = new Set(["signed-out", "answer.changed-elsewhere"]);
const LOOKED_UP = new Set(["form-expired", "not-found"]); // the page tells whether someone else is signed in

// The final refusal, or null where the entry is worth another try.
const refusalOf = async (url, { refusal, sentence }) => {
  if (LOOKED_UP.has(refusal)) {
    const page = await freshPage();
    if (!page) return null;
    if (isSomeoneElse(page)) {
      leaveForLater(url);
      return { state: "refused", refusal: "someone-else", sentence: "" };
    }
    if (refusal === "form-expired") {
      takeTokens(page);
      return null;
    }
  }
  if (!KEPT.has(refusal)) drop(url);
  return { state: "refused", refusal, sentence };
};

const confirmed = (url, waits, body) => {
  const latest = entry(url);
  if (!latest || same(latest.now, waits.sent)) drop(url);
  else keep(url, { ...latest, revision: body.revision, sent: null });
  return report(url, waits, { state: "saved", body, sent: waits.sent });
};

const send = async (url, run) => {
  for (let outcome = null; ; ) {
    const waits = entry(url);
    if (!waits) return outcome;
    waits.sent ??= waits.now;
    keep(url, waits);
    run.tried = Date.now();
    const revision = waits.revision === undefined ? [] : [["revision", waits.revision]];
    const body = await post(url, [...waits.sent, ...revision]);
    const refused = body?.refusal && (await refusalOf(url, body));
    if (refused) return report(url, waits, refused);
    if (body && !body.refusal && CONFIRMS[waits.kind](body)) {
      outcome = confirmed(url, waits, body);
      run.step = 0;
    } else {
      report(url, waits, { state: "waiting" });
      if (await pause(run, PAUSES[run.step])) run.step = Math.min(run.step + 1, PAUSES.length - 1);
      run.wake = () => {};
    }
  }
};

// Sends the entry of that address, or brings its next try forward. Resolves to the last progress.
export const deliver = (url) => {
  const current = running.get(url);
  if (current) {
    hurry(current);
    return current.done;
  }
  const run = { step: 0, tried: 0, hurry: null, wake() {} };
  running.set(url, run);
  report(url, entry(url), { state: "sending" });
  run.done = send(url, run).finally(() => running.delete(url));
  return run.done;
};
