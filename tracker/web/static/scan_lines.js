/* The lines of a page that scans, one for each scan, cloned from the templates the server sent. scan.js says what each
   is of; forms.js gives said(). */
"use strict";

const MOST_LINES = 300; // answered lines kept on the page; the oldest leave first

/** The small photo of a piece, as the macro of the same name makes it. */
function shot(photo) {
  return Object.assign(document.createElement("img"), { className: "shot", src: photo.small, width: photo.width, height: photo.height, alt: photo.alt });
}

/** The lines on the page: one for each scan, cloned from the templates the server sent. */
class Lines {
  constructor(list) {
    this.list = list;
    this.says = document.querySelector("[data-scan-says]");
    // A scroll says so to the line alone, and not to the list around it.
    list.addEventListener("scroll", () => this.showMore(), true);
    window.addEventListener("resize", () => this.showMore());
    this.showMore();
  }

  /** Tell of the newest line that there is more of it below, as at a kiln, where it's no higher than a third of the screen. */
  showMore() {
    const line = this.list.firstElementChild;
    line?.toggleAttribute("data-more", line.scrollTop + line.clientHeight < line.scrollHeight - 4);
  }

  piece(name) {
    return document.querySelector(`template[${name}]`).content.firstElementChild.cloneNode(true);
  }

  add(entry) {
    const line = this.piece("data-scan-line");
    line.classList.add("fresh");
    line.querySelector(".code").textContent = entry.text;
    line.dataset.job = jobIn(Object.fromEntries(entry.fields));
    this.list.prepend(line);
    this.mark(line, "sending", said("sending"), "");
    while (this.list.children.length > MOST_LINES && this.list.lastElementChild.dataset.settled) this.list.lastElementChild.remove();
    return line;
  }

  /** Give a line its kind, word, sentence and mend, and take every form of an earlier answer away. */
  mark(line, kind, word, says, mend) {
    line.className = `scan-line ${kind}`;
    line.querySelector(".word").replaceChildren(this.piece(`data-scan-shape="${kind}"`), Object.assign(document.createElement("span"), { textContent: word }));
    const sentence = line.querySelector("p");
    sentence.textContent = says || "";
    if (mend) sentence.append(" ", Object.assign(document.createElement("span"), { className: "mend", textContent: mend }));
    for (const old of line.querySelectorAll("form, .hand, .shot, .ways")) old.remove();
  }

  answer(line, entry, answer) {
    const needs = answer.needs && answer.needs.length ? answer.needs : null;
    const kind = needs ? "needs" : !answer.ok ? "stop" : entry.undo ? "undone" : answer.again ? "again" : answer.looks ? "needs" : answer.with_care ? "care" : "good";
    // Several warnings stand in their own list, one has said all in its sentence.
    const says = needs && needs.length > 1 ? "" : answer.says;
    this.mark(line, kind, answer.word || said(answer.ok ? "done" : "stop"), says, answer.mend);
    line.dataset.settled = "yes";
    this.name(line.querySelector(".code"), answer.code || entry.text, answer.piece_url);
    if (answer.photo) line.append(shot(answer.photo));
    if (needs) line.append(this.acceptForm(entry, needs));
    if (answer.ways && answer.ways.length) line.append(this.waysOut(answer.ways));
    if (answer.undo_url) line.append(this.undoForm(answer));
    if (answer.ask_url) line.append(this.askForm(answer));
    if (answer.tell_url) line.append(this.tellLink(answer));
    if (answer.asks_dry) line.append(this.dryForm(entry));
    if (answer.found_url) line.append(this.foundForm(answer));
    this.showMore();
    this.says.textContent = [answer.code || entry.text, answer.word, answer.says, answer.mend]
      .filter(Boolean)
      .map((part) => part.replace(/\.$/, ""))
      .join(". ");
    return kind;
  }

  name(place, code, url) {
    const inside = url ? Object.assign(document.createElement("a"), { href: url }) : document.createElement("span");
    inside.textContent = code;
    place.replaceChildren(inside);
  }

  undoForm(answer) {
    const form = this.piece("data-scan-undo-form");
    form.action = answer.undo_url;
    form.querySelector(".vh").textContent = ` ${answer.code || ""}`;
    return form;
  }

  askForm(answer) {
    const form = this.piece("data-scan-ask-form");
    form.action = answer.ask_url;
    form.querySelector(".vh").textContent = ` ${said("about", { code: answer.code || "" })}`;
    return form;
  }

  foundForm(answer) {
    const form = this.piece("data-scan-found");
    form.action = answer.found_url;
    form.querySelector(".vh").textContent = ` ${answer.code || ""}`;
    return form;
  }

  /** A button for each way out of a refusal: the shelf where it belongs, or the piece that was meant. */
  waysOut(ways) {
    const place = Object.assign(document.createElement("div"), { className: "ways" });
    for (const way of ways) {
      const form = this.piece("data-scan-way");
      for (const [name, value] of Object.entries(way.fields)) form.append(hiddenField(name, value));
      form.querySelector("button").textContent = way.label;
      place.append(form);
    }
    return place;
  }

  tellLink(answer) {
    const link = this.piece("data-scan-tell");
    link.href = answer.tell_url;
    link.querySelector(".vh").textContent = ` ${answer.code || ""}`;
    return link;
  }

  /** The question whether all of a load is dry; with the yes this very scan goes again. */
  dryForm(entry) {
    const form = this.piece("data-scan-dry-form");
    form.action = entry.action;
    for (const [name, value] of entry.fields) if (name !== "dry") form.append(hiddenField(name, value));
    form.append(hiddenField("dry", "yes"));
    return form;
  }

  acceptForm(entry, needs) {
    const form = this.piece("data-scan-accept-form");
    form.action = entry.action;
    for (const [name, value] of entry.fields) if (name !== "accepts") form.append(hiddenField(name, value));
    for (const need of needs) {
      if (needs.length > 1) form.querySelector("ul").append(Object.assign(document.createElement("li"), { textContent: need.says }));
      form.append(hiddenField("accepts", need.rule));
    }
    if (needs.length === 1) form.querySelector("ul").remove();
    form.querySelector("button").textContent = said(needs.length === 1 ? "accept-one" : "accept-all");
    return form;
  }
}
