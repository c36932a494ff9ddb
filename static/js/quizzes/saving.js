// One question's page: saves the answer as it is given, and says at each moment whether what is here is saved.
import * as conflict from "./conflict.js";
import { deliver, onProgress } from "../sending/delivery.js";
import { go } from "../sending/leaving.js";
import { drop, entry, keep, onOtherTab, same } from "../sending/outbox.js";
import { freshPage } from "../sending/requests.js";
import { say } from "../sending/status.js";
import "../sending/waiting.js";
import { words } from "../sending/words.js";

const form = document.querySelector("form[data-save]");
const url = form.dataset.save;
const button = form.querySelector(".actions .button");
const OWN = ["revision", "csrfmiddlewaretoken"];
const TYPED = 700; // milliseconds after the last key
const LATEST = 2000; // and after the first key, however fast the rest follow
const AGAIN = 4000; // until the saved answer of a conflict is asked for again

let changes = 0; // presses that are not saved
let failed = false; // a try failed since
let onward = false; // "Save and continue" was pressed, and nothing was changed since
let timer;
let firstKey = null;
const picture = form.querySelector(".plate-box");
let row = null; // the row of the last press

const given = (from = form) => [...new FormData(from)].filter(([name, value]) => value && !OWN.includes(name));

// ---- what the page says ---------------------------------------------------------------------------------------------

// In the line at the top, and where the last press was: in its row, and under the picture that may have been pressed.
const tell = (text, short, link) => {
  say("page", [form.dataset.progress, text, onward && words("onward")].filter(Boolean).join(" "), link);
  for (const place of [row, row && picture]) if (place) place.dataset.saved = short;
};
const clearMarks = () => {
  for (const place of form.querySelectorAll("[data-saved]")) place.removeAttribute("data-saved");
  row = null;
};
const tellUnsaved = () => {
  const state = failed ? "waiting" : "saving";
  tell(words(changes > 1 ? `${state}-more` : state, { changes }), words(`row-${state}`));
};
const tellSaved = (sent, lacks) => {
  const state = !sent.length ? "saved-empty" : lacks && !form.dataset.progress ? "saved-unfinished" : "saved";
  tell(words(state), words("saved"));
};

const stay = () => {
  onward = false;
  button.removeAttribute("aria-disabled");
};

// ---- what was given -------------------------------------------------------------------------------------------------

// Keeps what is on the page. Nothing chosen is nothing to save, unless it takes an answer away.
const note = () => {
  const now = given();
  const before = entry(url);
  if (!now.length && !before && form.revision.value === "0") return false;
  const start = { revision: form.revision.value, sent: null };
  const about = { kind: "answer", label: form.dataset.label, page: location.pathname + location.search };
  keep(url, { ...about, ...start, ...before, now, asked: false });
  return true;
};

const fill = (fields) => {
  for (const control of form.elements) {
    if (!control.name || OWN.includes(control.name) || control.matches("button")) continue;
    const values = fields.filter(([name]) => name === control.name).map(([, value]) => value);
    if (control.matches("[type=radio], [type=checkbox]")) control.checked = values.includes(control.value);
    else control.value = values[0] ?? "";
  }
  form.dispatchEvent(new Event("filled"));
};

// Something was pressed before this script ran.
const first = (select) => [...select.options].find((option) => option.defaultSelected) ?? select.options[0];
const isTouched = () => [...form.elements].some((control) =>
  control.matches("select") ? !first(control).selected
  : control.matches("[type=radio], [type=checkbox]") ? control.checked !== control.defaultChecked
  : control.matches("input") && control.value !== control.defaultValue);

// ---- what the server said -------------------------------------------------------------------------------------------

// The title block counts this answer while it lacks nothing.
const count = (lacks) => {
  const counter = document.querySelector("[data-counted]");
  const counts = lacks ? 0 : 1;
  counter.textContent = Number(counter.textContent) + counts - Number(counter.dataset.counted);
  counter.dataset.counted = counts;
};

