// Signing off at the machine: one button ticks every point, and a tap that finds no network waits and goes again.
// The tap carries its own id, so that sending it twice signs off once.
const form = document.getElementById("watch");
const said = document.getElementById("said");
const all = form?.querySelector(".all-points");
const AGAIN = 4000;

if (all) {
  all.hidden = false;
  all.addEventListener("click", () => {
    for (const box of form.querySelectorAll("input[name=point]")) box.checked = true;
    form.querySelector(".big").focus();
  });
}

const send = async () => {
  const button = form.querySelector(".big");
  button.setAttribute("aria-disabled", "true");
  try {
    // The redirect is left to the browser: followed here, it would use up the sentence that says it is done.
    const body = new FormData(form);
    const answer = await fetch(form.action, { method: "POST", body, redirect: "manual", signal: AbortSignal.timeout(8000) });
    if (answer.type === "opaqueredirect") {
      location.assign(form.dataset.done);
      return;
    }
    // Anything else is for the page to show: sent again as an ordinary form, it is the same tap.
    form.removeEventListener("submit", wait);
    form.submit();
  } catch {
    said.textContent = "Waiting to send. Not signed off yet.";
    setTimeout(send, AGAIN);
  }
};

const wait = (event) => {
  event.preventDefault();
  if (form.querySelector(".big").getAttribute("aria-disabled") !== "true") send();
};

form?.addEventListener("submit", wait);
