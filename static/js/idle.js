// Signs out a laptop that no one uses: warns a minute before, and then covers the page. Nothing typed on it is lost, since
// the page stays where it is until someone signs in again.
const cover = document.getElementById("unused-page");
const IDLE = Number(cover.dataset.minutes) * 60_000;
const WARNING = 60_000;
const NOTED = 60_000; // the server notes use once a minute
const LOOK = 1000;
const USES = ["keydown", "pointerdown", "input", "wheel", "touchstart"];
const LAST_USE = "last use"; // in localStorage, for the other tabs: the pages of one browser share a sign-in

const part = (name) => cover.querySelector(`[data-part=${name}]`);
let notedAt = Date.now();
let usedAt = Date.now(); // this page: signing out in another tab empties what the tabs share
let isOver = false;

const noteUse = () => {
  usedAt = Date.now();
  localStorage.setItem(LAST_USE, String(usedAt));
};
const lastUse = () => Math.max(usedAt, Number(localStorage.getItem(LAST_USE) ?? 0));
const token = () => /(?:^|; )(?:__Host-)?csrf=([^;]+)/.exec(document.cookie)?.[1] ?? "";
const post = (url, fields = {}) => fetch(url, {
  method: "POST",
  headers: { Accept: "application/json" },
  body: new URLSearchParams({ ...fields, csrfmiddlewaretoken: token() }),
});

const show = (name) => {
  for (const each of cover.querySelectorAll("[data-part]")) each.hidden = each.dataset.part !== name;
  cover.classList.toggle("over", name === "over");
  cover.setAttribute("aria-labelledby", `idle-${name}`);
  if (!cover.open) cover.showModal();
  part(name).querySelector("[autofocus]").focus();
};

// ---- use ------------------------------------------------------------------------------------------------------------

const use = async () => {
  if (isOver) return;
  noteUse();
  if (cover.open) cover.close();
  if (Date.now() - notedAt < NOTED) return;
  notedAt = Date.now();
  try {
    if ((await post(cover.dataset.stay)).status === 401) end();
  } catch {
    notedAt = 0; // no network: the next use tells it
  }
};
for (const kind of USES) document.addEventListener(kind, use, { passive: true, capture: true });
part("soon").querySelector("button").addEventListener("click", use);

// ---- the end --------------------------------------------------------------------------------------------------------

const end = () => {
  isOver = true;
  show("over");
};

const look = () => {
  if (isOver) return;
  const left = IDLE - (Date.now() - lastUse());
  if (left <= 0) {
    end();
    post(cover.dataset.end, { waiting: "1" }).catch(() => {}); // answers that wait in this tab outlive it
  } else if (left <= WARNING) {
    part("soon").querySelector("[data-seconds]").textContent = Math.ceil(left / 1000);
    if (!cover.open) show("soon");
  } else if (cover.open) cover.close(); // another page of this browser is in use
};

// The way out is a button, never the Escape key.
cover.addEventListener("cancel", (event) => event.preventDefault());
cover.addEventListener("close", () => isOver && cover.showModal());

// ---- and back -------------------------------------------------------------------------------------------------------

part("over").addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = event.target;
  const said = form.querySelector("[role=alert]");
  said.textContent = "";
  try {
    const answer = await post(form.action, { name: form.elements.name.value, code: form.elements.code.value });
    if (!answer.ok) {
      said.textContent = (await answer.json()).sentence;
      return;
    }
  } catch {
    said.textContent = cover.dataset.failed;
    return;
  }
  form.reset();
  for (const field of document.getElementsByName("csrfmiddlewaretoken")) field.value = token();
  isOver = false;
  notedAt = Date.now();
  noteUse();
  cover.close();
});

noteUse(); // opening a page is use
setInterval(look, LOOK);
document.addEventListener("visibilitychange", look); // a laptop that was asleep
window.addEventListener("pageshow", look);
