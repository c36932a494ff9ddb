// Signing off a group: a tap for each student, kept in the outbox and sent one after another. Each row says what became
// of its tap; the points are watched again for the next group.
import { onProgress } from "../sending/delivery.js";
import { entry, keep } from "../sending/outbox.js";
import { say } from "../sending/status.js";
import { deliverTaps } from "../sending/tap-queue.js";
import { newTap } from "../sending/taps.js";
import { words } from "../sending/words.js";
import "../sending/waiting.js";

const form = document.getElementById("watch");
const rows = [...form.querySelectorAll("[data-tap-row]")];
const points = [...form.elements.point ? form.querySelectorAll("[name=point]") : []];
const boxOf = (row) => row.querySelector("input");
const tapped = () => rows.filter((row) => boxOf(row).checked);

const tell = (row, text, state) => {
  row.querySelector("[data-result]").textContent = text;
  row.dataset.state = state;
  boxOf(row).disabled = state === "waiting" || state === "saved";
  if (state) boxOf(row).checked = false;
};

// No more than the most that can be watched at once: the other rows rest until one is let go.
const limit = () => {
  const isFull = tapped().length >= Number(form.dataset.most);
  for (const row of rows) {
    const rests = isFull && !boxOf(row).checked;
    if (!["waiting", "saved"].includes(row.dataset.state)) boxOf(row).disabled = rests;
  }
};

for (const row of rows) if (entry(row.dataset.tapRow)) tell(row, words("tap-row-waiting"), "waiting");
limit();
form.addEventListener("change", limit);

const all = form.querySelector(".all-points");
all.hidden = false;
all.addEventListener("click", () => {
  for (const box of points) box.checked = true;
  form.querySelector(".sign-now")?.focus();
});

const missing = () => {
  const point = points.find((box) => !box.checked);
  if (!tapped().length) return [words("tap-none"), boxOf(rows[0])];
  return point ? [words("tap-point", { point: point.value }), point] : null;
};

const keepTap = (row, place, watched) => {
  const now = [["tap", newTap()], ["group", "1"], ...watched.map((point) => ["point", point])];
  const { tapRow, label } = row.dataset;
  keep(tapRow, { kind: "tap", label, page: tapRow, sent: null, now, pressed: Date.now() + place / 1000 });
  tell(row, words("tap-row-waiting"), "waiting");
};

form.addEventListener("submit", (event) => {
  event.preventDefault();
  const problem = missing();
  say("page", problem ? problem[0] : "");
  if (problem) {
    problem[1].focus();
    return;
  }
  const watched = points.map((box) => box.value);
  tapped().forEach((row, place) => keepTap(row, place, watched));
  for (const box of points) box.checked = false;
  limit();
  deliverTaps();
});

onProgress(({ url, state, refusal, sentence }) => {
  const row = rows.find(({ dataset }) => dataset.tapRow === url);
  if (!row) return;
  if (state === "saved") tell(row, words("tap-row-saved"), "saved");
  else if (state !== "refused") tell(row, words(`tap-row-${state}`), "waiting");
  else if (entry(url)) tell(row, words("tap-row-waiting"), "waiting");
  else tell(row, words("tap-row-refused", { sentence }), "refused");
  limit();
});
