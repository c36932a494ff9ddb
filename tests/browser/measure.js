// What is measured of a page's own part: words in sight, what is hard to press, text that is too small, and how many pixels
// the page is wider than the screen. What is in a label is pressed by the whole label.
() => {
  const main = document.querySelector("main");
  const seen = (element) => element.checkVisibility({ visibilityProperty: true });
  const side = (element) => {
    const box = (element.closest("label") ?? element).getBoundingClientRect();
    return Math.min(box.width, box.height);
  };
  const called = (element) => (element.textContent || element.name).trim().slice(0, 40);
  const count = (text) => text.split(/\s+/).filter(Boolean).length;

  const pressed = [...main.querySelectorAll("a, button, input:not([type=hidden]), select, summary, textarea")];
  const texts = document.createTreeWalker(main, NodeFilter.SHOW_TEXT);
  const fine = [];
  while (texts.nextNode()) {
    const parent = texts.currentNode.parentElement;
    const text = texts.currentNode.textContent.trim();
    if (!text || !seen(parent) || parent.closest("option, .unseen")) continue;
    const size = parseFloat(getComputedStyle(parent).fontSize);
    if (size < 16) fine.push(`${size} px: ${text.slice(0, 40)}`);
  }
  const notInSight = [...main.querySelectorAll("select, .unseen")].filter(seen).map((element) => element.innerText);
  return {
    words: count(main.innerText) - count(notInSight.join(" ")),
    small: pressed
      .filter((element) => seen(element) && side(element) < 24)
      .map((element) => `${Math.round(side(element))} px: ${called(element)}`),
    fine,
    over: document.documentElement.scrollWidth - innerWidth,
  };
};
