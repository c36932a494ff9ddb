// The register by keyboard: Tab comes to one cell, arrow keys walk from there, Home and End go to the ends of a row.
// Without scripts every cell is a link and Tab goes through them all.
const step = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] };
const LINKS = ".register a";
let current = "";

const cellAt = (table, row, column) => table.rows[row]?.cells[column]?.querySelector("a");

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
  const table = cell.closest("table");
  const row = cell.parentElement.rowIndex;
  const last = cell.parentElement.cells.length - 1;
  let next = null;
  if (event.key in step) next = cellAt(table, row + step[event.key][0], cell.cellIndex + step[event.key][1]);
  else if (event.key === "Home") next = cellAt(table, row, 0) ?? cellAt(table, row, 1);
  else if (event.key === "End") next = cellAt(table, row, last);
  if (!next) return;
  event.preventDefault();
  next.focus();
});

document.addEventListener("htmx:after:swap", rove);
rove();
