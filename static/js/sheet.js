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
