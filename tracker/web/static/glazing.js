/* The glaze shelf while one types: what doesn't match is hidden at once, a whole name or a bucket's bar picks its glaze.
   A tap on a zone checks the glazes for it at once. Until then each glaze picked is for its usual zone: wax for the foot. Without script the same forms ask the server. */
"use strict";

const MARK_OF_A_BUCKET = "B."; // what a bucket's bar begins with (domain/labels/studio_bars.py)

const search = document.querySelector("form[data-glazes]");
const layer = document.getElementById("layer");
let cards = [];
let folds = [];
let isZoneTold = new URLSearchParams(window.location.search).has("zone");
const hits = document.querySelector("[data-hits]");

/** Note what is on the shelf now. */
function look() {
  cards = Array.from(document.querySelectorAll("[data-words]"));
  folds = Array.from(document.querySelectorAll("details[data-fold]"));
}

/** True while somebody looks for something. */
function isSearching() {
  return ["find", "color", "surface"].some((name) => search.elements[name].value.trim() !== "");
}

/** Hide what does not match, open what was folded while it holds a match, and say how many there are. */
function filter() {
  const words = search.elements.find.value.toLowerCase().split(/\s+/).filter(Boolean);
  const { color, surface } = search.elements;
  for (const card of cards) {
    const { words: told, color: shown, surface: feels } = card.dataset;
    card.hidden = !(words.every((word) => told.includes(word)) && (!color.value || shown === color.value) && (!surface.value || feels === surface.value));
  }
  const looking = isSearching();
  for (const fold of folds) {
    const some = fold.querySelectorAll("[data-words]:not([hidden])").length;
    fold.querySelector("[data-count]").textContent = String(some);
    fold.hidden = some === 0;
    for (const reason of fold.querySelectorAll("[data-reason]")) {
      reason.hidden = reason.querySelectorAll("[data-words]:not([hidden])").length === 0;
    }
    if (looking || fold.dataset.opened) fold.open = looking && some > 0;
    fold.dataset.opened = looking ? "yes" : "";
  }
  const found = cards.filter((card) => !card.hidden).length;
  search.classList.toggle("missed", looking && found === 0); // Find then shows which glaze may be meant.
  const { none, counted: forms } = hits.dataset;
  hits.textContent = looking ? (found === 0 ? none : counted(JSON.parse(forms), found)) : "";
}

/** The radio button of the glaze that this text names, by its whole name or its bucket's bar. */
function meant(read) {
  const text = byKeys(read).replace(/^\][a-z][0-9]/i, ""); // A scanner may name the kind of bar first: ]C1.
  const name = (text.toUpperCase().startsWith(MARK_OF_A_BUCKET) ? text.slice(MARK_OF_A_BUCKET.length) : text).trim().toLowerCase();
  const radios = Array.from(document.querySelectorAll("input[name=glaze]"));
  return radios.find((radio) => radio.value.toLowerCase() === name);
}

/** Pick a glaze, show all again, and bring it into view. */
function pick(radio) {
  search.elements.find.value = "";
  filter();
  const fold = radio.closest("details");
  if (fold) fold.open = true;
  radio.checked = true;
  choosesZone(radio);
  radio.focus({ preventScroll: true });
  radio.closest("li").scrollIntoView({ block: "center" });
}

/** Answer here what the page can answer; what it has no match for is looked up by the server, which knows near misses. */
function sent(event) {
  const radio = meant(search.elements.find.value);
  if (!radio && !cards.some((card) => !card.hidden)) return;
  event.preventDefault();
  if (radio) pick(radio);
  else search.elements.find.blur();
}

/** Check the glazes for the zone that was tapped; what is picked stays. Where that fails, the server asks at Apply. */
async function checkZone() {
  const zone = layer.elements.zone.value;
  const address = new URL(window.location.href);
  address.searchParams.set("zone", zone);
  for (const name of ["glaze", "foot"]) address.searchParams.set(name, layer.elements[name]?.value ?? "");
  const answer = await fetch(address, { headers: { Accept: "text/html" } });
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("glaze");
  if (!answer.ok || !fresh || layer.elements.zone.value !== zone) return;
  const picked = layer.querySelector("input[name=glaze]:checked")?.value;
  document.getElementById("glaze").replaceWith(document.adoptNode(fresh));
  for (const radio of layer.querySelectorAll("input[name=glaze]")) radio.checked = radio.value === picked;
  look();
  if (search) {
    search.elements.zone.value = zone;
    if ("whole" in search.dataset) filter();
  }
}

/** While nobody has chosen a zone, choose the usual one of the glaze that was picked. */
function choosesZone({ dataset: { zone } }) {
  const zones = layer.elements.zone;
  if (isZoneTold || !zones || zones.value === zone) return;
  zones.value = zone;
  checkZone().catch(() => {});
}

look();
if (layer) {
  layer.addEventListener("change", ({ target }) => {
    if (target.name === "glaze") choosesZone(target);
    if (target.name !== "zone") return;
    isZoneTold = true;
    checkZone().catch(() => {});
  });
}
if (search) {
  // A page that shows only what the server found can't filter the rest.
  if ("whole" in search.dataset) {
    search.classList.add("alive");
    search.addEventListener("input", filter);
    search.addEventListener("submit", sent);
  }
}
