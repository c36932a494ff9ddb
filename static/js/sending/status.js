// The line that says what is saved. The page's own part comes first, then a part for each entry of another page.
const line = document.getElementById("said");
const parts = new Map([["page", { text: line.textContent.trim() }]]);

const nodes = ({ text, link }, place) => {
  const before = place ? " " : "";
  if (!link) return [before + text];
  return [`${before}${text} `, Object.assign(document.createElement("a"), { href: link.href, textContent: link.text })];
};

// Replaces one part. The same words again change nothing, so a screen reader does not repeat them.
export const say = (key, text, link) => {
  if (parts.get(key)?.text === text) return;
  parts.set(key, { text, link });
  line.replaceChildren(...[...parts.values()].filter((part) => part.text).flatMap(nodes));
};
