// The sentences that scripts say. The pages that save something bring them, translated like the rest of the page; the
// browser keeps them, so that any page can say what still waits.
const KEPT = "script words";
const brought = document.getElementById("script-words");
if (brought) localStorage.setItem(KEPT, brought.innerHTML);
const sentences = document.createElement("template");
sentences.innerHTML = localStorage.getItem(KEPT);

// The sentence of that name, with its {places} filled from `values`.
export const words = (name, values = {}) =>
  sentences.content.querySelector(`[data-words="${name}"]`).textContent.replace(/\{(\w+)\}/g, (_, place) => values[place]);

// A fresh copy of a part that is shown whole.
export const copyOf = (selector) => sentences.content.querySelector(selector).cloneNode(true);
