/* A new piece: picking its form fills in usual sizes, its name and how it is made, as far as nobody has said it; a clay that never
   holds food is told at once. Without this
   script the server fills them in when the form is sent without any. */
"use strict";

for (const form of document.querySelectorAll("form[data-new-piece]")) {
  const own = form.elements;
  const says = form.querySelector("[data-usual-says]");
  const warning = form.querySelector("[data-never-for-food]");
  const neverForFood = JSON.parse(warning.dataset.neverForFood);
  const saysElse = form.querySelector("[data-usual-else]");
  /** What this script filled in, by the name of the field: only that is replaced. */
  const filled = {};
  /** How the last piece was made and used: it counts where no form is picked. */
  const remembered = { build: own.build.value, use: own.use.value };
  /** The fields among these that a person has changed: they stay. */
  const said = new Set();

  /** Pick what is usual of a form, or what is remembered where the form leaves it open. */
  const choose = (name, usual) => {
    if (!said.has(name)) own[name].value = usual || remembered[name];
  };

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
    choose("build", usual.fillBuild);
    choose("use", usual.fillUse);
    fill("height", usual.fillHeight);
    fill("width", usual.fillWidth);
    fill("depth", usual.fillDepth);
    fill("lid_height", usual.fillLidHeight);
    fill("lid_width", usual.fillLidWidth);
    tellOpen(Boolean(usual.name));
    offerOpen(!usual.closed);
    if (says) says.hidden = !(saysElse.hidden = Boolean(usual.fillHeight));
  };

  /** Tick that an open form is open, as the server takes it; whoever has said something else is believed. */
  const tellOpen = (isOpen) => {
    const open = form.querySelector("input[name=form][value=open]");
    const isTold = form.querySelector("input[name=form]:checked") !== null;
    if (isOpen ? !isTold : filled.open) open.checked = filled.open = isOpen;
  };

  /** Offer "open" before the closed choices, or after them for a closed form. */
  const offerOpen = (isFirst) => {
    const open = form.querySelector("input[name=form][value=open]").closest("label");
    open.parentElement[isFirst ? "prepend" : "append"](open);
  };

  /** Why no firing makes the clay that was picked fit for food, as long as that is its use. */
  const warn = () => {
    const unfit = own.use.value === "food" ? neverForFood[own.clay.value] : undefined;
    warning.hidden = unfit === undefined;
    warning.querySelector("p").textContent = unfit?.says ?? "";
    const link = warning.querySelector("a");
    link.hidden = !unfit?.href;
    link.href = unfit?.href ?? "";
  };

  /** A lid that nobody changed is as wide as its jar. */
  const fitLid = () => {
    if (own.lid_width.value && own.lid_width.value === filled.lid_width) fill("lid_width", own.width.value);
  };

  /** A photo that was chosen is named, which takes a line of its own. */
  const namePhoto = () => own.photo.closest(".use-photo").classList.toggle("chosen", own.photo.files.length > 0);

  form.addEventListener("change", (event) => said.add(event.target.name));
  for (const card of form.querySelectorAll("input[name=usual]")) card.addEventListener("change", () => pick(card));
  // A form that was picked before this script had come is filled in now.
  const early = form.querySelector("input[name=usual]:checked");
  if (early?.dataset.fillHeight && !own.height.value && !own.width.value) pick(early);
  form.addEventListener("change", () => {
    const was = warning.textContent;
    warn();
    // Only what is new is scrolled to: under a finger that leaves a field and taps a card, nothing moves.
    if (warning.textContent !== was) warning.scrollIntoView({ block: "nearest" });
  });
  warn(); // A form that came back may hold another clay than the page was made for.
  own.width.addEventListener("input", fitLid);
  if (own.photo) {
    form.classList.add("alive");
    own.photo.addEventListener("change", namePhoto);
    namePhoto();
  }
}
