// Tiles dragged into the order of the room. The order is sent as soon as a tile is dropped; the two buttons of each tile
// do the same without a script.
import { words } from "./page-words.js";

const form = document.getElementById("plan");
const list = form.querySelector(".plan");
let dragged = null;

const send = () => {
  const body = new FormData(form);
  body.set("order", [...list.children].map((tile) => tile.dataset.machine).join(","));
  return fetch(form.action || location.href, { method: "POST", body, headers: { Accept: "application/json" } });
};

list.addEventListener("dragstart", (event) => {
  dragged = event.target.closest("li");
  event.dataTransfer.effectAllowed = "move";
});

list.addEventListener("dragover", (event) => {
  const over = event.target.closest("li");
  if (!dragged || !over || over === dragged) return;
  event.preventDefault();
  const tiles = [...list.children];
  if (tiles.indexOf(over) > tiles.indexOf(dragged)) over.after(dragged);
  else over.before(dragged);
});

list.addEventListener("drop", (event) => event.preventDefault());

list.addEventListener("dragend", async () => {
  dragged = null;
  const said = document.getElementById("said");
  try {
    const response = await send();
    said.textContent = words(response.ok ? "saved" : "refused");
  } catch {
    said.textContent = words("no-network");
  }
});
