/* A new piece: picking its form fills in usual sizes and its name, as far as nobody has typed their own. Without this
   script the server fills them in when the form is sent without any. */
"use strict";

for (const form of document.querySelectorAll("form[data-new-piece]")) {
  const own = form.elements;
  const lid = form.querySelector("[data-lid]");
  const says = form.querySelector("[data-usual-says]");
  /** What this script filled in, by the name of the field: only that is replaced. */
  const filled = {};

  /** Put a text into a field that is blank or still holds what was filled in before. */
  const fill = (name, text) => {
    const field = own[name];
    if (field.value !== "" && field.value !== filled[name]) return;
    field.value = filled[name] = text || "";
  };

  /** Fill in what is usual of the form that was picked. */
  const pick = (card) => {
    const usual = card.dataset;
    fill("what", usual.name);
    fill("height", usual.fillHeight);
    fill("width", usual.fillWidth);
    fill("depth", usual.fillDepth);
    fill("lid_height", usual.fillLidHeight);
    fill("lid_width", usual.fillLidWidth);
    if (usual.fillFragile || filled.fragile) own.fragile.checked = filled.fragile = Boolean(usual.fillFragile);
    if (usual.closed) form.querySelector("[data-more]").open = true;
    tellOpen(Boolean(usual.name));
    says.hidden = !usual.fillHeight;
    showLid();
  };

  /** Tick that an open form is open, as the server takes it; whoever has said something else is believed. */
  const tellOpen = (isOpen) => {
    const open = form.querySelector("input[name=form][value=open]");
    const isTold = form.querySelector("input[name=form]:checked") !== null;
    if (isOpen ? !isTold : filled.open) open.checked = filled.open = isOpen;
  };

  /** A lid is asked for with a jar, or where one was typed. */
  const showLid = () => {
    const card = form.querySelector("input[name=usual]:checked");
    lid.hidden = !(card && card.dataset.fillLidHeight) && own.lid_height.value === "" && own.lid_width.value === "";
  };

  for (const card of form.querySelectorAll("input[name=usual]")) card.addEventListener("change", () => pick(card));
  showLid();
}
