/* What the bars of the scan sheet do on the page for unloading (unload.js): they say what came of the piece that was scanned last,
   take that back, name the shelf, unload the kiln or lead to another page. commands.js knows the bars. */
"use strict";

function unloadingByBars(page) {
  const leave = (command) => {
    if (page.waiting.some((entry) => !entry.isSaved)) return { kind: "stop", says: said("not-saved") };
    location.assign(command.href);
    return { kind: "again" };
  };
  return new Obeying((...answer) => page.answer(...answer), {
    step: leave,
    kiln: leave,
    undo: () => undoLast(page),
    result: (command) => sayOfLast(page, command.value),
    finish: (command) => {
      (command.value === "rest" && !page.rest.hidden ? page.rest : page.form.querySelector(".btn.main")).click();
      return null;
    },
    shelf: (command) => {
      page.fill(command.value);
      return null;
    },
  });
}

function sayOfLast(page, value) {
  const line = page.last;
  if (!line) return { kind: "stop", says: said("scan-first") };
  if (!line.say(value)) return { kind: "stop", says: said("not-of-this", { ref: line.ref }) };
  page.record(line);
  return null;
}

/** Take back what was said last on this page, and then what was said before that; a scan alone has said nothing yet. */
function undoLast(page) {
  const scanned = page.inHand;
  const [line, before] = scanned && !scanned.isLooked ? [scanned, null] : page.changes.pop() || [];
  if (!line) return { kind: "stop", says: said("nothing-to-undo") };
  if (before) {
    line.show(before);
    page.send(line);
  } else page.hold(null);
  page.answer("again", line.words || said("unsaid"), line.ref, "");
  page.show();
  return null;
}
