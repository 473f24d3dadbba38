/* Keeps the page beside the outdoor kiln, so that it opens again where there is no network. It touches that page and
   the files it is made of, and nothing else; what is tapped is kept by run.js, not here. */
"use strict";

const SHELF = "footring-outdoors-1";
const PATIENCE = 4000; // milliseconds for the network before the kept page is shown
const IS_RUN = /^\/outdoor\/\d+\/run$/;
const IS_PART = /^\/static\//;
const PASSING = [429, 502, 503, 504]; // answers of a server that is busy or restarting: what was kept is of more use

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(tidy()));

async function tidy() {
  for (const name of await caches.keys()) if (name.startsWith("footring-outdoors-") && name !== SHELF) await caches.delete(name);
  await self.clients.claim();
}

/** A page that was opened before this script was there says what it is made of. */
self.addEventListener("message", (event) => {
  if (!event.data || !Array.isArray(event.data.keep)) return;
  event.waitUntil(Promise.all(event.data.keep.map((address) => keepAnew(address))));
});

async function keepAnew(address) {
  const { pathname } = new URL(address, self.location.href);
  if (!IS_RUN.test(pathname) && !IS_PART.test(pathname)) return;
  try {
    await keep(address, await fetch(address, { credentials: "same-origin" }));
  } catch {
    // The network went before it was kept; the next time it is there does it.
  }
}

async function keep(request, response) {
  const shelf = await caches.open(SHELF);
  const { pathname } = new URL(typeof request === "string" ? request : request.url, self.location.href);
  // Whoever has been signed out finds no page of the studio on the phone anymore.
  if (response.redirected || response.type === "opaqueredirect" || response.status === 401) {
    if (IS_RUN.test(pathname)) await shelf.delete(request, { ignoreSearch: true });
    return;
  }
  if (response.ok) await shelf.put(request, response.clone());
}

self.addEventListener("fetch", (event) => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== self.location.origin) return;
  if (event.request.mode === "navigate" && IS_RUN.test(pathname)) event.respondWith(fresh(event.request));
  else if (IS_PART.test(pathname)) event.respondWith(kept(event.request));
});

/** The page from the network; as it was kept where the server is busy, or after a few seconds without an answer. */
async function fresh(request) {
  const shelf = await caches.open(SHELF);
  const asked = fetch(request).then(async (response) => {
    await keep(request, response);
    return response;
  });
  asked.catch(() => null); // When it fails after the kept page was shown, nobody waits for it anymore.
  const late = new Promise((give) => setTimeout(give, PATIENCE));
  try {
    const answer = await Promise.race([asked, late]);
    if (answer && !PASSING.includes(answer.status)) return answer;
  } catch {
    // No network: what was kept is shown below.
  }
  return (await shelf.match(request, { ignoreSearch: true })) || asked.catch(() => Response.error());
}

/** A part of the page: from the network when it answers, else as it was kept. */
async function kept(request) {
  const shelf = await caches.open(SHELF);
  try {
    const response = await fetch(request);
    if (response.ok) await shelf.put(request, response.clone());
    return PASSING.includes(response.status) ? (await shelf.match(request)) || response : response;
  } catch {
    return (await shelf.match(request)) || Response.error();
  }
}