// Takes the answer that the server has, as its fresh page shows it.
const settle = (page) => {
  const theirs = page.querySelector("form[data-save]");
  form.revision.value = theirs.revision.value;
  drop(url);
  changes = 0;
  clearMarks();
  fill(given(theirs));
  document.querySelector("[data-counted]").replaceWith(page.querySelector("[data-counted]"));
  say("page", page.getElementById("said").textContent.trim());
};

const showConflict = async () => {
  const page = await freshPage();
  const theirs = page?.querySelector("form[data-save]");
  if (!theirs) {
    setTimeout(deliver, AGAIN, url);
    return;
  }
  const saved = given(theirs);
  const revision = theirs.revision.value;
  if (same(saved, given())) {
    settle(page);
    return;
  }
  const here = conflict.inWords(form, given()) || words("no-answer");
  tell(words("conflict", { given: here }), words("row-waiting"));
  conflict.open({
    saved: conflict.inWords(form, saved) || words("no-answer"),
    given: here,
    keepSaved: () => settle(page),
    keepGiven() {
      keep(url, { ...entry(url), revision, sent: null });
      deliver(url);
    },
  });
};

// Another tab may have saved this question since: then this page shows what is saved now, and says so.
const lookAgain = async () => {
  if (entry(url) || conflict.isOpen()) return;
  const page = await freshPage();
  const theirs = page?.querySelector("form[data-save]");
  if (!theirs || entry(url) || theirs.revision.value === form.revision.value) return;
  settle(page);
  say("page", `${words("changed-elsewhere")} ${page.getElementById("said").textContent.trim()}`);
};

const REFUSED = {
  "answer.changed-elsewhere": showConflict,
  "signed-out": () => go(() => location.reload()),
  "someone-else": () => tell(words("someone-else"), words("row-waiting")),
};

onProgress(({ url: about, state, body, sent, refusal, sentence }) => {
  if (about !== url) return;
  if (state === "saved") {
    form.revision.value = body.revision;
    count(body.lacks);
    failed = false;
    changes = entry(url) ? 1 : 0;
    if (!entry(url)) tellSaved(sent, body.lacks);
  } else if (state === "refused") {
    stay();
    if (REFUSED[refusal]) REFUSED[refusal]();
    else tell(words("refused", { sentence }), words("row-waiting"), { href: location.href, text: words("open-again") });
  } else {
    failed = state === "waiting";
    tellUnsaved();
  }
});

// ---- what the student does ------------------------------------------------------------------------------------------

const send = (typed) => {
  firstKey = null;
  if (typed) changes += 1;
  if (changes > 1) tellUnsaved();
  deliver(url);
};

form.addEventListener("input", (event) => {
  const typed = event.target.matches("[type=text]");
  stay();
  clearMarks();
  row = event.target.closest(".answer, .measure") ?? event.target.closest("li").querySelector(".press");
  clearTimeout(timer);
  if (!note()) {
    say("page", "");
    return;
  }
  if (conflict.isOpen()) {
    showConflict();
    return;
  }
  if (!typed) changes += 1;
  tellUnsaved();
  firstKey ??= Date.now();
  const wait = typed ? Math.max(0, Math.min(TYPED, firstKey + LATEST - Date.now())) : 0;
  timer = setTimeout(send, wait, typed);
});

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (conflict.isOpen()) {
    document.getElementById("conflict").focus();
    return;
  }
  if (onward) return;
  clearTimeout(timer);
  if (!note()) {
    go(() => form.submit()); // the server says what to do
    return;
  }
  onward = true;
  button.setAttribute("aria-disabled", "true");
  tellUnsaved();
  const outcome = await deliver(url);
  if (!onward) return;
  if (outcome?.state !== "saved") stay();
  else if (outcome.body.lacks) go(() => form.submit());
  else go(() => location.assign(form.dataset.onward));
});

onOtherTab(url, lookAgain);
document.addEventListener("visibilitychange", () => { if (!document.hidden) lookAgain(); });

if (isTouched()) note();
else if (entry(url)) fill(entry(url).now);
if (entry(url)) {
  changes = 1;
  deliver(url);
}
form.dataset.live = ""; // from here on the line above is this script's to keep true
