/* Forms for hurried hands: a second press of the same button does nothing, and a page brought back by the
   back button gets a fresh request key, so that it is a new request and no repeat.
   Scripts say what the templates say: said() gives the sentences that a page carries. */
"use strict";

const SENTENCES = Object.assign({}, ...Array.from(document.querySelectorAll("[data-sentences]"), (one) => JSON.parse(one.textContent)));

/** A sentence of this page by its name, as the template handed it over, with `{fact}` replaced by each fact. */
function said(name, facts = {}) {
  return (SENTENCES[name] || "").replace(/\{(\w+)\}/g, (whole, fact) => facts[fact] ?? whole);
}

/** A sentence with a count, in the form that the language of this page wants: `forms` by their names in CLDR. */
function counted(forms, count) {
  const { lang } = document.documentElement;
  const form = forms[new Intl.PluralRules(lang).select(count)] ?? forms.other;
  return form.replace("{count}", new Intl.NumberFormat(lang).format(count));
}

/** A random UUID (version 4), also on plain http where crypto.randomUUID is missing. */
function freshKey() {
  if (window.crypto.randomUUID) return window.crypto.randomUUID();
  const bytes = window.crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

/** Let the first submit through and hold back any other until the page is left or shown again. */
function sendOnce(event) {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post") return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
  // A disabled button would drop its own name and value from the form, so it is disabled only after the browser has read them.
  setTimeout(() => {
    for (const button of form.querySelectorAll("button:not([type=button])")) button.disabled = true;
    if (event.submitter) event.submitter.classList.add("busy");
    // A form answered with a download leaves the page standing: open it again after a while.
    setTimeout(() => release(form), 8000);
  }, 0);
}

/** Make a form usable again after it was sent. */
function release(form) {
  if (!form.dataset.sent) return;
  delete form.dataset.sent;
  for (const button of form.querySelectorAll("button")) {
    button.disabled = false;
    button.classList.remove("busy");
  }
}

/** A page brought back from the browser's memory or cache still carries the key of what it already sent. */
function comeBack(event) {
  const [arrival] = performance.getEntriesByType("navigation");
  if (!event.persisted && !(arrival && arrival.type === "back_forward")) return;
  for (const form of document.forms) release(form);
  for (const field of document.querySelectorAll("input[type=hidden][name=key]")) field.value = freshKey();
}

document.addEventListener("submit", sendOnce);
window.addEventListener("pageshow", comeBack);

// Problems with a form are read first: the box on top takes the focus when the page opens with one.
const problems = document.querySelector(".problems");
if (problems) problems.focus();

// A page made to be taken along has its own button for paper; without script the browser's menu prints it as well.
for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}
