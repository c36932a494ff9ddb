// Requests to this server. Its refusals carry a header that no proxy, web filter or network sign-in page sends.
const REFUSAL = "Shopsafe-Refusal";
const LONGEST = 8000; // milliseconds
const TOKEN = "[name=csrfmiddlewaretoken]";

// Resolves to {refusal, sentence} where this server refuses, to its JSON where it accepts, otherwise to null: then
// no one knows whether the request arrived.
export const post = async (url, fields) => {
  const response = await fetch(url, {
    method: "POST",
    headers: { Accept: "application/json" },
    body: new URLSearchParams([...fields, ["csrfmiddlewaretoken", document.querySelector(TOKEN).value]]),
    redirect: "manual",
    keepalive: true, // goes on while the page is left
    signal: AbortSignal.timeout(LONGEST),
  }).catch(() => null);
  const body = await response?.json().catch(() => null);
  const refusal = response?.headers.get(REFUSAL);
  if (refusal) return { refusal, sentence: body?.sentence ?? "" };
  return response?.ok ? body : null;
};

// This page as the server shows it now, or null where no page of this server comes through.
export const freshPage = async () => {
  const signal = AbortSignal.timeout(LONGEST);
  const response = await fetch(location.href, { redirect: "manual", cache: "no-store", signal }).catch(() => null);
  const text = (await response?.text().catch(() => "")) ?? "";
  const page = new DOMParser().parseFromString(text, "text/html");
  return page.querySelector(".who") && page;
};

const person = (page) => page.querySelector(".who").dataset.who;
export const isSomeoneElse = (page) => person(page) !== person(document);

export const takeTokens = (page) => {
  for (const field of document.querySelectorAll(TOKEN)) field.value = page.querySelector(TOKEN).value;
};
