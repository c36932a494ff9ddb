// A press on a letter in a picture chooses that letter in the list below it, as a press on its row does. The letters
// and the rows are in one order. Without scripts, and by keyboard, the rows are all there is.
const plate = document.querySelector(".plate");
const rows = [...document.querySelectorAll(".answers input")];
const NEAR = 28; // CSS pixels from the middle of a letter: a finger is wider than the circle on a phone

const marks = plate ? [...plate.querySelectorAll(".callout")] : [];
const show = () => marks.forEach((mark, place) => mark.classList.toggle("chosen", rows[place].checked));

// The letter nearest to a press, where one is near enough.
const nearest = ({ clientX, clientY }) => {
  const away = marks.map((mark) => {
    const { left, top, width, height } = mark.querySelector("circle").getBoundingClientRect();
    return Math.hypot(clientX - left - width / 2, clientY - top - height / 2);
  });
  const least = Math.min(...away);
  return least <= NEAR ? away.indexOf(least) : -1;
};

if (marks.length) {
  for (const hint of document.querySelectorAll("[data-press]")) hint.hidden = false;
  plate.classList.add("pressable");
  plate.addEventListener("click", (event) => rows[nearest(event)]?.click());
  document.addEventListener("input", show);
  addEventListener("pageshow", show); // the way back may bring a choice that the page was not sent with
  show();
}
