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
// Answers that are not saved yet are kept in this tab by saving.js: never for the next one at the same laptop.
const who = document.querySelector(".who");
const forget = (staying) => {
  for (const key of Object.keys(sessionStorage)) {
    if (key.startsWith("answer ") && !(staying && key.startsWith(staying))) sessionStorage.removeItem(key);
  }
};
who?.addEventListener("submit", () => forget());
if (who) forget(`answer ${who.dataset.who} `);
