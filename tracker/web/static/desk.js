/* The print desk: the sheet is drawn again as soon as something else is chosen, and a long making shows how far it is. */
"use strict";

const desk = document.querySelector("form[data-desk]");
let asked = 0;
let letGo = Promise.resolve();

/** Draw the sheet as the form stands now, and put it in the place of the one that is shown. */
async function drawAgain(sheet = 1) {
  const mine = ++asked;
  const button = desk.querySelector("[data-look]");
  const focused = document.activeElement?.name === "start_at" ? document.activeElement.value : null;
  const turned = document.activeElement?.dataset.turn;
  try {
    const body = new URLSearchParams(new FormData(desk));
    body.set("sheet", sheet);
    const answer = await fetch(button.formAction, { method: "POST", body });
    if (!answer.ok || mine !== asked) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    await letGo; // A button that is taken away under the finger would lose its click.
    const drawn = page.querySelector("[data-sheet]");
    if (!drawn || mine !== asked) return;
    desk.querySelector("[data-sheet]").replaceWith(drawn);
    desk.querySelector("[name=shown]").value = page.querySelector("[name=shown]").value;
    desk.querySelector("[data-look]").hidden = true;
    if (focused) desk.querySelector(`[name=start_at][value="${focused}"]`)?.focus();
    if (turned) (desk.querySelector(`[data-turn=${turned}]:enabled`) ?? desk.querySelector("[data-turn]:enabled"))?.focus();
  } catch {
    // Without a network the last picture stays, and the button draws it later.
    desk.querySelector("[data-look]").hidden = false;
  }
}

if (desk) {
  desk.querySelector("[data-look]").hidden = true;
  desk.addEventListener("change", () => drawAgain());
  desk.addEventListener("pointerdown", (event) => {
    if (!event.target.closest("[data-sheet]")) return;
    letGo = new Promise((resolve) => {
      for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => setTimeout(resolve), { once: true });
    });
  });
  desk.addEventListener("click", (event) => {
    const turn = event.target.closest("[data-turn]");
    if (!turn) return;
    event.preventDefault();
    drawAgain(turn.value);
  });
}

// ---- a long printing ----------------------------------------------------------------------------------------------

const making = document.querySelector("[data-making]");

/** Make the PDF and say how many labels are done; what follows the empty line is the PDF. */
async function make() {
  const bar = making.querySelector("progress");
  const words = making.querySelector("[data-progress-words]");
  const many = Number(making.dataset.labels);
  bar.hidden = words.hidden = false;
  const answer = await fetch(making.dataset.making);
  if (!answer.ok) throw new Error(answer.statusText);
  const reader = answer.body.getReader();
  const parts = [];
  let head = "";
  let isPdf = false;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    if (isPdf) {
      parts.push(value);
      continue;
    }
    // Bytes of a PDF are no text, so each is read as one character of the same number.
    head += Array.from(value, (byte) => String.fromCharCode(byte)).join("");
    const end = head.startsWith("\n") ? 0 : head.indexOf("\n\n") + 1;
    const lines = (end > 0 || head.startsWith("\n") ? head.slice(0, end) : head).trim().split("\n");
    bar.value = Number(lines[lines.length - 1]) || bar.value;
    words.textContent = said("making", { made: bar.value, labels: many });
    if (end > 0 || head.startsWith("\n")) {
      isPdf = true;
      parts.push(Uint8Array.from(head.slice(end + 1), (letter) => letter.charCodeAt(0)));
    }
  }
  bar.value = many;
  words.textContent = said("made", { labels: many });
  return new Blob(parts, { type: "application/pdf" });
}

if (making && Number(making.dataset.labels) > 200) {
  const open = making.querySelector("[data-open]");
  open.addEventListener("click", async (event) => {
    event.preventDefault();
    if (open.dataset.busy) return;
    open.dataset.busy = "yes";
    try {
      window.location.assign(URL.createObjectURL(await make()));
    } catch {
      // Whatever kept it from being told, the PDF itself is at the link.
      window.location.assign(open.href);
    } finally {
      delete open.dataset.busy;
    }
  });
}
