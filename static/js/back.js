// Escape goes back where the page's first link back leads, unless something is being written.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || event.defaultPrevented) return;
  if (event.target instanceof Element && event.target.closest("input, select, textarea, dialog, details[open]")) return;
  document.querySelector("a.back")?.click();
});
