// The register by keyboard: Tab comes to one cell, arrow keys walk from there, Home and End go to the ends of a row.
// A long list is in two tables beside each other: from the foot of the first the arrow leads to the head of the
// second. Who comes back from a cell's reasons finds the cell again by its name in the address.
// Without scripts every cell is a link and Tab goes through them all.
const step = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] };
const LINKS = ".register a";
let current = "";

const cellAt = (rows, row, column) => rows[row]?.cells[column]?.querySelector("a");

// The rows as one list: the heads once, then everyone.
const rowsOf = () => [...document.querySelectorAll(".register:first-of-type thead tr, .register tbody tr")];

// One link of the table is the stop of the Tab key: the one last walked to, or the first.
const rove = () => {
  const links = [...document.querySelectorAll(LINKS)];
  const stop = links.find((link) => link.id === current) ?? links[0];
  for (const link of links) link.tabIndex = link === stop ? 0 : -1;
};

document.addEventListener("focusin", (event) => {
  if (!(event.target instanceof Element) || !event.target.matches(LINKS)) return;
  current = event.target.id;
  rove();
});

document.addEventListener("keydown", (event) => {
  const cell = event.target instanceof Element ? event.target.closest(".register td, .register th") : null;
  if (!cell || event.altKey || event.ctrlKey || event.metaKey) return;
  const rows = rowsOf();
  const row = Math.max(0, rows.indexOf(cell.parentElement)); // the heads of the second table are those of the first
  const last = cell.parentElement.cells.length - 1;
  let next = null;
  if (event.key in step) next = cellAt(rows, row + step[event.key][0], cell.cellIndex + step[event.key][1]);
  else if (event.key === "Home") next = cellAt(rows, row, 0) ?? cellAt(rows, row, 1);
  else if (event.key === "End") next = cellAt(rows, row, last);
  if (!next) return;
  event.preventDefault();
  next.focus();
});

document.addEventListener("htmx:after:swap", rove);
const cameFrom = document.getElementById(location.hash.slice(1));
if (cameFrom?.matches(LINKS)) cameFrom.focus();
rove();
