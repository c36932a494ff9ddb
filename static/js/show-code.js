// A box that shows what is typed into a field of hidden letters: a code from a slip is read off letter by letter.
for (const box of document.querySelectorAll("[data-shows]")) {
  const field = document.getElementById(box.dataset.shows);
  box.closest("label").hidden = false;
  box.addEventListener("change", () => { field.type = box.checked ? "text" : "password"; });
  field.form.addEventListener("submit", () => { field.type = "password"; });
}
