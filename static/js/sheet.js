// What every sheet does when scripts run: errors take the focus, and a swapped-in page puts it on its heading.
const focusFirst = () => {
  const target = document.querySelector(".errors") ?? document.querySelector("main h1");
  if (!target) return;
  target.setAttribute("tabindex", "-1");
  target.focus({ preventScroll: false });
};
if (document.querySelector(".errors")) focusFirst();
document.addEventListener("htmx:after:swap", (event) => {
  if (event.target instanceof Element && event.target.matches("main, body")) focusFirst();
});

// What only some pages need is loaded there: ids for taps, and what sends answers and sign-offs that still wait.
if (document.querySelector("form [name=tap]")) import("./sending/taps.js");

const who = document.querySelector("form.who");
const somethingWaits = () =>
  [sessionStorage, localStorage].some((storage) => Object.keys(storage).some((key) => key.startsWith("waiting ")));
let resumed = false;
const resume = async () => {
  await import("./sending/waiting.js");
  resumed = true;
};
if (who && somethingWaits()) resume();
who?.addEventListener("submit", async (event) => {
  if (resumed || !somethingWaits()) return;
  event.preventDefault(); // another tab has something to send: signing out asks first
  await resume();
  who.requestSubmit();
});
