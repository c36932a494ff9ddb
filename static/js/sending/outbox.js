// What this browser still has to send for the person signed in: answers and sign-offs that the server has not confirmed.
// An entry belongs to this tab. Its spare outlives the tab: another tab takes it over once this tab is gone.
// An entry: kind, label, page, revision, sent (went out, perhaps arrived), now (the newest).
const ALL = "waiting ";
const MINE = `${ALL}${document.querySelector(".who").dataset.who} `;
const GONE = 60_000; // milliseconds; a living tab touches its spares at each try, every 38 seconds at the longest

const read = (storage, url) => JSON.parse(storage.getItem(MINE + url));
const keys = (storage, start) => Object.keys(storage).filter((key) => key.startsWith(start));
const urls = (storage) => keys(storage, MINE).map((key) => key.slice(MINE.length));

export const same = (first, second) => JSON.stringify(first) === JSON.stringify(second);
export const entry = (url) => read(sessionStorage, url);
export const entries = () => urls(sessionStorage);
export const answers = () => entries().filter((url) => entry(url).kind === "answer");
export const holdsAnything = () => keys(sessionStorage, ALL).length + keys(localStorage, ALL).length > 0;

const keepSpare = (key, waits, touched) => {
  try {
    localStorage.setItem(key, JSON.stringify({ ...waits, touched }));
  } catch { /* No room for a spare: the tab's own entry is enough to go on. */ }
};

export const keep = (url, waits) => {
  sessionStorage.setItem(MINE + url, JSON.stringify(waits));
  keepSpare(MINE + url, waits, Date.now());
};

// Only after the server confirmed the entry, or refused it with its mark. Another tab's spare stays.
export const drop = (url) => {
  if (same(read(localStorage, url)?.now, entry(url)?.now)) localStorage.removeItem(MINE + url);
  sessionStorage.removeItem(MINE + url);
};

// Runs when another tab of this browser had the entry of that address confirmed or refused.
export const onOtherTab = (url, act) => addEventListener("storage", ({ key, newValue }) => {
  if (key === MINE + url && newValue === null) act();
});

const abandon = (key) => {
  const spare = JSON.parse(localStorage.getItem(key));
  if (spare) keepSpare(key, spare, 0);
};

// Leaves the spare for the next time its person signs in here; this tab no longer holds the entry.
const leaveKey = (key) => {
  abandon(key);
  sessionStorage.removeItem(key);
};
export const leaveForLater = (url) => leaveKey(MINE + url);

for (const key of keys(sessionStorage, ALL)) if (!key.startsWith(MINE)) leaveKey(key);
for (const url of urls(localStorage)) {
  const { touched, ...waits } = read(localStorage, url);
  const isAlive = Date.now() - touched < GONE;
  if (!isAlive && !entry(url)) keep(url, waits);
  // A copied tab starts with the entries of the first tab, which still sends them.
  else if (isAlive && same(entry(url)?.now, waits.now)) sessionStorage.removeItem(MINE + url);
}
addEventListener("pagehide", () => keys(sessionStorage, MINE).forEach(abandon));
