// Each press that records something carries an id of its own. The same form sent twice is one tap; the form sent again
// with other entries, after the Back button for example, is another.
const OWN = ["tap", "csrfmiddlewaretoken"];
const sent = new WeakMap();

// By hand: browsers offer randomUUID only on https, and a shop's server may be reached without.
export const newTap = () => {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const digits = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return digits.replace(/(.{8})(.{4})(.{4})(.{4})(.{12})/, "$1-$2-$3-$4-$5");
};

document.addEventListener("submit", ({ target: form, submitter }) => {
  if (!form.elements.tap) return;
  const body = JSON.stringify([...new FormData(form, submitter)].filter(([name]) => !OWN.includes(name)));
  if (sent.get(form) !== body) form.elements.tap.value = newTap();
  sent.set(form, body);
}, { capture: true });
