// The sentences that the scripts of a page say, translated like the rest of it: <template id="page-words">.
const sentences = document.getElementById("page-words");

// The sentence of that name, with its {places} filled from `values`.
export const words = (name, values = {}) =>
  sentences.content.querySelector(`[data-words="${name}"]`).textContent.replace(/\{(\w+)\}/g, (_, place) => values[place]);
