/* The frame of every page: menus that close by themselves, and a scanner that asks from anywhere.
   A scanner is a keyboard that types fast and ends with Enter. Whatever has the focus, what it reads is a scan: it goes
   to the field of the page that takes scans. Where there is none it is looked up like a text in the search box, and asks
   what the piece is. */
"use strict";

const FAST = 120; // milliseconds between two keys of a scanner, also of a wireless one; a hand is seldom faster
const FASTER = 60; // no hand types a whole word like this
const ENDINGS = ["Enter", "Tab"];
const SHORTEST_SCAN = 3; // characters: "W12" is a ticket
/** What is on a tag, a foot or a ticket; only this is taken out of a list or a field that is for other words. */
const ON_A_TAG = /^(?:\][a-z]\d)?(W\d+|[23457ACDEFGHJKLMNPRTVXY]{5,6}|.*\/(p|slip)\/[^/?#]+\/?)$/i;
/** The bars of the studio's own labels: a shelf, a bucket, a badge. */
const ON_A_LABEL = /^(?:\][a-z]\d)?[sbu]\..+$/i;
/** A bar of the scan sheet; what names the kind of bar may come before it, in letters that depend on the keyboard. */
const ON_THE_SHEET = /^.{0,3}(O[CDEFGHKLNPRTX]{7}O)$/i;
/** A badge that signs in; what names the kind of bar may come before it. */
const A_BADGE = /^.{0,3}(U[CDEFGHKLNPRTX]{9}U)$/i;
/** A maker card, which opens its maker's page or fills the maker in. */
const A_CARD = /^.{0,3}(S[CDEFGHKLNPRTX]{9}S)$/i;
const STAY = 10 * 60 * 1000 + 5000; // milliseconds: ten minutes, and a little for the clocks
/** Which key is meant by each letter that this station's scanner types; null where all arrive as they are meant. */
const KEYS = document.body.dataset.keys ? JSON.parse(document.body.dataset.keys) : null;

/** What a scanner meant by `text` at this station: the server reads it the same way. */
function byKeys(text) {
  const arrived = text.trim();
  if (!KEYS) return arrived;
  const letters = Array.from(arrived, (one) => (one === " " ? one : KEYS[one]));
  const meant = letters.includes(undefined) ? arrived : letters.join("");
  if (ON_A_LABEL.test(meant)) return meant;
  return ON_A_TAG.test(meant) && !ON_A_TAG.test(arrived) ? meant : arrived;
}

/** True where keys belong to what has the focus and not to a scanner. */
function takesKeys(target) {
  return target.isContentEditable || target.matches("textarea, select, input:not([type=radio]):not([type=checkbox]):not([type=hidden])");
}

/** True while some form of the page holds what was typed or picked and not sent. */
function isBegun() {
  const begun = (one) => (one.matches("[type=radio], [type=checkbox]") ? one.checked !== one.defaultChecked : one.value !== one.defaultValue);
  const fields = document.querySelectorAll("main form[method=post] :is(input:not([type=hidden]), textarea)");
  const lists = document.querySelectorAll("main form[method=post] option");
  return Array.from(fields).some(begun) || Array.from(lists).some((one) => one.selected && !one.defaultSelected && one.index > 0);
}

/** The keys of one scan as they come in, with what they would have changed. */
class Burst {
  constructor() {
    this.read = "";
    this.last = -FAST;
  }

  /** Note a key; true when a hand can't have typed it so soon after the one before. */
  add(event) {
    const isFast = event.timeStamp - this.last < FAST;
    this.widest = isFast ? Math.max(this.widest, event.timeStamp - this.last) : 0;
    if (!isFast) {
      this.read = "";
      this.target = event.target;
      this.before = event.target.value;
    }
    this.read += event.key;
    this.last = event.timeStamp;
    return isFast;
  }

  /** Note Enter; true when it ends a scan. The next key begins another. */
  endsWith(event) {
    const isFast = event.timeStamp - this.last < FAST;
    this.last = -FAST;
    return isFast && (this.read.length >= SHORTEST_SCAN || ON_A_TAG.test(byKeys(this.read)));
  }

  /** True when it can be nothing but a tag, also among other words: some first names read as a code. */
  isSurelyATag() {
    const read = byKeys(this.read);
    return ON_THE_SHEET.test(read) || (ON_A_TAG.test(read) && (/\d/.test(read) || this.widest < FASTER));
  }

  /** Put back what its first keys changed where they fell: a list has jumped to a word, a field has the code in it. */
  takeBack() {
    if (this.target.value === this.before) return;
    this.target.value = this.before;
    if (this.target.matches("select")) this.target.dispatchEvent(new Event("change", { bubbles: true }));
  }
}

function listen(take) {
  const burst = new Burst();
  document.addEventListener(
    "keydown",
    (event) => {
      if (!event.isTrusted || event.ctrlKey || event.altKey || event.metaKey) return;
      if (!ENDINGS.includes(event.key) && event.key.length !== 1) return;
      if (!take(event, burst)) return;
      event.preventDefault();
      // Whoever takes a key takes it alone: a badge isn't looked up as well.
      event.stopImmediatePropagation();
    },
    true,
  );
}

/** Look up what is scanned on a page that takes no scans. */
function takeForSearch(seek) {
  return (event, burst) => {
    if (takesKeys(event.target) && !event.target.matches("select")) return false;
    // The second fast key is no hand: what has the focus must not act on it.
    if (!ENDINGS.includes(event.key)) {
      return burst.add(event) && !takesKeys(event.target);
    }
    if (!burst.endsWith(event) || (takesKeys(event.target) && !burst.isSurelyATag())) return false;
    burst.takeBack();
    seek.elements.q.value = burst.read;
    // What was typed and not yet sent would be lost with the page: then the answer waits for one more Enter.
    if (isBegun()) seek.elements.q.focus();
    else seek.requestSubmit();
    return true;
  };
}

/** Give what is scanned to the field that takes scans; its page does with it what it does with any. */
function takeForField(field) {
  const isLong = field.matches("textarea");
  const put = (text) => {
    const kept = isLong && field.value ? field.value.replace(/\n?$/, "\n") : "";
    field.focus();
    field.value = kept + text;
  };
  return (event, burst) => {
    if (ENDINGS.includes(event.key)) {
      const isScan = burst.endsWith(event) && burst.target === event.target && burst.isSurelyATag();
      if (!isScan || event.target.matches("[data-takes-scans], [type=search]")) return false;
      burst.takeBack();
      put(isLong ? `${burst.read}\n` : burst.read);
      if (!isLong && field.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true, cancelable: true }))) field.form.requestSubmit();
      return true;
    }
    const isFast = burst.add(event);
    // Beside results that are saved as they are pressed, no key of a scan presses one, however slowly it comes.
    const isOpen = event.target === document.body || Boolean(event.target.closest("[data-unload]"));
    if (takesKeys(event.target) || (!isFast && !isOpen)) return false;
    if (event.key === " " && !isFast) return false; // It scrolls.
    put(burst.read);
    burst.target = field;
    return true;
  };
}

