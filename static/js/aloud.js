// Reads a text aloud with the browser's own speech, only when asked. The button stays hidden where there is no speech.
if ("speechSynthesis" in window) {
  for (const button of document.querySelectorAll("[data-aloud]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const speaking = speechSynthesis.speaking;
      speechSynthesis.cancel();
      if (speaking) return;
      const words = document.getElementById(button.dataset.aloud).innerText;
      const speech = new SpeechSynthesisUtterance(words);
      speech.lang = document.documentElement.lang;
      speech.rate = 0.9;
      speechSynthesis.speak(speech);
    });
  }
  addEventListener("pagehide", () => speechSynthesis.cancel());
}
