/* The bars of the scan sheet: each does what a button of the page does. The page hands its script what every bar means
   (commands_here.py); frame.js knows what such a bar looks like, forms.js gives said(). */
"use strict";

const COMMANDS = JSON.parse(document.querySelector("[data-commands]")?.textContent || "{}");

/** The command that was scanned: {does, value, title, …}, one that does "nothing" where this page has none of that name; else null. */
function commandIn(text) {
  const bar = ON_THE_SHEET.exec(text.trim());
  return bar && (COMMANDS[bar[1].toUpperCase()] || { does: "nothing", title: bar[1].toUpperCase() });
}

/** A page that obeys: it says what came of a command, and how it does each that it can. */
class Obeying {
  /** `tell(kind, word, text, says)` shows and sounds an answer; `ways` are functions of a command by what it does. */
  constructor(tell, ways) {
    this.tell = tell;
    this.ways = ways;
  }

  /** Do what a scanned command says; a way gives {kind, says}, or nothing where it tells by itself. */
  obey(command) {
    const way = this.ways[command.does];
    const done = way ? way(command) : { kind: "stop", says: said(command.does === "nothing" ? "no-such-bar" : "not-here") };
    if (!done) return;
    if (done.kind === "stop") this.tell("stop", said("stop"), "", `${command.title}: ${done.says}`);
    else this.tell(done.kind, command.title, "", done.says || "");
  }
}
