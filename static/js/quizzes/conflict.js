// An answer that was changed in two tabs: the page shows both, and the student says which one stays.
const panel = document.getElementById("conflict");

const textOf = (form, [name, value]) => {
  const control = [...form.elements].find((field) => field.name === name && (!field.matches(".answer input") || field.value === value));
  if (control.matches("[type=text]")) return value;
  if (control.matches("select")) return `${control.labels[0].textContent.trim()}: ${[...control.options].find((option) => option.value === value).text}`;
  if (control.matches("[type=hidden]")) return `${value}. ${form.querySelector(`[data-step="${name}"]`).textContent.trim()}`;
  return control.labels[0].textContent.trim();
};

// The answer in words, a line for each part.
export const inWords = (form, fields) => fields.map((field) => textOf(form, field)).sort().join("; ");

export const isOpen = () => !panel.hidden;
export const close = () => { panel.hidden = true; };

// Shows both answers. `keepSaved` and `keepGiven` are what the two buttons do.
export const open = ({ saved, given, keepSaved, keepGiven }) => {
  const wasOpen = isOpen();
  panel.hidden = false;
  panel.querySelector("[data-saved]").textContent = saved;
  panel.querySelector("[data-given]").textContent = given;
  panel.querySelector("[name=keep-saved]").onclick = () => { close(); keepSaved(); };
  panel.querySelector("[name=keep-given]").onclick = () => { close(); keepGiven(); };
  if (!wasOpen) panel.focus();
};
