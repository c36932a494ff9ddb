// Reads a text aloud with the browser's own speech, only when asked. The button stays hidden where there is no speech.
const READ = "h1, h2, p, label, [data-step], [data-pair] li:first-child option";

// The texts one after the other, in the order of the page; what stands inside another is read with it.
const textOf = (box) =>
  [...box.querySelectorAll(READ)]
    .filter((one) => one.value !== "" && one.getClientRects().length + (one.localName === "option"))
    .map((one) => one.textContent.trim().replace(/[.?!]?$/, (end) => end || "."))
    .join(" ");

if ("speechSynthesis" in window) {
  for (const button of document.querySelectorAll("[data-aloud]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const speaking = speechSynthesis.speaking;
      speechSynthesis.cancel();
      if (speaking) return;
      const box = document.getElementById(button.dataset.aloud);
      const speech = new SpeechSynthesisUtterance(textOf(box));
      speech.lang = box.closest("[lang]").lang;
      speech.rate = 0.9;
      speechSynthesis.speak(speech);
    });
  }
  addEventListener("pagehide", () => speechSynthesis.cancel());
}
