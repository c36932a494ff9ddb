// What breaks when words are longer, or run from right to left: a page wider than the screen, text that is cut off or
// runs out of its box, and text that lies on other text.
() => {
  const faults = [];
  const over = document.documentElement.scrollWidth - innerWidth;
  if (over > 0) faults.push(`${over} px wider than the screen`);
  const called = (text) => text.trim().replace(/\s+/g, " ").slice(0, 40);
  // What only a screen reader reads is cut down to a dot; the link that skips the head comes into sight with the focus.
  const isDot = (element) => {
    for (let at = element; at; at = at.parentElement) if (/inset\(50%/.test(getComputedStyle(at).clipPath)) return true;
    return false;
  };
  const shown = (element) =>
    element.checkVisibility({ visibilityProperty: true, opacityProperty: true }) &&
    !element.closest(".skip, option, svg, dialog:not([open])") && !isDot(element);
  // Bars that stay in sight lie on the page by design.
  const floats = (element) => {
    for (let at = element; at; at = at.parentElement) if (/fixed|sticky/.test(getComputedStyle(at).position)) return true;
    return false;
  };
  const scrolls = (element) => {
    for (let at = element; at; at = at.parentElement) if (/auto|scroll/.test(getComputedStyle(at).overflowX)) return at;
    return null;
  };

  const lines = [];
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const node = texts.currentNode, parent = node.parentElement;
    if (!node.textContent.trim() || !shown(parent)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    let box = parent;
    while (box && /^inline$|^contents$/.test(getComputedStyle(box).display)) box = box.parentElement;
    const edges = box.getBoundingClientRect(), style = getComputedStyle(box);
    const upright = style.writingMode.startsWith("horizontal");
    for (const rect of range.getClientRects()) {
      if (rect.width < 1) continue;
      if (upright && (rect.left < edges.left - 1 || rect.right > edges.right + 1)) faults.push(`runs out of its box: ${called(node.textContent)}`);
      const port = scrolls(parent)?.getBoundingClientRect();
      if (!port && (rect.left < -1 || rect.right > document.documentElement.clientWidth + 1)) faults.push(`off the screen: ${called(node.textContent)}`);
      if (!floats(parent) && (!port || (rect.right > port.left && rect.left < port.right))) lines.push({ rect, node, parent, port: scrolls(parent) });
    }
    if (/hidden|clip/.test(style.overflowX + style.overflowY) && (box.scrollWidth > box.clientWidth + 1 || box.scrollHeight > box.clientHeight + 1))
      faults.push(`is cut off: ${called(box.textContent)}`);
  }
  for (const control of document.querySelectorAll("button, input[type=submit], a.button"))
    if (shown(control) && control.scrollWidth > control.clientWidth + 2) faults.push(`does not fit its button: ${called(control.textContent)}`);

  lines.sort((one, two) => one.rect.top - two.rect.top);
  for (let first = 0; first < lines.length; first += 1) {
    const one = lines[first];
    for (let second = first + 1; second < lines.length; second += 1) {
      const two = lines[second];
      if (two.rect.top > one.rect.bottom) break;
      if (one.node === two.node || one.port !== two.port) continue;
      const wide = Math.min(one.rect.right, two.rect.right) - Math.max(one.rect.left, two.rect.left);
      const high = Math.min(one.rect.bottom, two.rect.bottom) - Math.max(one.rect.top, two.rect.top);
      if (wide > 2 && high > Math.min(one.rect.height, two.rect.height) * 0.45)
        faults.push(`lie on each other: ${called(one.node.textContent)} / ${called(two.node.textContent)}`);
    }
  }
  return [...new Set(faults)];
};
