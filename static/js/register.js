// Arrow keys walk the cells of the register; Home and End go to the ends of a row.
const step = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] };

const cellAt = (table, row, column) => table.rows[row]?.cells[column]?.querySelector("a");

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