/** After a choice by mouse the scanner has its field again; by keyboard the next arrow may be another choice. */
function returnAfterChoice(field) {
  let isPointed = false;
  document.addEventListener("pointerdown", (event) => (isPointed = event.pointerType === "mouse"), true);
  document.addEventListener("keydown", () => (isPointed = false), true);
  document.addEventListener("change", (event) => {
    if (isPointed && event.target.matches("select, [type=radio], [type=checkbox]") && event.target.form === field.form) field.focus({ preventScroll: true });
  });
}

/** A scanner may end with Tab, or with CR and LF, as well as with Enter: in a field for scans all of them send it. */
function endScans() {
  const scanned = "input[name=ref], input[name=q], #find";
  let typed = 0;
  let last = 0;
  document.addEventListener(
    "keydown",
    (event) => {
      const isFast = event.timeStamp - last < FAST;
      if (event.key === "Tab" && isFast && typed >= SHORTEST_SCAN && event.target.matches(scanned) && event.target.form) {
        event.preventDefault();
        event.stopPropagation();
        event.target.form.requestSubmit();
      } else if (event.ctrlKey && event.key.toLowerCase() === "j" && isFast) {
        event.preventDefault(); // A line feed would open the browser's list of downloads.
      }
      typed = event.key.length !== 1 || event.ctrlKey ? 0 : isFast ? typed + 1 : 1;
      last = event.timeStamp;
    },
    true,
  );
}

