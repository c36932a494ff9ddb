// Saves each answer as it is given. With no network it is kept in this tab and sent again, later each time.
// One request at a time, and one that may have arrived goes again before anything newer: so the revision number tells
// a save of ours from one made in another window. sheet.js forgets what is kept when somebody else signs in here.
const form = document.querySelector("form[data-save]");
const token = document.querySelector("main [name=csrfmiddlewaretoken]")?.value;
const mine = `answer ${document.querySelector(".who").dataset.who} `;
const said = document.getElementById("said");
const LATER = [1000, 2000, 4000, 8000, 15000, 30000];
const TYPED = 700;
const FRESH = 5000;
const loaded = performance.getEntriesByType("navigation")[0].type;
const running = new Map();
const waiting = new Set();
let typing;

const say = (words) => { if (said.textContent !== words) said.textContent = words; };
const kept = (url) => JSON.parse(sessionStorage.getItem(mine + url));
const keep = (url, state) => sessionStorage.setItem(mine + url, JSON.stringify(state));
const drop = (url) => sessionStorage.removeItem(mine + url);
const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);
const pause = (time) => new Promise((resolve) => { waiting.add(resolve); setTimeout(resolve, time); });
const wake = () => { for (const resolve of waiting) resolve(); waiting.clear(); };
addEventListener("online", wake);

const post = (url, fields, revision) =>
  fetch(url, {
    method: "POST",
    body: new URLSearchParams([...fields, ["revision", revision], ["csrfmiddlewaretoken", token]]),
    redirect: "manual",
    signal: AbortSignal.timeout(8000),
  });

const words = (sent, lacks) => {
  if (!sent.length) return "Saved: no answer";
  return lacks ? "Saved, not finished" : "Saved";
};

// Whether this page is no longer there for whoever is signed in now.
const gone = async () => {
  const page = await fetch(location.href, { redirect: "manual", cache: "no-store" }).catch(() => null);
  return page?.status === 404;
};

// What the server would not take. It says why itself: the page is loaded again, or the form sent as an ordinary one.
// A page of somebody else's it would not show: that is said here.
const refused = async (url, answer, { revision }) => {
  const again = answer.type === "opaqueredirect" || answer.status === 403;
  if (!again) drop(url);
  if (answer.status === 404 || (answer.status === 403 && await gone())) {
    drop(url);
    say("Somebody else is signed in here now. Your answer was not kept.");
  } else if (again && loaded === "reload" && performance.now() < FRESH) say("This answer can't be saved. Sign out, then sign in again.");
  else if (again) location.reload();
  else if (form?.dataset.save === url) {
    form.revision.value = revision; // the one it was given on: the page may have been loaded again since
    form.submit();
  } else say("You changed an answer in another window. Look at it again.");
};

// The title block counts this answer while it lacks nothing.
const saved = ({ revision, lacks }) => {
  form.revision.value = revision;
  const count = document.querySelector("[data-counted]");
  const counts = lacks ? 0 : 1;
  count.textContent = Number(count.textContent) + counts - Number(count.dataset.counted);
  count.dataset.counted = counts;
};

// Resolves to what the answer still lacks ("" for nothing), or to null where the server would not take it.
const send = async (url) => {
  for (let tries = 0, lacks = ""; ; ) {
    const state = kept(url);
    if (!state) return lacks;
    state.sent ??= state.now;
    keep(url, state);
    const answer = await post(url, state.sent, state.revision).catch(() => null);
    const told = answer?.ok ? await answer.json().catch(() => null) : null;
    if (told) {
      const latest = kept(url);
      lacks = told.lacks;
      if (form?.dataset.save === url) saved(told);
      if (!latest || same(latest.now, state.sent)) drop(url);
      else keep(url, { revision: told.revision, sent: null, now: latest.now });
      if (!kept(url)) say(words(state.sent, lacks));
      tries = 0;
    } else if (answer && !answer.ok && answer.status < 500) {
      await refused(url, answer, state);
      return null;
    } else {
      say("Not saved yet. Trying again");
      await pause(LATER[Math.min(tries++, LATER.length - 1)]);
    }
  }
};

const save = (url) => {
  if (running.has(url)) wake();
  else running.set(url, send(url).finally(() => running.delete(url)));
  return running.get(url);
};

const given = () =>
  [...new FormData(form)].filter(([name, value]) => value && name !== "revision" && name !== "csrfmiddlewaretoken");

// Keeps what stands on the page now. Nothing chosen is nothing to save, unless it takes an answer away.
const note = () => {
  const now = given();
  const before = kept(form.dataset.save);
  const some = now.length > 0 || before !== null || form.revision.value !== "0";
  if (some) keep(form.dataset.save, { revision: form.revision.value, sent: null, ...before, now });
  if (!running.has(form.dataset.save)) say("");
  return some;
};

const fill = (fields) => {
  for (const control of form.elements) {
    if (!control.name || control.type === "hidden") continue;
    const values = fields.filter(([name]) => name === control.name).map(([, value]) => value);
    if (control.matches("[type=radio], [type=checkbox]")) control.checked = values.includes(control.value);
    else control.value = values[0] ?? "";
  }
};

const once = (button) => {
  const pressed = button.getAttribute("aria-disabled") === "true";
  button.setAttribute("aria-disabled", "true");
  return !pressed;
};

if (form) {
  const url = form.dataset.save;
  if (kept(url)) fill(kept(url).now);
  form.addEventListener("input", (event) => {
    clearTimeout(typing);
    if (note()) typing = setTimeout(save, event.target.matches("[type=text]") ? TYPED : 0, url);
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const button = form.querySelector(".actions .button");
    if (!once(button)) return;
    clearTimeout(typing);
    const lacks = note() ? await save(url) : "nothing";
    if (lacks === "") location.assign(form.dataset.onward);
    else if (lacks !== null) form.submit();
  });
  // The way back shows the page as it was left: its button works again.
  addEventListener("pageshow", () => form.querySelector(".actions .button").removeAttribute("aria-disabled"));
}

// What another page of this student's could not save goes now.
const left = Object.keys(sessionStorage).filter((key) => key.startsWith(mine)).map((key) => key.slice(mine.length));
const sending = left.map(save);

const handIn = document.querySelector("form[data-hand-in]");
if (handIn) {
  if (left.length) Promise.all(sending).then((done) => { if (!done.includes(null)) location.reload(); });
  handIn.addEventListener("submit", (event) => {
    const button = handIn.querySelector(".button");
    if (!running.size && navigator.onLine && once(button)) return;
    event.preventDefault();
    if (!navigator.onLine) say("There is no network. Your saved answers are safe. Hand in when it is back.");
  });
  addEventListener("pageshow", () => handIn.querySelector(".button").removeAttribute("aria-disabled"));
}