/** A badge on a shared tablet, scanned wherever the focus is: its PIN is asked for, and the page comes again for whoever has it. */
function takeBadges(address) {
  listen((event, burst) => {
    if (!ENDINGS.includes(event.key)) {
      burst.add(event);
      return false;
    }
    // No hand types such letters, so in a field they are a badge however slowly they came.
    const badge = A_BADGE.exec(burst.endsWith(event) ? burst.read.trim() : event.target.value || "");
    if (!badge) return false;
    const form = Object.assign(document.createElement("form"), { method: "post", action: address, hidden: true });
    const next = document.querySelector("main [name=next]")?.value || location.pathname + location.search;
    const { token } = document.body.dataset;
    const kept = document.querySelector("main [name=kept]")?.value || ""; // a form that was sent after its ten minutes
    for (const [name, value] of Object.entries({ badge: badge[1], next, kept, csrf_token: token })) {
      form.append(Object.assign(document.createElement("input"), { type: "hidden", name, value }));
    }
    document.body.append(form);
    form.submit();
    return true;
  });
}

/** A maker card, scanned wherever the focus is: it fills in whose piece is new, else it is looked up. Pickup reads it itself. */
function takeCards(seek, field) {
  listen((event, burst) => {
    if (!ENDINGS.includes(event.key)) {
      burst.add(event);
      return false;
    }
    const card = A_CARD.exec(burst.endsWith(event) ? burst.read.trim() : event.target.value || "");
    if (!card) return false;
    for (const one of document.querySelectorAll("main [data-takes-scans]")) one.value = one.value.replace(card[0], "");
    if (burst.target && takesKeys(burst.target)) burst.takeBack();
    const letters = card[1].toUpperCase();
    if (field) {
      const known = document.querySelector(`#${field.getAttribute("list")} [data-card="${letters}"]`);
      field.value = known ? known.value : letters;
      field.focus();
    } else {
      seek.elements.q.value = letters;
      if (isBegun()) seek.elements.q.focus();
      else seek.requestSubmit();
    }
    return true;
  });
}

/** Whoever signed in by a badge is signed out after ten minutes: the page then shows that, too. */
function leaveInTime() {
  let waits = 0;
  const anew = () => {
    clearTimeout(waits);
    waits = setTimeout(() => location.reload(), STAY);
  };
  for (const name of ["keydown", "pointerdown"]) document.addEventListener(name, anew, true);
  anew();
}

if (document.body.dataset.badges) takeBadges(document.body.dataset.badges);
endScans();
if ("stay" in document.body.dataset) leaveInTime();
const seek = document.querySelector("form[data-seek]");
const scanField = document.querySelector("main [data-takes-scans]");
if (seek && !document.querySelector("[data-pickup], [data-run]")) takeCards(seek, document.querySelector("main [data-takes-cards]"));
if (scanField) {
  listen(takeForField(scanField));
  returnAfterChoice(scanField);
} else if (seek && !document.querySelector("[data-run]")) listen(takeForSearch(seek));

const menus = document.querySelectorAll("details[name=menu]");
document.addEventListener("click", (event) => {
  for (const one of menus) if (!one.contains(event.target)) one.open = false;
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const one of menus) {
    if (!one.open) continue;
    one.open = false;
    one.querySelector("summary").focus();
  }
});
document.addEventListener("focusin", (event) => {
  for (const one of menus) if (one.open && !one.contains(event.target)) one.open = false;
});

/* Scans that nothing has answered yet go out from whatever page is open. */
const unsentHere = document.querySelector("[data-unsent]");
if (localStorage.getItem("footring-unsent") && !document.querySelector("[data-scan], [data-unload]")) {
  document.body.append(Object.assign(document.createElement("script"), { src: unsentHere.dataset.script }));
}
